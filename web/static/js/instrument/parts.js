/**
 * The parts of the instrument, on its drawing and in the list beside it: one is chosen to try wood on
 * (tries.js).
 *
 *   <section id="tries" hidden>  where what the rack has for it is shown
 *   <li data-part="ID" data-shows-role="top" data-face="front">
 *     <button data-pick-part aria-pressed="false">…</button> <details data-later>…</details></li>
 *
 * On the turned picture (../turning/stage.js) a tap tells which roles are there, the nearest first.
 * On the drawing the arrow keys go from part to part, Enter chooses. A line whose details are
 * `data-later` is fetched in full when it is opened, from its own address.
 */
import { refresh, whenCome } from '../page/refresh.js';
import { say } from '../page/said.js';
import { bringIntoView } from '../page/view.js';
import { bringClose } from './loupe.js';
import { closeTries, openTries, paintedFor } from './tries.js';
import { turnTo } from './view-settings.js';

const LEAST_PX = 24; // what is thinner can be hit beside it, too
const STEPS = /** @type {Record<string, number>} */ ({ ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 });

/** @returns {HTMLElement[]} the lines of the list */
const lines = () => /** @type {HTMLElement[]} */ ([...document.querySelectorAll('li[data-part]')]);
/** @returns {SVGSVGElement | null} of the sheet where wood is chosen */
const drawing = () => document.querySelector('#workplace .front svg');
/** @param {string | undefined} role */
const lineOf = (role) => lines().find((line) => line.dataset.showsRole === role);

/** @returns {SVGGElement[]} the parts that can be chosen, from the top down */
function drawn() {
  const parts = /** @type {SVGGElement[]} */ ([...(drawing()?.querySelectorAll('[data-role]') ?? [])]);
  const known = parts.filter((part) => lineOf(part.dataset.role));
  const middle = new Map(known.map((part) => [part, part.getBBox()]));
  const y = (/** @type {SVGGElement} */ part) => { const box = /** @type {DOMRect} */ (middle.get(part)); return box.y + box.height / 2; };
  return known.sort((one, other) => y(one) - y(other));
}

/**
 * An edge round a thin part that can be hit and not be seen.
 * @param {SVGGElement} part @param {number} scale pixels of a millimetre
 */
function widen(part, scale) {
  const shape = /** @type {SVGGraphicsElement | null} */ (part.querySelector('path, circle, rect'));
  if (!shape || part.querySelector('.hit')) return;
  const { width, height } = shape.getBBox();
  const band = shape.getAttribute('fill') === 'none';
  const stroke = Math.max(...[...part.children].map((one) => Number(one.getAttribute('stroke-width')) || 0));
  const thin = band ? stroke * scale : Math.min(width, height) * scale;
  if (thin >= LEAST_PX) return;
  const hit = /** @type {SVGElement} */ (shape.cloneNode());
  for (const name of ['clip-path', 'vector-effect', 'stroke-dasharray']) hit.removeAttribute(name);
  const wide = band ? stroke + 12 / scale : (LEAST_PX - thin) / scale;
  const look = { class: 'hit', fill: band ? 'none' : 'transparent', stroke: 'transparent', 'stroke-width': wide, 'pointer-events': band ? 'stroke' : 'all' };
  for (const [name, value] of Object.entries(look)) hit.setAttribute(name, String(value));
  part.prepend(hit);
}

/** Draw an edge round the part that was chosen. @param {SVGGElement[]} all @param {string | undefined} chosen */
function outline(all, chosen) {
  for (const edge of document.querySelectorAll('#workplace .chosen-edge')) edge.remove();
  for (const part of all.filter(({ dataset }) => dataset.role === chosen)) {
    const edge = /** @type {SVGElement | undefined} */ (part.querySelector(':is(path, circle, rect):not(.hit)')?.cloneNode());
    if (!edge) continue;
    for (const name of ['clip-path', 'stroke-dasharray']) edge.removeAttribute(name);
    const look = { class: 'chosen-edge', fill: 'none', 'stroke-width': 2.5, 'vector-effect': 'non-scaling-stroke', 'pointer-events': 'none' };
    for (const [name, value] of Object.entries(look)) edge.setAttribute(name, String(value));
    part.append(edge);
  }
}

/** Make the parts of the drawing controls: one is reached by Tab, the others from it. */
function prepare() {
  const svg = drawing();
  if (!svg) return;
  const scale = svg.getScreenCTM()?.a ?? 1;
  svg.setAttribute('role', 'group');
  const all = drawn();
  const chosen = chosenLine()?.dataset.showsRole;
  const first = all.find((part) => part.dataset.role === chosen) ?? all[0];
  for (const part of all) {
    part.setAttribute('role', 'button');
    part.setAttribute('aria-label', part.querySelector('title')?.textContent ?? part.dataset.role ?? '');
    part.setAttribute('tabindex', part === first ? '0' : '-1');
    part.setAttribute('aria-pressed', String(part.dataset.role === chosen));
    widen(part, scale);
  }
  outline(all, chosen);
}

