/**
 * On a narrow screen the instrument is folded away while its parts are chosen. So a close-up of the
 * part stands in the part's own row, from when something is opened there.
 *
 *   <li data-shows-role="top"> <figure class="closeup" data-closeup="top" hidden></figure> …
 *
 * It is the drawing of the panel again, seen through another viewBox.
 */
import { narrow } from './panel.js';
import { whenCome } from '../page/refresh.js';

const AROUND = 0.12; // of the part, on each side
const LEAST = 60; // mm: a nut alone would not be known for one

/** The parts that have been looked at. */
const looked = new Set();
let counter = 0;

/**
 * A copy whose ids, and whatever points to them, are its own.
 * @param {Element} drawing
 * @returns {SVGSVGElement}
 */
function copy(drawing) {
  const made = /** @type {SVGSVGElement} */ (drawing.cloneNode(true));
  const prefix = `closeup-${(counter += 1)}-`;
  for (const element of [made, ...made.querySelectorAll('*')]) {
    for (const attribute of element.attributes) {
      if (attribute.name === 'id') attribute.value = prefix + attribute.value;
      else attribute.value = attribute.value.replace(/^url\(#/, `url(#${prefix}`);
    }
  }
  return made;
}

/** @param {HTMLElement} figure */
function draw(figure) {
  const drawing = document.querySelector('#panel .front svg');
  const role = figure.dataset.closeup ?? '';
  const made = drawing && copy(drawing);
  const part = /** @type {SVGGElement | null | undefined} */ (made?.querySelector(`[data-role="${CSS.escape(role)}"]`));
  figure.hidden = !part; // not every part is seen from this side
  if (!made || !part) return;
  figure.replaceChildren(made);
  const { x, y, width, height } = part.getBBox();
  const [wide, high] = [width, height].map((side) => Math.max(LEAST, side * (1 + 2 * AROUND)));
  made.setAttribute('viewBox', [x + (width - wide) / 2, y + (height - high) / 2, wide, high].join(' '));
  made.setAttribute('aria-label', `Close up, ${part.querySelector('title')?.textContent ?? role}`);
}

function drawAll() {
  if (!narrow.matches) return;
  const figures = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-closeup]'));
  for (const figure of figures) if (looked.has(figure.dataset.closeup)) draw(figure);
}

export function wireCloseup() {
  document.addEventListener('toggle', (event) => {
    const details = /** @type {HTMLDetailsElement} */ (event.target);
    const figure = /** @type {HTMLElement | null | undefined} */ (details.closest('[data-shows-role]')?.querySelector('[data-closeup]'));
    if (!details.open || !figure || looked.has(figure.dataset.closeup)) return;
    looked.add(figure.dataset.closeup);
    if (narrow.matches) draw(figure);
  }, true); // it does not bubble
  whenCome(drawAll);
  narrow.addEventListener('change', drawAll);
}
