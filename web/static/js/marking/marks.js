/**
 * Mark points on a picture with mouse, pen, finger or keys, bound both ways to a text field.
 *
 *   <button type="button" data-mark-toggle="grain">Mark the line</button>
 *   <button type="button" data-mark-clear="grain">Clear</button>
 *   <div class="pick" data-mark="grain" data-mark-as="line"><img …></div>
 *   <input id="grain" name="grain" value="10,50 90,50">
 *
 * data-mark-as: `spot` ("x,y"), `line` (two points), `corners` (four, in order) or `polygon` (an SVG
 * selector, with holes). Percent of the picture. Only while the toggle is pressed does tapping
 * place anything: otherwise a finger that wants to scroll past would leave a point behind.
 *
 * The field holds all that is marked, also while it is unfinished, so nothing is lost by a refresh
 * and the server says what is still missing.
 */
import { write } from '../form/carry.js';
import { faults, hint, movedTo, nearest, neighbourUnder, pointInWords, read, tap, without, written } from './figure.js';
import { whenDone } from '../form/folds.js';
import { magnify, putAway } from './magnifier.js';
import { drawFigure, handleAt, markLayer } from './mark-layer.js';
import { apart, inWords, shifted, toPercent } from './points.js';

/** @typedef {import('./points.js').Point} Point @typedef {import('./figure.js').Figure} Figure @typedef {import('./figure.js').Kind} Kind @typedef {import('./figure.js').Place} Place */
/** @typedef {{id: string, field: HTMLInputElement, layer: HTMLElement, picture: HTMLImageElement, kind: Kind, figure: Figure}} Marking */

const GRASP = 16; // px: half a handle
const STILL = 4; // px: a hand's tremble is no drawing
const ON_TOP = 8; // px: a point let go there was meant to go
const STEP = 0.5;
const BIG_STEP = 5;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Fields whose picture may be marked; these and the next are kept so that a refresh does not end them. */
const armed = new Set();

/** The ring being drawn, by field; of no account once the field says something else. @type {Map<string, {value: string, ring: number}>} */
const drawing = new Map();

/** Where the cross of the keyboard is, by field. @type {Map<string, Point>} */
const crosses = new Map();

/** What has just happened, until the next thing does. */
let told = { id: '', words: '' };

/** @type {{id: string, pointer: number, place: Place, from: Point, offset: Point, added: boolean, crowded: boolean, started: boolean, before: string, open: number} | null} */
let drag = null;

const fieldFor = (/** @type {string} */ id) => /** @type {HTMLInputElement | null} */ (document.getElementById(id));
const picksFor = (/** @type {string} */ id) => /** @type {HTMLElement[]} */ ([...document.querySelectorAll(`[data-mark="${CSS.escape(id)}"]`)]);
const crossOf = (/** @type {string} */ id) => crosses.get(id) ?? { x: 50, y: 50 };
const pixelsPerPercent = (/** @type {Element} */ layer) => {
  const { width, height } = layer.getBoundingClientRect();
  return { x: width / 100, y: height / 100 };
};

/** @param {string} id @param {HTMLElement} [pick] @returns {Marking | null} as the field has it now */
function markingOf(id, pick = picksFor(id)[0]) {
  const field = fieldFor(id);
  const layer = pick && markLayer(pick, id);
  const picture = pick?.querySelector('img');
  if (!field || !layer || !picture) return null;
  const kind = /** @type {Kind} */ (pick.dataset.markAs);
  const now = drawing.get(id);
  return { id, field, layer, picture, kind, figure: read(kind, field.value, now?.value === field.value ? now.ring : -1) };
}

/** @param {Element} inner @returns {Marking | null} */
function markingAt(inner) {
  const pick = /** @type {HTMLElement | null} */ (inner.closest('[data-mark]'));
  return pick && markingOf(pick.dataset.mark ?? '', pick);
}

/** Show what the field says. @param {string} id */
function show(id) {
  for (const pick of picksFor(id)) {
    const marking = markingOf(id, pick);
    if (!marking) continue;
    const { kind, figure, layer } = marking;
    const wrong = faults(kind, figure);
    pick.toggleAttribute('data-mark-armed', armed.has(id));
    drawFigure(layer, kind, figure, { armed: armed.has(id), faults: wrong, cross: crossOf(id) });
    const next = (told.id === id && told.words) || (armed.has(id) ? hint(kind, figure) : '');
    const words = [...new Set(wrong)].filter(Boolean).map((fault) => `${fault}.`).concat(next).join(' ').trim();
    const status = /** @type {HTMLElement} */ (pick.querySelector('.mark-words'));
    if (status.textContent !== words) status.textContent = words; // said again only when it changes
  }
  for (const toggle of document.querySelectorAll(`[data-mark-toggle="${CSS.escape(id)}"]`)) {
    toggle.setAttribute('aria-pressed', String(armed.has(id)));
  }
}

function showAll() {
  for (const pick of document.querySelectorAll('[data-mark]')) show(/** @type {HTMLElement} */ (pick).dataset.mark ?? '');
}

