/**
 * The switches of the panel: in which state, in which light and to which eyes the timber is shown.
 *
 *   <form data-switches><select name="light">…</select></form>
 *
 * They stand in a cookie, so that every page and every refresh comes as they stand. Light and eyes
 * are one SVG filter of the page; `body.seen-otherwise` says that it is on.
 */
import { refresh } from './refresh.js';

const A_YEAR_S = 31_536_000;

/** Everything that shows timber; what a page has not is passed over. */
const SHOWS_TIMBER = '#panel #sheet';

/** @param {HTMLFormElement} form */
function keep(form) {
  const now = new URLSearchParams(document.cookie.match(/(?:^|; )seen=([^;]*)/)?.[1] ?? '');
  for (const [name, value] of new FormData(form)) now.set(name, String(value));
  document.cookie = `seen=${now}; path=/; max-age=${A_YEAR_S}; SameSite=Lax`;
}

function mark() {
  document.body.classList.toggle('seen-otherwise', document.querySelector('#seen-as[data-on]') !== null);
}

export function wireSwitches() {
  document.addEventListener('change', async (event) => {
    const form = /** @type {Element} */ (event.target).closest('form[data-switches]');
    if (!(form instanceof HTMLFormElement)) return;
    keep(form);
    await refresh(SHOWS_TIMBER);
  });
  document.addEventListener('brief:refreshed', mark);
}
