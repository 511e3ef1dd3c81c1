/**
 * An inlay is moved, turned and sized on the picture of its part, by finger, mouse or keys. The numbers
 * beside it follow, and go to the API when it is let go; a button beside what is said then, or Escape,
 * puts it back to where it was.
 *
 *   <svg data-inlay-place="form-id" data-along data-across data-turn data-width data-spots="…">
 *     <path class="inlay-moving"/>… <g data-hold="move">…</g><g data-hold="turn">…</g><g data-hold="size">…</g></svg>
 *
 * What is typed into a field is read by the API alone; the picture follows once it is saved.
 */
import { pointIn } from './in-drawing.js';
import { angle, at, byKey, bySlider, moved, onDrawing, same, sized, spotsOf, transform, turned } from './inlay-moves.js';
import { keepStill } from '../page/still.js';

/** @typedef {import('./inlay-moves.js').Place} Place */
/** @typedef {import('./inlay-moves.js').Point} Point */

const TOUCH_PX = 22; // half of what a finger needs
const KNOB_PX = 8;
const OUT_PX = 30; // from the design to a knob
const PAUSE_MS = 900; // after the last key, before it is sent
const MOST_LOOKED_AT = 240; // points of an outline
const FIELDS = /** @type {const} */ ({ along_mm: 'along', across_mm: 'across', turn_deg: 'turn', width_mm: 'width' });

/** What is under a hand or not sent yet, by the id of its form. @type {Map<string, Place>} */
const pending = new Map();
/** Forms that were sent from the picture. @type {Set<string>} */
const sent = new Set();
/** What was accepted of them and is not on the page yet. @type {Map<string, Place>} */
const accepted = new Map();
/** What the fields said before they were last sent from the picture, by the id of their form. @type {Map<string, Record<string, string>>} */
const before = new Map();
/** Forms to put back as soon as what was sent of them is answered. @type {Set<string>} */
const regretted = new Set();
/** @type {{svg: SVGSVGElement, pointer: number, kind: string, from: Point, was: Place} | null} */
let held = null;
let timer = 0;

const key = (/** @type {SVGSVGElement} */ svg) => svg.dataset.inlayPlace ?? '';
const formOf = (/** @type {string} */ id) => /** @type {HTMLFormElement | null} */ (document.getElementById(id));
const svgOf = (/** @type {string} */ id) => /** @type {SVGSVGElement | null} */ (document.querySelector(`svg[data-inlay-place="${CSS.escape(id)}"]`));
const minus = (/** @type {number} */ n) => String(n).replace('-', '−');

/** @param {SVGSVGElement} svg */
function known(svg) {
  const { along, across, turn, width, high, thin, mirrored, shown, spots } = svg.dataset;
  const saved = { along: Number(along), across: Number(across), turn: Number(turn), width: Number(width) };
  const all = spotsOf(spots ?? '');
  return { saved, all, spot: all[Number(shown)], high: Number(high), thin: Number(thin), mirrored: mirrored === '1' };
}

const placeOf = (/** @type {SVGSVGElement} */ svg) => pending.get(key(svg)) ?? known(svg).saved;

/** @param {Element | null} element @param {Record<string, number | string>} values */
function set(element, values) {
  for (const [name, value] of Object.entries(values)) element?.setAttribute(name, String(value));
}

