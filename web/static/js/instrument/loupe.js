/**
 * The loupe: bring the drawing of the instrument close to one place, and back.
 *
 *   <button type="button" data-loupe="-31.0 -40.5 62.0 41.0" aria-pressed="false">12th fret</button>
 *
 * The drawing is one SVG in millimetres, so a place is only another viewBox of it.
 */
import { whenCome } from '../page/refresh.js';

const still = window.matchMedia('(prefers-reduced-motion: reduce)');
const STEPS_MS = 280;

/** The name of the view that stays when the panel is refreshed. */
let chosen = '';

/** @returns {SVGSVGElement | null} */
const drawing = () => document.querySelector('#panel .front svg');

/** @param {string} box @returns {number[]} */
const sides = (box) => box.trim().split(/\s+/).map(Number);

/** @param {SVGSVGElement} svg @param {string} box */
function glide(svg, box) {
  const [from, to] = [sides(svg.getAttribute('viewBox') ?? box), sides(box)];
  if (still.matches) {
    svg.setAttribute('viewBox', box);
    return;
  }
  const began = performance.now();
  const step = (/** @type {number} */ now) => {
    const done = Math.min(1, (now - began) / STEPS_MS);
    const eased = 1 - (1 - done) ** 3;
    svg.setAttribute('viewBox', from.map((side, i) => side + (to[i] - side) * eased).join(' '));
    if (done < 1) requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
}

function press() {
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-loupe]'))) {
    button.setAttribute('aria-pressed', String(button.textContent === chosen));
  }
}

/** @param {HTMLElement | undefined} button of the view to bring */
function bring(button) {
  const svg = drawing();
  if (!button || !svg) return;
  chosen = button.textContent ?? '';
  glide(svg, button.dataset.loupe ?? '');
  press();
}

/**
 * Bring a part into sight that the drawing is too close to show: by the closest view that has all of it.
 * @param {SVGGElement} part
 */
export function bringClose(part) {
  const svg = drawing();
  if (!svg) return;
  const { x, y, width, height } = part.getBBox();
  const holds = (/** @type {number[]} */ [left, top, wide, high]) => x >= left && y >= top && x + width <= left + wide && y + height <= top + high;
  if (holds(sides(svg.getAttribute('viewBox') ?? ''))) return;
  const buttons = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('[data-loupe]')]);
  const high = (/** @type {HTMLElement} */ button) => sides(button.dataset.loupe ?? '')[3];
  const fitting = buttons.filter((button) => holds(sides(button.dataset.loupe ?? ''))).sort((one, other) => high(one) - high(other));
  bring(fitting[0] ?? buttons[0]);
}

export function wireLoupe() {
  document.addEventListener('click', (event) => {
    bring(/** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest('[data-loupe]')) ?? undefined);
  });
  whenCome(() => {
    const buttons = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('[data-loupe]')]);
    const button = buttons.find((one) => one.textContent === chosen);
    if (!button) return;
    drawing()?.setAttribute('viewBox', button.dataset.loupe ?? '');
    press();
  });
}