/**
 * @param {Marking} marking
 * @param {string} value what the field is to say
 * @param {number} open the ring that is still being drawn
 * @param {string} words what has happened, if there is more to say than what to do next
 */
function put({ id, field }, value, open, words) {
  if (open < 0) drawing.delete(id);
  else drawing.set(id, { value, ring: open });
  told = { id, words };
  write(field, value); // which shows it
}

/** @param {Marking} marking @param {Figure} figure @param {string} [words] */
const store = (marking, { rings, open }, words = '') => put(marking, written(marking.kind, rings), open, words);

/** @param {Marking} marking @param {Figure} figure @returns {boolean} whether the ring had points enough */
function close(marking, { rings, open }) {
  if (open < 0 || rings[open].length < 3) return false;
  store(marking, { rings, open: -1 }, 'The outline is closed.');
  return true;
}

/** @param {Marking} marking @param {Point} at @returns {Place | null} */
function place(marking, at) {
  const made = tap(marking.kind, marking.figure, at, pixelsPerPercent(marking.layer));
  if (made) store(marking, made);
  else {
    told = { id: marking.id, words: 'The outline is closed. Tap inside it, or on its line.' };
    show(marking.id);
  }
  return made?.place ?? null;
}

/** @param {Marking} marking @param {Place} place @param {Point} to @param {boolean} byKey */
function move(marking, place, to, byKey) {
  const { figure, picture, layer } = marking;
  const rings = movedTo(figure.rings, place, to);
  store(marking, { ...figure, rings }, byKey ? pointInWords(rings, place) : '');
  magnify(picture, layer.getBoundingClientRect(), rings[place.ring][place.index], byKey);
}

/** @param {string} id */
function disarm(id) {
  armed.delete(id);
  drawing.delete(id);
  told = { id: '', words: '' };
  putAway();
  show(id);
}

/** End the marking for fields within an element that is done with. @param {Element} element */
function disarmIn(element) {
  for (const id of armed) if (element.contains(fieldFor(id))) disarm(id);
}

/** @param {string} id @param {boolean} byKey */
function toggle(id, byKey) {
  if (armed.has(id)) return disarm(id);
  armed.add(id);
  show(id);
  // Tapping takes a pointer; whoever came by keyboard gets the cross.
  if (byKey) markingOf(id)?.layer.focus();
}

/** @param {PointerEvent} event @param {Element} layer */
const pointAt = (event, layer) => toPercent(layer.getBoundingClientRect(), { x: event.clientX, y: event.clientY });

/** @param {PointerEvent} event */
function start(event) {
  const layer = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest?.('.mark-layer.is-armed'));
  const marking = layer && markingAt(layer);
  if (!marking || !layer.clientWidth || drag || event.button !== 0) return;
  event.preventDefault();
  const { figure, field, id } = marking;
  const scale = pixelsPerPercent(layer);
  const from = pointAt(event, layer);
  // By distance, not by handle: where handles overlap, the nearer one is meant.
  const held = nearest(figure.rings, from, scale, GRASP);
  const before = { before: field.value, open: figure.open };
  const grasped = held ?? place(marking, from);
  if (!grasped) return;
  const now = /** @type {Marking} */ (markingAt(layer)).figure;
  const { x, y } = now.rings[grasped.ring][grasped.index];
  const crowded = neighbourUnder(now, grasped, scale, ON_TOP) >= 0;
  drag = { id, pointer: event.pointerId, place: grasped, from, offset: { x: x - from.x, y: y - from.y }, added: !held, crowded, started: false, ...before };
  layer.setPointerCapture(event.pointerId);
  // The cursor goes along, so that the keys can put right what the finger could not.
  handleAt(layer, grasped)?.focus({ preventScroll: true });
  if (event.pointerType !== 'mouse') magnify(marking.picture, layer.getBoundingClientRect(), { x, y });
}

/** @param {PointerEvent} event */
function follow(event) {
  if (!drag || event.pointerId !== drag.pointer) return;
  const marking = markingOf(drag.id);
  if (!marking) return;
  const at = pointAt(event, marking.layer);
  drag.started ||= apart(at, drag.from, pixelsPerPercent(marking.layer)) > STILL;
  if (drag.started) move(marking, drag.place, { x: at.x + drag.offset.x, y: at.y + drag.offset.y }, false);
}

/** @param {boolean} keep */
function stop(keep) {
  const ended = drag;
  drag = null;
  putAway();
  const marking = ended && markingOf(ended.id);
  if (!marking) return;
  const { figure, kind, layer } = marking;
  if (!keep) put(marking, ended.before, ended.open, '');
  else if (kind === 'polygon' && ended.started && !ended.crowded) letGo(marking, ended.place);
  else if (!ended.added && !ended.started && ended.place.ring === figure.open && ended.place.index === 0) close(marking, figure);
  handleAt(layer, ended.place)?.focus({ preventScroll: true });
}

/**
 * A point let go on its neighbour is taken away; the last one on the first closes the outline.
 * @param {Marking} marking @param {Place} place
 */
