/**
 * Before and after of one offcut in one picture: the slider moves the line between them.
 *
 *   <figure data-two-states> <img> <img class="is-after"> <span class="two-line"> <input type="range">
 */
import { whenCome } from '../page/refresh.js';

/** @param {HTMLInputElement} slider */
function part(slider) {
  const figure = slider.closest('[data-two-states]');
  const after = /** @type {HTMLElement | null | undefined} */ (figure?.querySelector('.is-after'));
  const line = /** @type {HTMLElement | null | undefined} */ (figure?.querySelector('.two-line'));
  if (!after || !line) return;
  after.style.clipPath = `inset(0 0 0 ${slider.value}%)`;
  line.style.left = `${slider.value}%`;
  slider.setAttribute('aria-valuetext', `${slider.value}\u00a0% before, ${100 - Number(slider.value)}\u00a0% after`);
}

function partAll() {
  for (const slider of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll('[data-two-states] input'))) part(slider);
}

export function wireTwoStates() {
  document.addEventListener('input', (event) => {
    const slider = event.target;
    if (slider instanceof HTMLInputElement && slider.closest('[data-two-states]')) part(slider);
  });
  whenCome(partAll); // a browser keeps where a slider was over a refresh
  partAll();
}
