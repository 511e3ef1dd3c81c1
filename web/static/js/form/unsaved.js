/**
 * What has been typed and not been sent: the browser asks before the page is left, and where it
 * does not (phones), what was typed stands in its form again on the way back.
 *
 * It is kept while it is typed, and when the page goes out of sight: a phone ends the page behind
 * its camera without a word. A form that asks for a file (`data-kept`) saves nothing and asks nothing,
 * but its answer may be a page with a problem, from which one comes back.
 */
import { isDirty, keyed, setState, stateOf } from './carry.js';
import { fillFor, unfold } from './folds.js';
import { say } from '../page/said.js';

const KEY = `brief:unsaved:${location.pathname}`;
const PAUSE_MS = 400;
let timer = 0;
/** What was typed into forms that are being fetched. @type {[string, string][]} */
let awaited = [];

/**
 * @param {import('./carry.js').Control} control
 * @returns {boolean} not what was picked, nor a passphrase, even while it is shown as text
 */
const isKept = (control) => control.type !== 'file' && !control.autocomplete?.endsWith('-password');

/**
 * @param {string} forms which forms are looked at, as a selector
 * @returns {[string, import('./carry.js').Control][]} their controls that are not as the page came
 */
function typedInto(forms) {
  return [...keyed(document.body)].filter(([, control]) => control.form?.matches(forms) && isKept(control) && isDirty(control));
}

function keep() {
  clearTimeout(timer);
  const typed = [...typedInto('[data-send], [data-kept]').map(([key, control]) => [key, stateOf(control)]), ...awaited];
  try {
    if (typed.length) sessionStorage.setItem(KEY, JSON.stringify(typed));
    else sessionStorage.removeItem(KEY);
  } catch {
    // A browser that keeps nothing has asked, at least.
  }
}

function keepSoon() {
  clearTimeout(timer);
  timer = setTimeout(keep, PAUSE_MS);
}

/** @returns {[string, string][]} */
function kept() {
  try {
    return JSON.parse(sessionStorage.getItem(KEY) ?? '[]');
  } catch {
    return [];
  }
}

/** @param {[string, string][]} typed keys and states */
function bringBack(typed) {
  const coming = new Set();
  for (const id of new Set(typed.map(([key]) => key.split(' ')[0]))) if (!document.getElementById(id) && fillFor(id)) coming.add(id);
  awaited = typed.filter(([key]) => coming.has(key.split(' ')[0]));
  const controls = keyed(document.body);
  let found = 0;
  for (const [key, state] of typed) {
    const control = controls.get(key);
    if (!control) continue;
    setState(control, state);
    unfold(control);
    control.dispatchEvent(new Event('input', { bubbles: true }));
    found += 1;
  }
  if (!found) return;
  const notSaved = typedInto('[data-send]').length ? ' It is not saved yet.' : '';
  say(`What you typed here is back in its form.${notSaved}`);
}

export function wireUnsaved() {
  bringBack(kept());
  document.addEventListener('brief:refreshed', () => awaited.length && bringBack(awaited));
  window.addEventListener('pagehide', keep);
  document.addEventListener('visibilitychange', () => document.hidden && keep());
  // What is sent or taken away is kept no longer; it would come back beside what was made of it.
  for (const kind of ['input', 'change', 'brief:accepted', 'brief:refreshed']) document.addEventListener(kind, keepSoon);
  window.addEventListener('beforeunload', (event) => {
    if (typedInto('[data-send]').length) event.preventDefault();
  });
}
