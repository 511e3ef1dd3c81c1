/**
 * Choose a part of a picture: a rectangle drawn with mouse, pen or finger, or moved with the keys,
 * bound both ways to a text field.
 *
 *   <button type="button" data-pick-toggle="region">Choose a part of the picture</button>
 *   <button type="button" data-pick-clear="region">Whole picture</button>
 *   <div class="pick" data-pick="region"><img …> or <svg …></div>
 *   <input id="region" name="region" data-as="region" value="10, 10, 50, 50">
 *
 * Only while the toggle is pressed (data-pick-armed) does dragging on the picture draw: otherwise a
 * finger that wants to scroll past it would leave a rectangle behind. With data-pick-as="spot" a
 * tap sets a small one.
 */
import { write } from '../form/carry.js';
import { whenDone } from '../form/folds.js';
import { layerOver } from './layer.js';
import { about, grown, inWords, moved, plain, readPlain, spanning, stretched } from './rectangle.js';
import { bringIntoView } from '../page/view.js';

/** @typedef {import('./rectangle.js').Rectangle} Rectangle @typedef {import('./rectangle.js').Point} Point */

const SPOT = 6; // percent wide: what a finger can point at
const START = { x: 25, y: 25, w: 50, h: 50 };
const HELP = 'Arrow keys move it. Shift with an arrow key changes its size. Delete clears it.';
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Fields whose picture may be drawn on; kept here so that a refresh does not end it. */
const armed = new Set();

/** @type {{input: HTMLInputElement, layer: HTMLElement, before: string, pointer: number, draw: (at: Point) => Rectangle, tap: Rectangle | null, from: Point, started: boolean} | null} */
let drag = null;

const fieldFor = (/** @type {string} */ id) => /** @type {HTMLInputElement | null} */ (document.getElementById(id));
const picksFor = (/** @type {string} */ id) => /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(`[data-pick="${CSS.escape(id)}"]`));
const pickOf = (/** @type {Element} */ inner) => /** @type {HTMLElement | null} */ (inner.closest('[data-pick]'));

/** @param {HTMLInputElement} field @param {Rectangle} rectangle */
const put = (field, rectangle) => write(field, plain(rectangle));

/** @param {HTMLElement} layer @param {string} id @returns {HTMLElement} the rectangle's element */
function makeBox(layer, id) {
  const box = document.createElement('div');
  box.className = 'pick-box';
  box.tabIndex = 0;
  box.setAttribute('role', 'group');
  const help = document.createElement('span');
  help.id = `${id}-pick-help`;
  help.hidden = true; // a description may be hidden and is still read out
  help.textContent = HELP;
  box.setAttribute('aria-describedby', help.id);
  for (const corner of ['nw', 'ne', 'sw', 'se']) {
    const handle = document.createElement('span');
    handle.className = `pick-handle pick-${corner}`;
    handle.dataset.corner = corner;
    box.append(handle);
  }
  layer.append(box, help);
  return box;
}

/** Show what the field says. @param {string} id */
function show(id) {
  const field = fieldFor(id);
  if (!field) return; // it waits in its fold
  const rectangle = readPlain(field.value);
  for (const pick of picksFor(id)) {
    const picture = /** @type {HTMLImageElement | SVGSVGElement | null} */ (pick.querySelector('img, svg'));
    if (!picture) continue;
    const layer = layerOver(picture, 'pick-layer');
    pick.toggleAttribute('data-pick-armed', armed.has(id));
    layer.classList.toggle('is-armed', armed.has(id));
    const box = /** @type {HTMLElement} */ (layer.querySelector('.pick-box') ?? makeBox(layer, id));
    box.hidden = !rectangle;
    if (!rectangle) continue;
    box.style.left = `${rectangle.x}%`;
    box.style.top = `${rectangle.y}%`;
    box.style.width = `${rectangle.w}%`;
    box.style.height = `${rectangle.h}%`;
    box.setAttribute('aria-label', `Chosen part of the picture: ${inWords(rectangle)}`);
  }
  for (const toggle of document.querySelectorAll(`[data-pick-toggle="${CSS.escape(id)}"]`)) {
    toggle.setAttribute('aria-pressed', String(armed.has(id)));
  }
}

function showAll() {
  const ids = [...document.querySelectorAll('[data-pick]')].map((pick) => /** @type {HTMLElement} */ (pick).dataset.pick ?? '');
  for (const id of new Set(ids)) show(id);
}

/** @param {string} id @param {boolean} byKey */
function toggle(id, byKey) {
  if (!armed.delete(id)) armed.add(id);
  show(id);
  const field = fieldFor(id);
  const pick = picksFor(id)[0];
  if (pick && armed.has(id)) bringIntoView(pick); // it may be far from its form
  // Drawing takes a pointer; whoever came by keyboard gets a rectangle to move.
  if (!byKey || !armed.has(id) || !field) return;
  if (!readPlain(field.value)) put(field, START);
  /** @type {HTMLElement | null} */ (pick?.querySelector('.pick-box'))?.focus({ preventScroll: true });
}