/** The corners of a design's outline, no more than are quickly looked at. @param {SVGSVGElement} svg @returns {Point[]} */
function corners(svg) {
  const path = svg.querySelector('.inlay-edge')?.getAttribute('d') ?? '';
  const all = [...path.matchAll(/(-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => ({ x: Number(x), y: Number(y) }));
  const every = Math.ceil(all.length / MOST_LOOKED_AT);
  return all.filter((_, i) => i % every === 0);
}

/** Whether a copy reaches beyond its part; near enough to tell at once, and the API has the last word. @param {SVGSVGElement} svg @param {Place} place */
function isOff(svg, place) {
  const { all, saved, mirrored } = known(svg);
  const ground = /** @type {SVGGeometryElement} */ (svg.querySelector('.inlay-ground'));
  const points = corners(svg);
  return all.some((spot) => points.some((point) => !ground.isPointInFill(onDrawing(point, spot, saved, place, mirrored))));
}

/** @param {SVGSVGElement} svg */
function draw(svg) {
  const { saved, all, spot, high, mirrored } = known(svg);
  const place = placeOf(svg);
  const matrix = svg.getScreenCTM();
  if (!matrix?.a) return;
  const px = 1 / matrix.a; // mm
  const moving = !same(place, saved);
  const original = svg.previousElementSibling?.querySelector(`[data-inlay="${CSS.escape(key(svg).replace('place-', ''))}"]`);
  svg.parentElement?.classList.toggle('is-moving', moving);
  original?.setAttribute('visibility', moving ? 'hidden' : 'visible');
  svg.querySelectorAll('.inlay-moving').forEach((path, i) => set(path, { transform: transform(all[i], saved, place, mirrored), fill: original?.getAttribute('fill') ?? '' }));
  set(svg.querySelector('.inlay-edge'), { transform: transform(spot, saved, place, mirrored) });
  const middle = at(spot, saved, place);
  const size = place.width / saved.width;
  const half = { x: (saved.width * size) / 2, y: (high * size) / 2 };
  const local = (/** @type {number} */ x, /** @type {number} */ y) => onDrawing({ x: x / size, y: y / size }, spot, saved, place, false);
  const out = OUT_PX * px;
  const knobs = inSight(svg, { turn: local(0, -half.y - out), size: local(half.x + out * 0.72, half.y + out * 0.72) }, px);
  const [top, corner] = [local(0, -half.y), local(half.x, half.y)];
  set(svg.querySelector('.inlay-arm'), { d: `M${top.x} ${top.y}L${knobs.turn.x} ${knobs.turn.y}M${corner.x} ${corner.y}L${knobs.size.x} ${knobs.size.y}` });
  set(svg.querySelector('[data-hold="move"] .inlay-touch'), { cx: middle.x, cy: middle.y, r: Math.min(TOUCH_PX * px, Math.hypot(half.x, half.y) + out * 0.4) });
  for (const [name, knob] of Object.entries(knobs)) {
    const grip = svg.querySelector(`[data-hold="${name}"]`);
    set(grip?.querySelector('.inlay-touch') ?? null, { cx: knob.x, cy: knob.y, r: TOUCH_PX * px });
    set(grip?.querySelector('.inlay-knob') ?? null, { cx: knob.x, cy: knob.y, r: KNOB_PX * px });
    const r = KNOB_PX * px * 0.5;
    const sign = name === 'turn' ? `M${-r} 0A${r} ${r} 0 1 1 0 ${r}M0 ${r}l${r * 0.7} ${-r * 0.7}M0 ${r}l${r * 0.7} ${r * 0.6}` : `M${-r} ${-r}L${r} ${r}M${-r} ${-r * 0.2}V${-r}H${-r * 0.2}M${r} ${r * 0.2}V${r}H${r * 0.2}`;
    set(grip?.querySelector('.inlay-sign') ?? null, { d: sign, transform: `translate(${knob.x} ${knob.y})` });
  }
  set(svg.querySelector('[data-hold="turn"]'), { 'aria-valuenow': place.turn, 'aria-valuetext': `${minus(place.turn)}°` });
  set(svg.querySelector('[data-hold="size"]'), { 'aria-valuenow': place.width, 'aria-valuetext': `${place.width} mm` });
}

/** A knob that would be outside the picture stays at its edge. @param {SVGSVGElement} svg @param {Record<string, Point>} knobs @param {number} px */
function inSight(svg, knobs, px) {
  const { x, y, width, height } = svg.viewBox.baseVal;
  const room = TOUCH_PX * px;
  const kept = (/** @type {Point} */ at) => ({ x: Math.min(Math.max(at.x, x + room), x + width - room), y: Math.min(Math.max(at.y, y + room), y + height - room) });
  return Object.fromEntries(Object.entries(knobs).map(([name, knob]) => [name, kept(knob)]));
}

/** @param {SVGSVGElement} svg @param {string} [refused] why it was put back */
function tell(svg, refused = '') {
  const place = pending.get(key(svg));
  const said = formOf(key(svg))?.querySelector('.inlay-said');
  const off = Boolean(place) && isOff(svg, /** @type {Place} */ (place));
  svg.classList.toggle('is-off', off);
  if (!said) return;
  said.classList.toggle('is-off', off || Boolean(refused));
  const { thin, saved } = known(svg);
  const thinnest = place && place.width !== saved.width ? `Thinnest place now ${((thin * place.width) / saved.width).toFixed(2)} mm.` : '';
  const words = off ? `Not wholly on the ${svg.dataset.part}.` : place ? `On the ${svg.dataset.part}.` : '';
  const now = refused || [words, thinnest].filter(Boolean).join(' ');
  if (said.textContent !== now) said.textContent = now;
}

/** The fields of a place that a form has. @param {HTMLFormElement | null} form */
function fieldsOf(form) {
  const all = Object.entries(FIELDS).map(([name, of]) => /** @type {const} */ ([form?.elements.namedItem(name), of]));
  return /** @type {[HTMLInputElement, keyof Place][]} */ (all.filter(([field]) => field));
}

/** @param {HTMLInputElement} field @param {string} text */
function fill(field, text) {
  if (field.value === text) return;
  field.value = text;
  field.dispatchEvent(new Event('input', { bubbles: true }));
}

/** Put it there, and the numbers with it. @param {SVGSVGElement} svg @param {Place} place */
function put(svg, place) {
  const form = formOf(key(svg));
  if (!form) return;
  const old = placeOf(svg);
  pending.set(key(svg), place);
  for (const [field, of] of fieldsOf(form)) if (place[of] !== old[of]) fill(field, minus(place[of]));
  draw(svg);
  tell(svg);
}

/** @param {string} id @param {string} [why] it was refused */
function putBack(id, why = '') {
  clearTimeout(timer);
  pending.delete(id);
  const svg = svgOf(id);
  for (const [field] of fieldsOf(formOf(id))) fill(field, field.defaultValue);
  if (!svg) return;
  draw(svg);
  tell(svg, why);
}

/** @param {string} id */
function sendNow(id) {
  clearTimeout(timer);
  const [form, svg] = [formOf(id), svgOf(id)];
  const place = pending.get(id);
  if (!form || !svg || !place) return;
  if (same(place, known(svg).saved)) putBack(id);
  else {
    sent.add(id);
    before.set(id, Object.fromEntries(fieldsOf(form).map(([field]) => [field.name, field.defaultValue])));
    form.requestSubmit();
  }
}

/** What was sent last from the picture is put back, as it was typed before. @param {string} id */
function takeBack(id) {
  const [form, texts] = [formOf(id), before.get(id)];
  if (sent.has(id)) regretted.add(id);
  else if (form && texts) {
    before.delete(id);
    for (const [field] of fieldsOf(form)) fill(field, texts[field.name]);
    form.requestSubmit();
  }
}

const busy = (/** @type {SVGSVGElement} */ svg) => sent.has(key(svg));

/** @param {PointerEvent} event */
function down(event) {
  const grip = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest?.('[data-inlay-place] [data-hold]'));
  const svg = /** @type {SVGSVGElement | null} */ (grip?.closest('svg'));
  const from = svg && pointIn(svg, event);
  if (!grip || !svg || !from || held || event.button || busy(svg)) return;
  event.preventDefault();
  clearTimeout(timer);
  grip.setPointerCapture(event.pointerId);
  grip.focus({ preventScroll: true });
  held = { svg, pointer: event.pointerId, kind: grip.dataset.hold ?? '', from, was: placeOf(svg) };
}

/** @param {PointerEvent} event */
function follow(event) {
  if (!held || event.pointerId !== held.pointer) return;
  const { svg, kind, from, was } = held;
  const to = pointIn(svg, event);
  if (!to) return;
  const { spot, saved } = known(svg);
  const middle = at(spot, saved, was);
  const far = (/** @type {Point} */ { x, y }) => Math.hypot(x - middle.x, y - middle.y);
  if (kind === 'move') put(svg, moved(was, spot, to.x - from.x, to.y - from.y));
  else if (kind === 'turn') put(svg, turned(was, angle(middle, from, to)));
  else if (far(from)) put(svg, sized(was, (was.width * far(to)) / far(from)));
}

/** @param {KeyboardEvent} event */
function press(event) {
  const grip = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest?.('[data-inlay-place] [data-hold]'));
  const svg = /** @type {SVGSVGElement | null} */ (grip?.closest('svg'));
  if (!grip || !svg || event.ctrlKey || event.metaKey || event.altKey) return;
  const id = key(svg);
  if (event.key === 'Escape' && pending.has(id) && !busy(svg) && !accepted.has(id)) {
    held = null;
    putBack(id);
  } else if (event.key === 'Escape' && before.has(id)) takeBack(id);
  else if (event.key === 'Enter') sendNow(id);
  else {
    const [kind, place] = [grip.dataset.hold, placeOf(svg)];
    const next = (kind === 'turn' || kind === 'size' ? bySlider(place, kind, event.key, event.shiftKey) : null) ?? byKey(place, known(svg).spot, event.key, event.shiftKey);
    if (!next) return;
    event.preventDefault();
    if (busy(svg)) return;
    put(svg, next);
    clearTimeout(timer);
    timer = setTimeout(() => sendNow(id), PAUSE_MS);
    return;
  }
  event.preventDefault();
}

