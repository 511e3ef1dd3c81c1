/**
 * What a person has done to a region that is about to be replaced: typed, ticked, chosen, opened,
 * scrolled, put the cursor somewhere; and what a form of it was refused for. `carry` brings it over to the new region, matched by id, or by
 * form id and field name. Nobody's words may be lost because another part of the page was saved.
 */
import { fill } from './folds.js';
import { carryProblems } from './problem.js';
import { putCursorOn } from '../page/view.js';
import { quoted } from '../page/words.js';

/** @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Control */

const CONTROLS = 'input, select, textarea';
const isTick = (/** @type {{type: string}} */ control) => control.type === 'checkbox' || control.type === 'radio';

/**
 * What a browser makes of a slider's default: on a step, within its ends, and "0" of "0.0".
 * @param {any} slider
 * @returns {string}
 */
function asShown(slider) {
  const untouched = slider.cloneNode();
  untouched.value = slider.defaultValue;
  return untouched.value;
}

/**
 * The value a control would have untouched, comparable with `stateOf`.
 * @param {any} control
 * @returns {string}
 */
export function untouched(control) {
  if (isTick(control)) return String(control.defaultChecked);
  if (control.options) {
    const options = Array.from(control.options);
    const chosen = options.filter((o) => o.defaultSelected);
    // A drop-down with nothing marked shows its first choice.
    if (!chosen.length && control.type === 'select-one') chosen.push(...options.filter((o) => !o.disabled).slice(0, 1));
    return JSON.stringify(chosen.map((o) => o.value));
  }
  if (control.type === 'file') return '0';
  if (control.type === 'range') return asShown(control);
  // A hidden field has no default of its own once a script has written to it; `write` keeps it.
  if (control.type === 'hidden') return control.dataset.was ?? control.value;
  return control.defaultValue;
}

/**
 * @param {any} control
 * @returns {string} the state now
 */
export function stateOf(control) {
  if (isTick(control)) return String(control.checked);
  if (control.options) return JSON.stringify(Array.from(control.options).filter((o) => o.selected).map((o) => o.value));
  if (control.type === 'file') return String(control.files.length);
  return control.value;
}

/** @param {any} control @returns {boolean} */
export function isDirty(control) {
  return stateOf(control) !== untouched(control);
}

/**
 * Put a control into a state given by `stateOf`.
 * @param {any} control
 * @param {string} state
 */
export function setState(control, state) {
  if (isTick(control)) control.checked = state === 'true';
  else if (control.options) {
    const values = new Set(JSON.parse(state));
    for (const option of control.options) option.selected = values.has(option.value);
  } else if (control.type === 'file') {
    if (state === '0') control.value = '';
  } else control.value = state;
}

/**
 * Make a state the one from which changes count.
 * @param {any} control
 * @param {string} state
 */
export function setUntouched(control, state) {
  if (isTick(control)) control.defaultChecked = state === 'true';
  else if (control.options) {
    const values = new Set(JSON.parse(state));
    for (const option of control.options) option.defaultSelected = values.has(option.value);
  } else if (control.type === 'hidden') control.dataset.was = state;
  else if (control.type !== 'file') control.defaultValue = state;
}

/**
 * Write to a field from a script, as if typed: what it was stays known, and listeners hear of it.
 * @param {HTMLInputElement} input
 * @param {string} value
 */
export function write(input, value) {
  input.dataset.was ??= untouched(input);
  input.value = value;
  input.dispatchEvent(new Event('input', { bubbles: true }));
}

/**
 * The controls under an element, each under a key that its successor will have too.
 * @param {Element} root
 * @returns {Map<string, Control>}
 */
export function keyed(root) {
  const found = new Map();
  /** @type {Map<string, number>} */
  const seen = new Map();
  for (const control of /** @type {NodeListOf<Control>} */ (root.querySelectorAll(CONTROLS))) {
    const formId = control.form?.getAttribute('id'); // .id could be a field of that name
    if (!(formId && control.name)) {
      if (control.id) found.set(`#${control.id}`, control);
      continue;
    }
    const base = `${formId} ${control.name}`;
    const nth = seen.get(base) ?? 0;
    seen.set(base, nth + 1);
    found.set(isTick(control) ? `${base} =${control.value}` : `${base} ${nth}`, control);
  }
  return found;
}

/**
 * Show beside a field what has been saved there by someone else while it was being typed in.
 * @param {Control} control the new one, already holding what was typed
 */
function showMeanwhile(control) {
  const saved = isTick(control)
    ? /** @type {HTMLInputElement} */ (control).defaultChecked ? 'ticked' : 'not ticked'
    : control instanceof HTMLSelectElement
      ? quoted(Array.from(control.options).filter((o) => o.defaultSelected).map((o) => o.text).join(', '))
      : control.defaultValue === '' ? 'empty' : quoted(control.defaultValue, 400);
  const note = document.createElement('p');
  note.className = 'meanwhile';
  note.textContent = `Saved here since: ${saved}`;
  (control.closest('label') ?? control).after(note);
}

