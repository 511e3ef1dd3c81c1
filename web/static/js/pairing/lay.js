/**
 * Lay a colour on a board: the patch is moved and sized by finger, mouse, arrow keys and numbers.
 *
 *   <form data-lay-colour> <svg class="laid"> <svg data-patch/> <g data-hold>…</g> … <input name="x">
 *
 * Where it is stands in the address, so that it can be kept; another board or colour is asked of the
 * server.
 */
import { clearProblem, showProblem } from '../form/problem.js';
import { clamp, grown, moved } from '../marking/rectangle.js';
import { keepStill } from '../page/still.js';

const NAMES = ['x', 'y', 'w', 'h'];
const STEP = 1; // percent for a press of a key

/** @type {{form: HTMLFormElement, pointer: number, from: {x: number, y: number}, was: any, sizes: boolean} | null} */
let held = null;

/** @param {HTMLFormElement} form @param {string} name @returns {HTMLInputElement} */
function field(form, name) {
  return /** @type {HTMLInputElement} */ (form.elements.namedItem(name));
}

/** @param {HTMLInputElement} input @returns {number} of percent, NaN for what is no number */
function percent(input) {
  const text = input.value.trim();
  return text ? Number(text.replace(',', '.').replace(/\s*%$/, '')) : NaN;
}

/** @param {HTMLFormElement} form @returns {{x: number, y: number, w: number, h: number} | null} null where one is no number */
function read(form) {
  const [x, y, w, h] = NAMES.map((name) => percent(field(form, name)));
  return [x, y, w, h].every(Number.isFinite) ? clamp({ x, y, w, h }) : null;
}

/** @param {HTMLFormElement} form @param {Record<string, number>} place */
function draw(form, place) {
  const board = /** @type {SVGSVGElement} */ (form.querySelector('.laid'));
  const [wide, high] = [Number(board.dataset.wide), Number(board.dataset.high)];
  /** @type {Record<string, number>} */
  const box = { x: (place.x * wide) / 100, y: (place.y * high) / 100, width: (place.w * wide) / 100, height: (place.h * high) / 100 };
  for (const part of board.querySelectorAll('[data-patch], .laid-edge')) {
    for (const [name, value] of Object.entries(box)) part.setAttribute(name, String(value));
  }
  const grip = board.querySelector('.laid-grip');
  grip?.setAttribute('cx', String(box.x + box.width));
  grip?.setAttribute('cy', String(box.y + box.height));
}

/** @param {HTMLFormElement} form @param {Record<string, number>} place */
function put(form, place) {
  for (const name of NAMES) field(form, name).value = String(place[name]);
  draw(form, place);
}

/** The address says what is seen; links to other lamps and eyes keep where the patch is. @param {HTMLFormElement} form */
function keep(form) {
  const asked = new URLSearchParams(/** @type {any} */ (new FormData(form)));
  history.replaceState(history.state, '', `${form.getAttribute('action')}?${asked}`);
  for (const link of /** @type {NodeListOf<HTMLAnchorElement>} */ (form.querySelectorAll('.seen-ways a'))) {
    const to = new URL(link.href);
    for (const name of NAMES) to.searchParams.set(name, field(form, name).value);
    link.href = to.href;
  }
}

/** @param {Event} event @returns {HTMLFormElement | null} */
function formOf(event) {
  const target = event.target instanceof Element ? event.target : null;
  return /** @type {HTMLFormElement | null} */ (target?.closest('form[data-lay-colour]') ?? null);
}

/** @param {PointerEvent} event @param {HTMLFormElement} form @returns {{x: number, y: number}} percent of the picture */
function at(event, form) {
  const board = /** @type {SVGSVGElement} */ (form.querySelector('.laid'));
  const image = /** @type {SVGGraphicsElement} */ (board.querySelector('image'));
  const box = image.getBoundingClientRect();
  return { x: ((event.clientX - box.left) / box.width) * 100, y: ((event.clientY - box.top) / box.height) * 100 };
}

/** @param {PointerEvent} event */
function down(event) {
  const form = formOf(event);
  const hold = /** @type {Element} */ (event.target).closest('[data-hold]');
  const was = form && hold && read(form);
  if (!form || !hold || !was || event.button) return;
  hold.setPointerCapture(event.pointerId);
  /** @type {HTMLElement} */ (hold).focus({ preventScroll: true });
  event.preventDefault();
  held = { form, pointer: event.pointerId, from: at(event, form), was, sizes: /** @type {Element} */ (event.target).matches('.laid-grip') };
}

/** @param {PointerEvent} event */
function move(event) {
  if (!held || event.pointerId !== held.pointer) return;
  const { form, from, was, sizes } = held;
  const to = at(event, form);
  put(form, (sizes ? grown : moved)(was, to.x - from.x, to.y - from.y));
}

/** @param {PointerEvent} event */
function up(event) {
  if (!held || event.pointerId !== held.pointer) return;
  keep(held.form);
  held = null;
}

/** @type {Record<string, [number, number]>} */
const KEYS = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] };

/** @param {KeyboardEvent} event */
function key(event) {
  const form = formOf(event);
  const by = KEYS[event.key];
  if (!form || !by || !(event.target instanceof Element) || !event.target.matches('[data-hold]')) return;
  const place = read(form);
  if (!place) return;
  event.preventDefault();
  put(form, (event.shiftKey ? grown : moved)(place, ...by));
  keep(form);
}

/** What was typed and cannot be shown so is said beside it. @param {HTMLFormElement} form @param {HTMLInputElement} typed */
function check(form, typed) {
  clearProblem(form);
  const place = read(form);
  const name = /** @type {'x' | 'y' | 'w' | 'h'} */ (typed.name);
  if (!NAMES.includes(name)) return;
  if (place && Math.abs(place[name] - percent(typed)) < 0.05) return;
  const detail = place ? `That reaches beyond the board; ${place[name]} is shown. From 0 to 100 %.` : 'Give a number of percent, such as 30.';
  showProblem(form, { errors: [{ pointer: `/${name}`, detail }] });
}

export function wireLay() {
  document.addEventListener('pointerdown', down);
  document.addEventListener('pointermove', move);
  for (const over of ['pointerup', 'pointercancel']) document.addEventListener(over, /** @type {any} */ (up));
  document.addEventListener('keydown', key);
  document.addEventListener('input', (event) => {
    const form = formOf(event);
    const place = form && event.target instanceof HTMLInputElement && read(form);
    if (!form || !place) return;
    draw(form, place);
    keep(form);
  });
  document.addEventListener('change', (event) => {
    const form = formOf(event);
    if (form && event.target instanceof HTMLInputElement) check(form, event.target);
    if (form && event.target instanceof HTMLSelectElement) form.requestSubmit();
  });
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll('form[data-lay-colour]'))) {
    for (const hold of form.querySelectorAll('[data-hold]')) keepStill(hold);
    const place = read(form);
    if (place) draw(form, place);
  }
}