function letGo(marking, place) {
  const { figure, layer } = marking;
  const under = neighbourUnder(figure, place, pixelsPerPercent(layer), ON_TOP);
  if (under < 0) return;
  const closes = place.ring === figure.open && under === 0 && place.index > 1;
  const left = without(figure, place);
  if (!closes || !close(marking, left)) store(marking, left, 'Point removed.');
}

/** @param {Marking} marking @param {Place} gone */
function remove(marking, gone) {
  store(marking, without(marking.figure, gone), 'Point removed.');
  const { layer } = marking;
  (handleAt(layer, gone) ?? handleAt(layer, { ring: gone.ring, index: gone.index - 1 }) ?? layer).focus();
}

/** Enter on the layer: place a point, or close where one was placed last. @param {Marking} marking */
function enter(marking) {
  const { figure, id, layer } = marking;
  const ring = figure.rings[figure.open];
  const near = (/** @type {Point | undefined} */ point) => point && apart(point, crossOf(id), pixelsPerPercent(layer)) < GRASP / 2;
  if (ring && (near(ring[0]) || near(ring.at(-1))) && close(marking, figure)) return;
  const made = place(marking, crossOf(id));
  const now = made && markingAt(layer)?.figure;
  if (now) told = { id, words: `${pointInWords(now.rings, made)}. ${hint(marking.kind, now)}` };
  show(id);
}

/** @param {Marking} marking @param {Point} by */
function moveCross(marking, by) {
  const { id, picture, layer } = marking;
  const at = shifted(crossOf(id), by.x, by.y);
  crosses.set(id, at);
  told = { id, words: `Cross at ${inWords(at)}` };
  show(id);
  magnify(picture, layer.getBoundingClientRect(), at, true);
}

/** @param {KeyboardEvent} event */
function escape(event) {
  if (drag) return stop(false);
  const layer = /** @type {Element} */ (event.target).closest?.('.mark-layer');
  const id = layer && markingAt(layer)?.id;
  for (const one of [...armed]) disarm(one);
  // What had the cursor cannot have it any longer.
  if (id) /** @type {HTMLElement | null} */ (document.querySelector(`[data-mark-toggle="${CSS.escape(id)}"]`))?.focus();
}

/** @param {KeyboardEvent} event */
function key(event) {
  if (event.key === 'Escape' && (drag || armed.size)) return escape(event);
  const target = /** @type {HTMLElement} */ (event.target);
  const marking = target.closest?.('.mark-layer.is-armed') && markingAt(target);
  if (!marking || event.altKey || event.ctrlKey || event.metaKey) return;
  const { figure } = marking;
  const { ring, index } = target.dataset;
  const held = ring === undefined ? null : { ring: Number(ring), index: Number(index) };
  const arrow = ARROWS[/** @type {keyof typeof ARROWS} */ (event.key)];
  const size = event.shiftKey ? BIG_STEP : STEP;
  if (arrow && held) {
    const { x, y } = figure.rings[held.ring][held.index];
    move(marking, held, { x: x + arrow[0] * size, y: y + arrow[1] * size }, true);
  } else if (arrow) moveCross(marking, { x: arrow[0] * size, y: arrow[1] * size });
  else if (event.key === 'Enter' || event.key === ' ') held ? close(marking, figure) : enter(marking);
  else if (held && marking.kind === 'polygon' && (event.key === 'Delete' || event.key === 'Backspace')) remove(marking, held);
  else return;
  event.preventDefault(); // the page would scroll
}

/** @param {MouseEvent} event */
function press(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  const button = /** @type {HTMLElement | null} */ (target.closest('[data-mark-toggle], [data-mark-clear]'));
  const byKey = event.detail === 0; // no click count: pressed by key
  if (button?.dataset.markToggle) toggle(button.dataset.markToggle, byKey);
  else if (button?.dataset.markClear) {
    const marking = markingOf(button.dataset.markClear);
    if (marking) store(marking, { rings: [], open: -1 });
  } else if (byKey && target.matches('.is-armed > .mark-handle')) {
    // A screen reader presses by a click of its own.
    const marking = markingAt(target);
    if (marking) close(marking, marking.figure);
  }
}

export function wireMarks() {
  showAll();
  document.addEventListener('brief:refreshed', showAll);
  document.addEventListener('brief:filled', showAll);
  whenDone(disarmIn);
  document.addEventListener('reset', () => setTimeout(showAll)); // the fields change after the event
  document.addEventListener('input', (event) => {
    const { id } = /** @type {HTMLElement} */ (event.target);
    if (!id || !picksFor(id).length) return;
    if (event.isTrusted) told = { id: '', words: '' }; // typed
    show(id);
  });
  document.addEventListener('click', press);
  document.addEventListener('pointerdown', start);
  document.addEventListener('pointermove', follow);
  document.addEventListener('pointerup', (event) => event.pointerId === drag?.pointer && stop(true));
  document.addEventListener('pointercancel', (event) => event.pointerId === drag?.pointer && stop(false));
  document.addEventListener('keydown', key);
  document.addEventListener('focusout', (event) => {
    if (!drag && /** @type {Element} */ (event.target).closest?.('.mark-layer')) putAway();
  });
}
