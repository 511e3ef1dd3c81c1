/**
 * The instrument in the whole window: by the button `data-full-window`, or by F while the cursor is on
 * the instrument or nowhere and the mouse over it. Escape leaves.
 *
 * It also keeps what is above the workplace in `--above`, so that the instrument and the strips under
 * it fill the rest of the first screen.
 */
import { whenCome } from '../page/refresh.js';

const isFull = () => document.body.classList.contains('full-window-on');

function mark() {
  document.querySelector('[data-full-window]')?.setAttribute('aria-pressed', String(isFull()));
}

/** @param {boolean} full */
function fill(full) {
  document.body.classList.toggle('full-window-on', full);
  mark();
  window.dispatchEvent(new Event('resize')); // the drawing has another size
  /** @type {HTMLElement | null} */ (document.querySelector('[data-full-window]'))?.focus({ preventScroll: true });
}

function measure() {
  const beside = document.querySelector('.layout-instrument > main'); // in its row, and not sticky
  if (!beside || isFull()) return;
  document.documentElement.style.setProperty('--above', `${Math.ceil(beside.getBoundingClientRect().top + scrollY)}px`);
}

/** @param {KeyboardEvent} event */
function onKey(event) {
  if (!document.getElementById('workplace') || event.defaultPrevented) return;
  const at = /** @type {HTMLElement} */ (document.activeElement ?? document.body);
  if (event.key === 'Escape' && isFull()) fill(false);
  if (event.key.toLowerCase() !== 'f' || event.ctrlKey || event.metaKey || event.altKey) return;
  if (at.matches('input, select, textarea')) return;
  const pointed = at === document.body && document.querySelector('#workplace:hover');
  if (!pointed && !at.closest('#workplace')) return; // WCAG 2.2, 2.1.4: a letter alone, only on focus
  event.preventDefault();
  fill(!isFull());
}

export function wireFullWindow() {
  document.addEventListener('click', (event) => {
    if (/** @type {Element} */ (event.target).closest('[data-full-window]')) fill(!isFull());
  });
  document.addEventListener('keydown', onKey);
  window.addEventListener('resize', measure);
  whenCome(mark);
  measure();
}
