/**
 * A form that asks for part of a page: what is chosen goes into the address, and only the regions it
 * names are brought up to date, so that the cursor stays where it is.
 *
 *   <form method="get" action="/briefs/…/comments#comments" data-filter="#comments #found">
 *
 * The last region says how much was found. Without script it is an ordinary form.
 */
import { refresh, split } from '../page/refresh.js';
import { say } from '../page/said.js';

/** @param {HTMLFormElement} form */
async function ask(form) {
  const asked = [...new FormData(form)].filter(([, value]) => value !== '');
  const query = new URLSearchParams(/** @type {[string, string][]} */ (asked)).toString();
  history.replaceState(history.state, '', location.pathname + (query && `?${query}`));
  const regions = split(form.dataset.filter ?? '');
  const note = await refresh(regions);
  say(note || (document.querySelector(regions[regions.length - 1])?.firstChild?.textContent ?? '').trim() || 'All shown.');
}

export function wireFilter() {
  for (const kind of ['change', 'submit']) {
    document.addEventListener(kind, (event) => {
      const form = event.target instanceof Element ? /** @type {HTMLFormElement | null} */ (event.target.closest('form[data-filter]')) : null;
      if (!form) return;
      event.preventDefault();
      ask(form);
    });
  }
}
