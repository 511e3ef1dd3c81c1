/**
 * Which line of a photograph becomes the joint: drag it on the photograph, or move the slider, which
 * is what the form sends and what the keyboard works.
 *
 *   <svg data-lay="form-id" data-size="1600 900" viewBox="0 0 900 1600">
 *     <image …/><rect class="lay-veil"/><path class="lay-line"/>…</svg>
 *
 * The photograph stands as it is turned, the side that is not kept is veiled. Where it lies at its
 * true size, the instrument beside moves with the line: data-board names its pattern there.
 */
import { pointIn } from './in-drawing.js';
import { layingOf, placed } from './placement-lines.js';

/** @type {{svg: SVGSVGElement, pointer: number} | null} */
let drag = null;

/** @param {Element} svg @returns {HTMLFormElement | null} */
const formOf = (svg) => /** @type {any} */ (document.getElementById(svg.getAttribute('data-lay') ?? ''));

/** @param {HTMLFormElement} form @param {string} name @returns {any} */
const control = (form, name) => form.elements.namedItem(`laying.${name}`);

/** @param {SVGSVGElement} svg */
function draw(svg) {
  const form = formOf(svg);
  if (!form) return;
  const [width, height] = (svg.dataset.size ?? '').split(' ').map(Number);
  const asked = { centre: Number(control(form, 'centre').value), match: control(form, 'match').value, turn: Number(control(form, 'turn').value) };
  const { box, photograph, veil, line } = layingOf({ width, height }, asked);
  svg.setAttribute('viewBox', `0 0 ${box.width} ${box.height}`);
  svg.querySelector('image')?.setAttribute('transform', photograph);
  const shade = svg.querySelector('.lay-veil');
  for (const [name, value] of Object.entries(veil)) shade?.setAttribute(name, String(value));
  for (const path of svg.querySelectorAll('.lay-line')) path.setAttribute('d', `M${line} 0V${box.height}`);
  const grip = svg.querySelector('.lay-grip');
  for (const [name, value] of Object.entries({ cx: line, cy: box.height / 2, r: Math.max(box.width, box.height) / 40 })) grip?.setAttribute(name, String(value));
  moveBoard(svg, asked);
}

/**
 * The instrument beside, while nothing but the line has been changed.
 * @param {SVGSVGElement} svg @param {{centre: number, match: string, turn: number}} asked
 */
function moveBoard(svg, { centre, match, turn }) {
  const { board, boardWidth, boardHalf, match: kept, turn: turned } = svg.dataset;
  if (!board || match !== kept || String(turn) !== turned) return;
  for (const pattern of document.querySelectorAll(`pattern[id$="${CSS.escape(board)}"]`)) {
    pattern.setAttribute('patternTransform', placed(pattern.getAttribute('patternTransform') ?? '', centre, Number(boardWidth), Number(boardHalf)));
  }
}

const drawings = () => /** @type {NodeListOf<SVGSVGElement>} */ (document.querySelectorAll('svg[data-lay]'));

function drawAll() {
  for (const svg of drawings()) draw(svg);
}

/** @param {PointerEvent} event */
function follow(event) {
  const form = drag && formOf(drag.svg);
  const at = drag && pointIn(drag.svg, event);
  if (!drag || !form || !at) return;
  const slider = control(form, 'centre');
  slider.value = String((at.x / drag.svg.viewBox.baseVal.width) * 100); // which rounds it and keeps it within
  slider.dispatchEvent(new Event('input', { bubbles: true }));
}

export function wireLaying() {
  drawAll();
  document.addEventListener('brief:filled', drawAll);
  document.addEventListener('brief:refreshed', drawAll);
  document.addEventListener('reset', () => setTimeout(drawAll)); // the fields change after the event
  for (const kind of ['input', 'change']) {
    document.addEventListener(kind, (event) => {
      const form = /** @type {any} */ (event.target).form;
      if (form) for (const svg of drawings()) if (formOf(svg) === form) draw(svg);
    });
  }
  document.addEventListener('pointerdown', (event) => {
    const svg = /** @type {SVGSVGElement | null} */ (/** @type {Element} */ (event.target).closest?.('svg[data-lay]'));
    if (!svg || drag || event.button !== 0) return;
    drag = { svg, pointer: event.pointerId };
    svg.setPointerCapture(event.pointerId);
    follow(event);
  });
  document.addEventListener('pointermove', (event) => event.pointerId === drag?.pointer && follow(event));
  for (const kind of ['pointerup', 'pointercancel']) {
    document.addEventListener(kind, (event) => {
      if (/** @type {PointerEvent} */ (event).pointerId === drag?.pointer) drag = null;
    });
  }
}
