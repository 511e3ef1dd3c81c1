/**
 * The instrument panel, `<aside id="panel">`: always open beside the sheet on wide screens, one tap
 * away on narrow ones; and its parts, which light up when something elsewhere speaks of them.
 *
 *   <button type="button" data-panel-fold aria-expanded="false" aria-controls="panel-body">
 *   <a data-shows-role="fretboard" …>   lights   #panel svg [data-role="fretboard"]
 *
 * Folded is how the page comes, by the style sheet alone, so that nothing moves while it loads. Where it
 * is folded at any width, `data-drawn-from` says where it is drawn once it is opened.
 */
import { refresh, whenCome } from '../page/refresh.js';
import { say } from '../page/said.js';

/** @param {boolean} open */
function fold(open) {
  document.body.classList.toggle('panel-open', open); // beyond what a refresh replaces
  document.querySelector('[data-panel-fold]')?.setAttribute('aria-expanded', String(open));
  const panel = /** @type {HTMLElement | null} */ (document.querySelector('#panel[data-drawn-from]'));
  if (!open || !panel) return;
  panel.dataset.from = panel.dataset.drawnFrom;
  refresh('#panel').then((note) => { if (note) say(note, { stays: true }); });
}

/** @param {EventTarget | null} target what is pointed at or focused */
function light(target) {
  const speaker = target instanceof Element ? /** @type {HTMLElement | null} */ (target.closest('[data-shows-role]')) : null;
  const role = speaker?.dataset.showsRole;
  for (const part of document.querySelectorAll('#panel svg [data-role]')) {
    part.classList.toggle('is-shown', role !== undefined && part.getAttribute('data-role') === role);
  }
}

export function wirePanel() {
  const isOpen = () => document.body.classList.contains('panel-open');
  document.addEventListener('click', (event) => {
    if (/** @type {Element} */ (event.target).closest('[data-panel-fold]')) fold(!isOpen());
  });
  whenCome(() => fold(isOpen()));
  // Going over to anything else puts the light out; a finger's lasts until the next touch.
  document.addEventListener('pointerover', (event) => light(event.target));
  document.addEventListener('focusin', (event) => light(event.target));
  document.addEventListener('focusout', () => light(null));
}