/** @returns {HTMLElement | undefined} the line of the part that was chosen */
const chosenLine = () => lines().find((line) => line.dataset.part === paintedFor());

/** Mark what was chosen, in the list and on the drawing. */
function mark() {
  const id = paintedFor();
  for (const line of lines()) {
    line.classList.toggle('is-chosen', line.dataset.part === id);
    line.querySelector('[data-pick-part]')?.setAttribute('aria-pressed', String(line.dataset.part === id));
  }
  prepare();
}

/** @param {HTMLElement} line of the part to try wood on */
async function choose(line) {
  const { part: id = '', showsRole: role = '', face = 'front' } = line.dataset;
  const seen = () => drawing()?.querySelector(`[data-role="${CSS.escape(role)}"]`);
  const turned = seen() ? undefined : turnTo(face);
  const opened = openTries(id); // what it asks for knows the side already
  mark();
  await turned;
  const part = /** @type {SVGGElement | null | undefined} */ (seen());
  if (part) bringClose(part);
  await opened;
  mark();
}

/** Leave the part that was chosen; the cursor goes back to its line. */
function leave() {
  const line = chosenLine();
  closeTries();
  mark();
  /** @type {HTMLElement | null | undefined} */ (line?.querySelector('[data-pick-part]'))?.focus({ preventScroll: true });
}

/** @param {KeyboardEvent} event */
function onDrawing(event) {
  const part = /** @type {Element} */ (event.target).closest?.('#workplace [data-role][tabindex]');
  if (!part) return;
  const all = drawn();
  const step = STEPS[event.key];
  const line = lineOf(/** @type {SVGElement} */ (part).dataset.role);
  if (['Enter', ' '].includes(event.key) && line) choose(line);
  else if (step) {
    const next = all[(all.indexOf(/** @type {any} */ (part)) + step + all.length) % all.length];
    for (const one of all) one.setAttribute('tabindex', one === next ? '0' : '-1');
    next.focus({ preventScroll: true });
  } else return;
  event.preventDefault();
}

/** Fetch what a line that was opened holds. @param {HTMLDetailsElement} details */
async function fetchLine(details) {
  const line = details.closest('li');
  if (!line || !details.open || !('later' in details.dataset)) return;
  const note = await refresh([`#${CSS.escape(line.id)}`]);
  if (note) say(note, { stays: true });
}

/**
 * Open the line that something is in.
 * @param {string} id its own, or one that ends with the part's
 * @returns {boolean} whether there is such a line, which is being fetched
 */
function openLine(id) {
  const line = lines().find(({ dataset }) => id.endsWith(dataset.part ?? '-'));
  const details = line?.querySelector('details');
  if (!line || !details || !('later' in details.dataset)) return false;
  details.open = true;
  bringIntoView(line);
  return true;
}

export function wireParts() {
  document.addEventListener('click', (event) => {
    const target = /** @type {Element} */ (event.target);
    const line = /** @type {HTMLElement | null} */ (target.closest('[data-pick-part]')?.closest('li') ?? null);
    const part = /** @type {SVGElement | null} */ (target.closest('#workplace [data-role][tabindex]'));
    const picked = line ?? lineOf(part?.dataset.role);
    if (picked && picked.dataset.part === paintedFor() && line) leave();
    else if (picked) choose(picked);
    else if (target.closest('[data-tries-close]')) leave();
  });
  document.addEventListener('turned:tapped', (event) => {
    const picked = /** @type {CustomEvent<{roles: string[]}>} */ (event).detail.roles.map(lineOf).find(Boolean);
    if (picked) choose(picked);
  });
  document.addEventListener('keydown', onDrawing);
  document.addEventListener('tries:left', leave);
  document.addEventListener('toggle', (event) => {
    if (event.target instanceof HTMLDetailsElement) fetchLine(event.target);
  }, true); // it does not bubble
  document.addEventListener('brief:wanted', (event) => {
    if (openLine(/** @type {CustomEvent} */ (event).detail.id)) event.preventDefault();
  });
  window.addEventListener('resize', prepare);
  whenCome(mark);
  const named = () => openLine(decodeURIComponent(location.hash.slice(1)));
  window.addEventListener('hashchange', named);
  mark();
  if (location.hash) named();
}