/**
 * Fill the folds that have something to receive.
 * @param {Element} from
 * @param {Element} to
 */
function fillAsIn(from, to) {
  for (const old of from.querySelectorAll('details[id]')) {
    const now = to.querySelector(`#${CSS.escape(old.id)}`);
    const used = () => [...old.querySelectorAll(CONTROLS)].some(isDirty);
    if (now && (/** @type {HTMLDetailsElement} */ (old).open || used())) fill(now);
  }
}

/**
 * @param {Element} from
 * @param {Element} to
 * @returns {string[]} texts that were typed into fields which are gone
 */
function carryTyped(from, to) {
  const successors = keyed(to);
  const homeless = [];
  for (const [key, old] of keyed(from)) {
    if (!isDirty(old)) continue;
    const now = successors.get(key);
    if (!now) {
      if (!isTick(old) && !(old instanceof HTMLSelectElement) && !['file', 'hidden'].includes(old.type)) homeless.push(old.value);
    } else if (old.type === 'file') {
      /** @type {HTMLInputElement} */ (now).files = /** @type {HTMLInputElement} */ (old).files;
    } else {
      const [before, saved] = [untouched(old), untouched(now)];
      if (now.type === 'hidden') now.dataset.was = now.value;
      setState(now, stateOf(old));
      if (now.type !== 'hidden' && now.type !== 'radio' && saved !== before && isDirty(now)) showMeanwhile(now);
    }
  }
  return homeless;
}

/**
 * The element in `to` that stands where `old` stood.
 * @param {Element} old
 * @param {Element} from
 * @param {Element} to
 * @returns {HTMLElement | null}
 */
function successor(old, from, to) {
  if (old.id) return to.querySelector(`#${CSS.escape(old.id)}`);
  if (old.matches('summary')) return to.querySelector(`#${CSS.escape(old.parentElement?.id ?? '')} > summary`);
  for (const [key, control] of keyed(from)) if (control === old) return keyed(to).get(key) ?? null;
  const form = old.closest('form[id]');
  const twin = form && to.querySelector(`form#${CSS.escape(form.getAttribute('id') ?? '')}`);
  if (!form || !twin) return null;
  const nth = [...form.querySelectorAll('button')].indexOf(/** @type {HTMLButtonElement} */ (old));
  return twin.querySelectorAll('button')[nth] ?? null;
}

/**
 * Replace `from` by `to` and bring everything over.
 * @param {Element} from
 * @param {HTMLElement} to
 * @returns {string[]} texts that found no place
 */
export function carry(from, to) {
  fillAsIn(from, to);
  const homeless = carryTyped(from, to);
  const focused = from.contains(document.activeElement) ? /** @type {any} */ (document.activeElement) : null;
  const focusTo = focused && successor(focused, from, to);
  const selection = focused && [focused.selectionStart, focused.selectionEnd];
  /** @type {[Element, number, number][]} */
  const scrolls = [];
  for (const old of [from, ...from.querySelectorAll('[id]')]) {
    const now = old === from ? to : to.querySelector(`#${CSS.escape(old.getAttribute('id') ?? '')}`);
    if (!now) continue;
    if (old instanceof HTMLDetailsElement && now instanceof HTMLDetailsElement) now.open = old.open;
    if (old.scrollTop || old.scrollLeft) scrolls.push([now, old.scrollLeft, old.scrollTop]);
    // The list of uploads lives on: the uploads under way write to it.
    const uploads = old.matches('form[data-drop]') && old.querySelector('[data-progress]');
    if (uploads) now.querySelector('[data-progress]')?.replaceWith(uploads);
  }

  const [x, y] = [window.scrollX, window.scrollY];
  from.replaceWith(to);
  carryProblems(from, to);
  for (const [element, left, top] of scrolls) element.scrollTo(left, top);
  window.scrollTo({ left: x, top: y, behavior: 'instant' });
  if (focused) {
    // Where the thing is gone, the region takes the cursor, not the top of the page.
    if (!focusTo) to.tabIndex = -1;
    (focusTo ?? to).focus({ preventScroll: true });
    // Only text fields have a selection; the others answer null.
    if (focusTo && Number.isInteger(selection[0])) /** @type {any} */ (focusTo).setSelectionRange(...selection);
  }
  return homeless;
}

/**
 * Take a region out whose record is gone; the cursor goes to its neighbour.
 * @param {Element} region
 * @returns {string[]} texts that had been typed into it
 */
export function takeOut(region) {
  const next = region.contains(document.activeElement) && (region.nextElementSibling ?? region.previousElementSibling ?? region.parentElement);
  region.remove();
  if (next) putCursorOn(next);
  return carryTyped(region, document.createElement('div'));
}