/** By the button, which goes with its message: the cursor goes to what is put back. @param {string} id */
function putBackFrom(id) {
  /** @type {SVGElement | null | undefined} */ (svgOf(id)?.querySelector('[data-hold="move"]'))?.focus({ preventScroll: true });
  takeBack(id);
}

const drawings = () => /** @type {NodeListOf<SVGSVGElement>} */ (document.querySelectorAll('svg[data-inlay-place]'));

function drawAll() {
  for (const svg of drawings()) {
    draw(svg);
    for (const grip of svg.querySelectorAll('[data-hold]')) keepStill(grip);
  }
}

export function wireInlayPlace() {
  drawAll();
  window.addEventListener('resize', drawAll);
  document.addEventListener('brief:refreshed', () => {
    for (const [id, place] of accepted) if (same(place, pending.get(id) ?? place)) pending.delete(id); // else it was moved on since
    accepted.clear();
    if (held && !held.svg.isConnected) held = null;
    drawAll();
  });
  document.addEventListener('pointerdown', down);
  document.addEventListener('pointermove', follow);
  document.addEventListener('pointerup', (event) => {
    if (event.pointerId !== held?.pointer) return;
    const id = key(held.svg);
    held = null;
    sendNow(id);
  });
  document.addEventListener('pointercancel', (event) => {
    if (event.pointerId !== held?.pointer) return;
    const id = key(held.svg);
    held = null;
    putBack(id);
  });
  document.addEventListener('keydown', press);
  document.addEventListener('focusout', (event) => {
    const svg = /** @type {SVGSVGElement | null} */ (/** @type {Element} */ (event.target).closest?.('svg[data-inlay-place]') ?? null);
    if (svg && !held && pending.has(key(svg)) && !busy(svg) && !accepted.has(key(svg))) sendNow(key(svg));
  });
  document.addEventListener('brief:accepted', (event) => {
    const { detail } = /** @type {CustomEvent} */ (event);
    const { id } = detail.form;
    const place = pending.get(id);
    if (!sent.delete(id)) {
      pending.delete(id); // saved as it was typed
      before.clear(); // it may lie on another part by now
      return;
    }
    if (place) accepted.set(id, place);
    if (regretted.delete(id)) takeBack(id);
    else detail.offer = { label: 'Put it back', run: () => putBackFrom(id) };
  });
  document.addEventListener('brief:refused', (event) => {
    const { form, problem } = /** @type {CustomEvent} */ (event).detail;
    if (!sent.delete(form.id)) return;
    regretted.delete(form.id);
    before.delete(form.id);
    const faults = (problem.errors ?? []).map((/** @type {{detail: string}} */ one) => one.detail);
    putBack(form.id, `Put back. ${faults.join(' ') || problem.detail}`);
    if (faults.length) event.preventDefault(); // it is told here
  });
}
