/**
 * How a figure looks on its picture: lines in two tones, a veil over what is left out, and a handle
 * at every point. The handles are kept from one drawing to the next, with the cursor in them.
 */
import { layerOver } from './layer.js';
import { pointInWords } from './figure.js';
import { format as pointsText } from './points.js';

/** @typedef {import('./points.js').Point} Point @typedef {import('./figure.js').Figure} Figure @typedef {import('./figure.js').Kind} Kind @typedef {import('./figure.js').Place} Place */

const SVG = 'http://www.w3.org/2000/svg';
const HELP = 'Arrow keys move by half a percent, with Shift by five. Enter places a point where the cross is; on the same place again it closes the outline. Delete removes a point of an outline. Escape ends.';

/**
 * @param {string} name
 * @param {Record<string, string>} attributes
 * @returns {SVGElement}
 */
export function drawn(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

/** @returns {SVGElement} an empty drawing in percent of whatever it covers */
export const sheetInPercent = () => drawn('svg', { viewBox: '0 0 100 100', preserveAspectRatio: 'none', class: 'mark-lines' });

/**
 * The same line twice, light on dark: one of them shows on any picture.
 * @param {string} name
 * @param {Record<string, string>} attributes
 * @returns {SVGElement[]}
 */
export const inTwoTones = (name, attributes) => ['mark-under', 'mark-over'].map((tone) => drawn(name, { ...attributes, class: `${tone} ${attributes.class ?? ''}` }));

/** @param {HTMLElement} pick @param {string} id @returns {HTMLElement | null} null without a picture */
export function markLayer(pick, id) {
  const picture = pick.querySelector('img');
  if (!picture) return null;
  const layer = layerOver(picture, 'mark-layer');
  if (layer.firstChild) return layer;
  const cross = document.createElement('span');
  cross.className = 'mark-cross';
  const help = document.createElement('span');
  help.id = `${id}-mark-help`;
  help.hidden = true; // a description may be hidden and is still read out
  help.textContent = HELP;
  layer.setAttribute('aria-label', 'Marks on the picture');
  layer.setAttribute('aria-describedby', help.id);
  layer.append(sheetInPercent(), cross, help);
  const words = document.createElement('p');
  words.className = 'mark-words';
  words.setAttribute('role', 'status');
  pick.append(words);
  return layer;
}

/** @param {Kind} kind @param {Figure} figure @param {string[]} faults @returns {SVGElement[]} */
function lines(kind, { rings, open }, faults) {
  const made = [];
  if (kind === 'polygon' && rings.length && open !== 0) {
    const closed = rings.filter((_, i) => i !== open).map((ring) => `M${pointsText(ring)}Z`);
    made.push(drawn('path', { d: `M0,0H100V100H0Z${closed.join('')}`, 'fill-rule': 'evenodd', class: 'mark-veil' }));
  }
  rings.forEach((ring, i) => {
    const closed = kind === 'corners' ? ring.length === 4 : kind === 'polygon' && i !== open;
    made.push(...inTwoTones(closed ? 'polygon' : 'polyline', { points: pointsText(ring), class: faults[i] ? 'is-crossed' : '' }));
  });
  return made;
}

/** @param {HTMLElement} layer @param {Place} place @returns {HTMLElement | undefined} */
export function handleAt(layer, { ring, index }) {
  return handlesOf(layer).find(({ dataset }) => dataset.ring === String(ring) && dataset.index === String(index));
}

/** @param {HTMLElement} layer @returns {HTMLElement[]} */
const handlesOf = (layer) => /** @type {HTMLElement[]} */ ([...layer.querySelectorAll('.mark-handle')]);

/**
 * @param {HTMLElement} layer
 * @param {Kind} kind
 * @param {Figure} figure
 * @param {{armed: boolean, faults: string[], cross: Point}} now
 */
export function drawFigure(layer, kind, figure, { armed, faults, cross }) {
  layer.classList.toggle('is-armed', armed);
  // A screen reader hands the arrow keys on to an application only.
  layer.setAttribute('role', armed ? 'application' : 'group');
  layer.tabIndex = armed ? 0 : -1;
  layer.querySelector('.mark-lines')?.replaceChildren(...lines(kind, figure, faults));
  placeAt(/** @type {HTMLElement} */ (layer.querySelector('.mark-cross')), cross);

  const places = figure.rings.flatMap((points, ring) => points.map((at, index) => ({ ring, index, at })));
  const handles = handlesOf(layer);
  for (const spare of handles.slice(places.length)) spare.remove();
  places.forEach(({ ring, index, at }, i) => {
    const handle = handles[i] ?? makeHandle(layer);
    placeAt(handle, at);
    handle.dataset.ring = String(ring);
    handle.dataset.index = String(index);
    handle.tabIndex = armed ? 0 : -1;
    handle.setAttribute('aria-disabled', String(!armed));
    handle.setAttribute('aria-label', pointInWords(figure.rings, { ring, index }));
    handle.classList.toggle('is-first', ring === figure.open && index === 0 && figure.rings[ring].length > 2);
    if (kind === 'corners') handle.dataset.number = String(index + 1);
  });
}

/** @param {HTMLElement} layer @returns {HTMLElement} */
function makeHandle(layer) {
  const handle = document.createElement('span'); // a button element would take on the page's looks
  handle.className = 'mark-handle';
  handle.setAttribute('role', 'button');
  layer.append(handle);
  return handle;
}

/** @param {HTMLElement} element @param {Point} at */
function placeAt(element, { x, y }) {
  element.style.left = `${x}%`;
  element.style.top = `${y}%`;
}