/** End the drawing for fields within an element that is done with. @param {Element} element */
function disarmIn(element) {
  for (const id of armed) {
    if (!element.contains(fieldFor(id))) continue;
    armed.delete(id);
    show(id);
  }
}

/** @param {string} id */
function clear(id) {
  const field = fieldFor(id);
  if (field) write(field, '');
}

/** @param {HTMLElement} layer @param {PointerEvent} event @returns {Point} in percent */
function pointAt(layer, event) {
  const { left, top, width, height } = layer.getBoundingClientRect();
  return { x: ((event.clientX - left) / width) * 100, y: ((event.clientY - top) / height) * 100 };
}

/** @param {PointerEvent} event */
function start(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  const layer = /** @type {HTMLElement | null} */ (target.closest?.('.pick-layer.is-armed'));
  const field = layer && fieldFor(pickOf(layer)?.dataset.pick ?? '');
  if (!layer || !field || drag || event.button !== 0) return;
  event.preventDefault();
  const from = pointAt(layer, event);
  const old = readPlain(field.value);
  const corner = /** @type {any} */ (target.dataset.corner);
  /** @type {(at: Point) => Rectangle} */
  let draw = (at) => spanning(from, at);
  const { width, height } = layer.getBoundingClientRect();
  const tap = !corner && pickOf(layer)?.dataset.pickAs === 'spot' ? about(from, SPOT, width / height) : null;
  if (old && corner) draw = (at) => stretched(old, corner, at);
  else if (old && target.closest('.pick-box')) draw = (at) => moved(old, at.x - from.x, at.y - from.y);
  drag = { input: field, layer, before: field.value, pointer: event.pointerId, draw, tap, from, started: false };
  layer.setPointerCapture(event.pointerId);
}

/** @param {PointerEvent} event */
function follow(event) {
  if (!drag || event.pointerId !== drag.pointer) return;
  const at = pointAt(drag.layer, event);
  // A tap must not wipe the rectangle out: a hand's tremble is no drawing.
  drag.started ||= Math.hypot(at.x - drag.from.x, at.y - drag.from.y) > 1;
  if (drag.started) put(drag.input, drag.draw(at));
}

/** @param {boolean} keep */
function stop(keep) {
  if (drag && !keep) write(drag.input, drag.before);
  else if (drag?.tap && !drag.started) put(drag.input, drag.tap);
  // The cursor goes along, so that the keys can put right what the finger could not.
  /** @type {HTMLElement | null | undefined} */ (drag?.layer.querySelector('.pick-box'))?.focus({ preventScroll: true });
  drag = null;
}

/** @param {KeyboardEvent} event */
function key(event) {
  if (event.key === 'Escape' && drag) return stop(false);
  const box = /** @type {Element} */ (event.target).closest?.('.pick-box');
  const id = box && pickOf(box)?.dataset.pick;
  const field = id ? fieldFor(id) : null;
  const old = field && readPlain(field.value);
  if (!id || !field || !old) return;
  const arrow = ARROWS[/** @type {keyof typeof ARROWS} */ (event.key)];
  if (arrow) {
    event.preventDefault(); // the page would scroll
    put(field, (event.shiftKey ? grown : moved)(old, arrow[0], arrow[1]));
  } else if (event.key === 'Delete' || event.key === 'Backspace') {
    event.preventDefault();
    clear(id);
    // The box that had the cursor is gone.
    /** @type {HTMLElement | null} */ (document.querySelector(`[data-pick-toggle="${CSS.escape(id)}"]`))?.focus();
  }
}

export function wireRegion() {
  showAll();
  document.addEventListener('brief:refreshed', showAll);
  document.addEventListener('brief:filled', showAll);
  whenDone(disarmIn);
  document.addEventListener('reset', () => setTimeout(showAll)); // the fields change after the event
  document.addEventListener('input', (event) => {
    const { id } = /** @type {HTMLElement} */ (event.target);
    if (id && picksFor(id).length) show(id);
  });
  document.addEventListener('click', (event) => {
    const button = /** @type {Element} */ (event.target).closest('[data-pick-toggle], [data-pick-clear]');
    if (!(button instanceof HTMLElement)) return;
    const { pickToggle, pickClear } = button.dataset;
    if (pickToggle) toggle(pickToggle, event.detail === 0); // no click count: pressed by key
    else if (pickClear) clear(pickClear);
  });
  document.addEventListener('pointerdown', start);
  document.addEventListener('pointermove', follow);
  document.addEventListener('pointerup', (event) => event.pointerId === drag?.pointer && stop(true));
  document.addEventListener('pointercancel', (event) => event.pointerId === drag?.pointer && stop(false));
  document.addEventListener('keydown', key);
}
