/**
 * Trying wood: the pieces of the rack as strips (tries.html) for the part that was chosen. Pointing at
 * one, or the arrow keys, shows it on the instrument at once; a tap or Enter keeps it; Escape puts
 * back what was.
 *
 * Kept wood is painted at once and sent by the part's own form in the list (`form#wood-ID`), as any
 * form is. Where it is refused, what was comes back, and why is said.
 */
import { carry } from '../form/carry.js';
import { refresh } from '../page/refresh.js';
import { say } from '../page/said.js';
import { listInWords } from '../page/words.js';
import { keepPainted, letGo, paintAgain, pointAt } from './painting.js';

const PAUSE_MS = 250; // of typing, before it is looked for
const STEPS = /** @type {Record<string, number>} */ ({ ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1, Home: -Infinity, End: Infinity });

/** @typedef {{left: number, names: string[], label: string}} Batch several parts that get one piece */
/** @typedef {{piece: string, role: string, batch: Batch}} Sending */

/** The id of the part that wood is tried on; empty while none is. */
let chosen = '';
/** Which fetch is the newest; an older answer is dropped. */
let asking = 0;
/** How the timber was shown when the strips were fetched. */
let shownAs = '';
let typing = 0;
/** The strip that has the cursor because the strips were opened: it is not shown before it is asked for. @type {Element | null} */
let unasked = null;
/** What is under way, and what waits behind it, by the id of the part. @type {Map<string, Sending>} */
const sent = new Map();
/** @type {Map<string, Sending>} */
const waiting = new Map();
/** Roles that were accepted and are not drawn by the server yet. @type {Set<string>} */
const accepted = new Set();

export const paintedFor = () => chosen;

