/**
 * How parts of the instrument are painted while wood is tried on them. The server draws each part
 * (`<g data-role data-paint>`) and hands over, with each piece, the patterns that it would draw the
 * part with; here they only change places.
 *
 * @typedef {{paint: string, patterns: DocumentFragment}} Painting patterns: an <svg> with <defs>
 */

/** What is only pointed at, by role; it goes over what was kept. @type {Map<string, Painting>} */
let pointed = new Map();
/** What was kept and is not drawn by the server yet, by role. @type {Map<string, Painting>} */
const kept = new Map();

/** @returns {SVGSVGElement | null} */
const drawing = () => document.querySelector('#panel .front svg');

/** @param {SVGSVGElement} svg @param {Painting} painting */
function bringPatterns(svg, { patterns }) {
  for (const pattern of patterns.querySelectorAll('defs > *')) {
    if (!svg.querySelector(`#${CSS.escape(pattern.id)}`)) svg.querySelector('defs')?.append(document.importNode(pattern, true));
  }
}

/** @param {SVGElement} part @param {string} paint */
function paintPart(part, paint) {
  const was = part.dataset.paint ?? '';
  if (was === paint) return;
  part.dataset.drawn ??= was; // as it came
  for (const shape of part.querySelectorAll('*')) {
    for (const name of ['fill', 'stroke']) if (shape.getAttribute(name) === was) shape.setAttribute(name, paint);
  }
  part.dataset.paint = paint;
}

/** Show each part as it is tried, kept or drawn. */
function show() {
  const svg = drawing();
  if (!svg) return;
  for (const part of /** @type {NodeListOf<SVGElement>} */ (svg.querySelectorAll('[data-paint]'))) {
    const role = part.dataset.role ?? '';
    const painting = pointed.get(role) ?? kept.get(role);
    if (painting) bringPatterns(svg, painting);
    paintPart(part, painting?.paint ?? part.dataset.drawn ?? part.dataset.paint ?? '');
  }
}

/** @param {Map<string, Painting>} paintings by role; none puts all back that was only pointed at */
export function pointAt(paintings) {
  pointed = paintings;
  show();
}

/** @param {string} role @param {Painting} painting */
export function keepPainted(role, painting) {
  kept.set(role, painting);
  show();
}

/** What was kept is drawn by the server now, or was refused. @param {string} role */
export function letGo(role) {
  kept.delete(role);
  show();
}

/** The drawing has come again: what is tried on it stays. */
export const paintAgain = show;