const section = () => /** @type {HTMLElement} */ (document.getElementById('tries'));
/** @returns {HTMLButtonElement[]} */
const strips = () => [.../** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll('#tries .strip'))];
const inUse = () => strips().find((strip) => strip.hasAttribute('aria-current'));
const switches = () => document.cookie.split('; ').find((one) => one.startsWith('seen=')) ?? '';
/** @returns {string[]} ids of the parts that are to have the same piece */
const also = () => [.../** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll('[data-tries-also]:checked'))].map((box) => box.value);
/** @param {string} id */
const line = (id) => /** @type {HTMLElement | null} */ (document.querySelector(`li[data-part="${CSS.escape(id)}"]`));
/** @param {string} id @returns {any} */
const formOf = (id) => document.getElementById(`wood-${id}`);

/** @param {HTMLElement} strip @returns {Map<string, import('./painting.js').Painting>} by role */
function paintings(strip) {
  const templates = /** @type {HTMLTemplateElement[]} */ ([...strip.querySelectorAll('template')]);
  return new Map(templates.map(({ dataset, content }) => [dataset.role ?? '', { paint: dataset.paint ?? '', patterns: content }]));
}

/** Show a strip on the instrument, and say what to take care of with it. @param {HTMLElement | undefined} strip */
function point(strip) {
  pointAt(strip && strip !== inUse() ? paintings(strip) : new Map());
  const said = document.querySelector('[data-tries-said]');
  const care = strip?.querySelector('.strip-care');
  const reminder = /** @type {HTMLTemplateElement | null} */ (document.querySelector('[data-tries-reminder]'));
  said?.replaceChildren(...(care && reminder ? [...care.cloneNode(true).childNodes, reminder.content.cloneNode(true)] : []));
}

/** One strip is reached by Tab, the others from it. @param {HTMLElement | undefined} reached */
function reach(reached) {
  for (const strip of strips()) strip.tabIndex = strip === reached ? 0 : -1;
}

/** @param {{page?: string, words?: string, isNew?: boolean}} [asked] as it is unless said otherwise */
async function bring({ page = section().dataset.page ?? '1', words, isNew = false } = {}) {
  const own = (asking += 1);
  const typed = /** @type {HTMLInputElement | null} */ (document.querySelector('[data-tries-words]'));
  const query = new URLSearchParams(isNew ? {} : { page, words: words ?? typed?.value ?? '' });
  if (!isNew) for (const id of also()) query.append('also', id);
  const seen = switches();
  section().setAttribute('aria-busy', 'true');
  try {
    const answer = await fetch(`${line(chosen)?.dataset.from}/tries?${query}`, { headers: { Accept: 'text/html' }, cache: 'no-store' });
    if (!answer.ok) throw new Error(`the strips answered ${answer.status}`);
    const fresh = new DOMParser().parseFromString(await answer.text(), 'text/html');
    if (own !== asking) return;
    const now = /** @type {HTMLElement} */ (fresh.getElementById('tries'));
    shownAs = seen;
    if (isNew) section().replaceWith(now);
    else carry(section(), now);
    reach(inUse() ?? strips()[0]);
  } catch (fault) {
    if (own !== asking) return;
    console.warn(fault);
    say('The rack could not be fetched. Reload the page and try again.', { stays: true });
  } finally {
    section().removeAttribute('aria-busy');
  }
}

/** @param {string} id of the part to try wood on */
export async function openTries(id) {
  chosen = id;
  pointAt(new Map());
  await bring({ isNew: true });
  if (chosen !== id) return;
  const first = inUse() ?? strips()[0];
  unasked = first ?? null;
  first?.focus({ preventScroll: true });
  first?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
}

export function closeTries() {
  chosen = '';
  asking += 1;
  pointAt(new Map());
  section().hidden = true;
  section().replaceChildren();
}

/** @param {string} id of the part @param {Sending} sending */
function send(id, sending) {
  const form = formOf(id);
  if (!form) return;
  if (sent.has(id)) {
    waiting.set(id, sending);
    return;
  }
  sent.set(id, sending);
  form.elements.namedItem('material_id').value = sending.piece;
  form.requestSubmit();
}

/** @param {HTMLButtonElement} strip */
function keep(strip) {
  const ids = [chosen, ...also()];
  const { piece = '', label = '' } = strip.dataset;
  const painted = paintings(strip);
  const before = inUse();
  pointAt(new Map());
  const batch = { left: ids.length, names: [], label };
  before?.removeAttribute('aria-current');
  strip.setAttribute('aria-current', 'true');
  for (const id of ids) {
    const role = line(id)?.dataset.showsRole ?? '';
    const painting = painted.get(role);
    accepted.delete(role);
    if (painting) keepPainted(role, painting);
    send(id, { piece, role, batch });
  }
}

/** @param {Event} event @returns {string} the id of the part whose wood a form sends; empty for other forms */
function partOf(event) {
  const id = /** @type {CustomEvent} */ (event).detail.form.getAttribute('id') ?? '';
  return id.startsWith('wood-') ? id.slice('wood-'.length) : '';
}

/** @param {Event} event */
function whenAccepted(event) {
  const id = partOf(event);
  const sending = sent.get(id);
  if (!sending) return;
  sent.delete(id);
  const { batch, role } = sending;
  batch.names.push(/** @type {CustomEvent} */ (event).detail.answer.name);
  batch.left -= 1;
  if (!batch.left) say(`${listInWords(batch.names)}: ${batch.label}`);
  const next = waiting.get(id);
  waiting.delete(id);
  if (next) send(id, next);
  else accepted.add(role);
}

/** @param {Event} event */
async function whenRefused(event) {
  const id = partOf(event);
  const sending = sent.get(id);
  if (!sending) return;
  event.preventDefault(); // the form is out of sight
  const { form, problem, wayOut } = /** @type {CustomEvent} */ (event).detail;
  sent.delete(id);
  waiting.delete(id);
  letGo(sending.role);
  const { status, detail } = problem;
  if (!status) say('The program could not be reached. Nothing was changed; try again.', { stays: true });
  else say(detail ?? 'Nothing was changed.', status === 401 && wayOut ? wayOut : { stays: true });
  if (!status || status === 401) await bring();
  else await Promise.all([refresh(form.dataset.refresh ?? ''), bring()]); // what is there now
}

function whenRefreshed() {
  for (const role of accepted) letGo(role);
  accepted.clear();
  if (chosen && !line(chosen)) document.dispatchEvent(new CustomEvent('tries:left')); // it went to the bin
  else if (chosen && switches() !== shownAs) bring();
}

/** @param {KeyboardEvent} event */
function onKey(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  if (event.key === 'Escape' && target.closest('#tries')) {
    event.stopPropagation();
    event.preventDefault();
    const now = inUse();
    if (target.closest('.strip') && now && target !== now) {
      reach(now);
      now.focus();
      point(now);
    } else document.dispatchEvent(new CustomEvent('tries:left'));
    return;
  }
  const all = strips();
  const at = all.indexOf(/** @type {any} */ (target));
  const step = STEPS[event.key];
  if (at < 0 || step === undefined) return;
  event.preventDefault();
  const next = all[Math.min(all.length - 1, Math.max(0, at + step))];
  reach(next);
  next.focus();
}

/** @param {Event} event @returns {HTMLButtonElement | null} */
const stripOf = (event) => (event.target instanceof Element ? event.target.closest('#tries .strip') : null);

export function wireTries() {
  document.addEventListener('pointerover', (event) => {
    if (!chosen || event.pointerType === 'touch') return;
    const strip = stripOf(event);
    if (strip) point(strip);
    else if (!(event.target instanceof Element && event.target.closest('.strips'))) point(strips().find((one) => one === document.activeElement && one !== unasked));
  });
  document.addEventListener('focusin', (event) => {
    const strip = stripOf(event);
    if (!strip) return;
    reach(strip);
    if (strip !== unasked) point(strip);
  });
  document.addEventListener('focusout', (event) => {
    if (!stripOf(event)) return;
    unasked = null;
    point(undefined);
  });
  document.addEventListener('click', (event) => {
    const strip = stripOf(event);
    const page = /** @type {Element} */ (event.target).closest('[data-tries-page]');
    if (strip) keep(strip);
    else if (page instanceof HTMLElement) bring({ page: page.dataset.triesPage });
  });
  document.addEventListener('change', (event) => {
    if (/** @type {Element} */ (event.target).matches?.('[data-tries-also]')) bring();
  });
  document.addEventListener('input', (event) => {
    if (!(/** @type {Element} */ (event.target).matches?.('[data-tries-words]'))) return;
    clearTimeout(typing);
    typing = setTimeout(() => bring({ page: '1' }), PAUSE_MS);
  });
  document.addEventListener('keydown', onKey);
  document.addEventListener('brief:accepted', whenAccepted);
  document.addEventListener('brief:refused', whenRefused);
  document.addEventListener('brief:arrived', paintAgain);
  document.addEventListener('brief:refreshed', () => {
    paintAgain();
    whenRefreshed();
  });
}
