/**
 * Any form with `data-send="post|patch|delete"` goes to the API as JSON.
 *
 *   <form id="add-motif" action="/api/motifs" data-send="post" data-refresh="#motifs #panel"
 *         data-say="Motif added" data-after="reset">
 *
 * data-etag     sent as If-Match, so that two tabs never overwrite each other unawares
 * data-refresh  regions to bring up to date afterwards
 * data-say      the sentence for #said
 * data-show     the id of what is to be seen afterwards
 * data-after    reset (default for post), keep (default otherwise) or close (its dialog or details)
 * data-where    the page that has what is to be seen, where this one is another of a long list
 * data-goto     the page to go to
 *
 * In refresh, say, show, where and goto "{id}" and the like are filled from the answer.
 *
 * What was typed stays in the form until the API has accepted it.
 */
import { isDirty, keyed, setState, setUntouched, stateOf, untouched } from './carry.js';
import { collect, fillAddress, fillText } from './fields.js';
import { unfold } from './folds.js';
import { clearProblem, readProblem, showProblem } from './problem.js';
import { refresh, split } from '../page/refresh.js';
import { leftToSay, overtake, say, sayNext } from '../page/said.js';
import { ofWorkshop } from './workshop.js';
import { SIGN_IN, signInElsewhere } from './sign-in.js';
import { bringIntoView, putCursorOn } from '../page/view.js';
import { quoted, removedInWords, sentences } from '../page/words.js';

const UNREACHED = 'The brief could not be reached. What you typed is still here; try again.';

/** Forms under way, by id where they have one: a refresh may put a new element in their place. */
const underWay = new Set();
const keyOf = (/** @type {HTMLFormElement} */ form) => form.getAttribute('id') || form;

/** @param {HTMLFormElement} form @returns {HTMLFormElement} the element that stands for it now */
function standing(form) {
  if (form.isConnected) return form;
  return /** @type {any} */ (document.getElementById(form.getAttribute('id') ?? '')) ?? form;
}

/** @param {HTMLFormElement} form @param {boolean} busy */
function setBusy(form, busy) {
  if (busy) form.setAttribute('aria-busy', 'true');
  else form.removeAttribute('aria-busy');
  for (const control of /** @type {Iterable<any>} */ (form.elements)) {
    if (control.type !== 'submit' && control.type !== 'image') continue;
    // A button that the page itself had disabled must not be enabled by us.
    if (busy && !control.disabled) control.dataset.waits = '';
    if ('waits' in control.dataset) control.disabled = busy;
    if (!busy) delete control.dataset.waits;
  }
}

/**
 * @param {string} verb
 * @param {string} address
 * @param {{etag?: string, body?: object}} [options]
 * @returns {Promise<{ok: boolean, status: number, text: string, etag: string | null} | null>} null: not reached
 */
async function ask(verb, address, { etag, body } = {}) {
  /** @type {Record<string, string>} */
  const headers = { Accept: 'application/json', ...ofWorkshop() };
  if (etag) headers['If-Match'] = etag;
  const withFiles = body instanceof FormData; // whose type the browser says itself
  if (body && !withFiles) headers['Content-Type'] = 'application/json';
  try {
    const response = await fetch(address, { method: verb.toUpperCase(), headers, body: body && (withFiles ? body : JSON.stringify(body)) });
    return { ok: response.ok, status: response.status, text: await response.text(), etag: response.headers.get('ETag') };
  } catch {
    return null;
  }
}

/**
 * After an accepted sending: what was sent no longer counts as typed and unsaved; what has been
 * typed since then does.
 * @param {HTMLFormElement} form
 * @param {Map<string, string>} sent states by key at the time of sending
 * @param {string} after
 */
function settle(form, sent, after) {
  const controls = [...keyed(form)].filter(([key]) => sent.has(key));
  const states = controls.map(([key, control]) => [control, sent.get(key) ?? '', stateOf(control)]);
  if (after === 'keep') {
    for (const [control, state] of states) setUntouched(control, state);
    // A new default may have changed the field itself.
    for (const [control, , now] of states) setState(control, now);
  } else {
    for (const [control, state, now] of states) {
      if (now !== state || !isDirty(control)) continue;
      setState(control, untouched(control));
      control.dispatchEvent(new Event('input', { bubbles: true }));
    }
  }
  if (after !== 'close') return;
  const holder = form.closest('dialog, details');
  if (holder instanceof HTMLDialogElement) holder.close();
  else if (holder instanceof HTMLDetailsElement) {
    holder.open = false;
    // What is folded away can hold the cursor no longer.
    if (holder.contains(document.activeElement)) holder.querySelector('summary')?.focus({ preventScroll: true });
  }
}

/**
 * Other forms for the same record that were rendered together with this one hold the same ETag;
 * only this sending came between, so the new one is theirs too.
 * @param {HTMLFormElement} form
 * @param {string | null} etag
 */
function passOnEtag(form, etag) {
  const old = form.dataset.etag;
  if (!old || !etag) return;
  for (const other of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll('form[data-etag]'))) {
    if (other.getAttribute('action') === form.getAttribute('action') && other.dataset.etag === old) other.dataset.etag = etag;
  }
}

/**
 * Offer to take a removal back.
 * @param {string} text
 * @param {{take_back: string, removed: string}} answer
 * @param {string} regions to refresh afterwards; the whole page is loaded again where none is named
 */
function offerTakeBack(text, answer, regions) {
  const offer = { label: 'Restore', run };
  async function run() {
    const back = await ask('post', answer.take_back);
    const done = `${quoted(answer.removed)} is back.`;
    if (!back) say('The brief could not be reached; nothing is restored yet.', offer);
    else if (!back.ok) say(readProblem(back.status, back.text).detail ?? '', { stays: true });
    else if (regions) {
      sayWith(done, await refresh(regions));
      look(split(regions)[0].slice(1), true);
    }
    else {
      sayNext({ text: done });
      location.reload();
    }
  }
  say(text, offer);
}

/**
 * @param {string} text
 * @param {string} note from a refresh
 * @param {{label: string, run: () => void}} [offer]
 */
function sayWith(text, note, offer) {
  if (text || note) say(sentences([text, note]), offer ?? { stays: Boolean(note) });
}

/**
 * Let the maker see what has been made or changed. What is new gets the cursor, too; after a
 * change it stays where the change was made.
 * @param {string} id
 * @param {boolean} isNew
 */
function look(id, isNew) {
  const thing = document.getElementById(id);
  if (!thing?.textContent?.trim()) return; // what was asked for was there already, and not in here
  unfold(thing);
  if (isNew) putCursorOn(thing);
  bringIntoView(thing);
}

/**
 * @param {HTMLFormElement} form
 * @param {any} answer
 * @param {{label: string, run: () => void}} [offer] what can be done about it
 */
async function succeed(form, answer, offer) {
  const { goto, show = '', where = '', say: words = '', send: verb } = form.dataset;
  const regions = fillAddress(form.dataset.refresh ?? '', answer);
  const removal = answer?.take_back ? answer : undefined;
  const text = removal ? removedInWords(removal) : fillText(words, answer);
  if (goto) {
    if (text) sayNext({ text, removal });
    // The place on the page that was asked for never came to the server; it stands here still.
    location.assign(fillAddress(goto, answer) + (location.pathname === SIGN_IN ? location.hash : ''));
    return;
  }
  if (removal) offerTakeBack(text, removal, regions);
  else sayWith(text, '', offer);
  const note = await refresh(regions);
  if (note && removal) offerTakeBack(sentences([text, note]), removal, regions);
  else if (note) sayWith(text, note, offer);
  const shown = fillAddress(show, answer);
  if (where && !document.getElementById(shown)) {
    sayNext({ text });
    location.assign(fillAddress(where, answer));
  } else if (shown) look(shown, verb === 'post');
}

/**
 * Somebody else has saved meanwhile: fetch what is there, with its ETag, around what was typed.
 * @param {HTMLFormElement} form
 */
async function showWhatIsThere(form) {
  const id = form.getAttribute('id');
  const regions = split(form.dataset.refresh ?? '');
  if (id && !regions.some((region) => form.closest(region))) regions.push(`#${CSS.escape(id)}`);
  clearProblem(form);
  const note = await refresh(regions);
  say(note || 'Above is the saved version. What you typed is still in the form; saving it replaces the saved version.', { stays: true });
}

/**
 * @param {HTMLFormElement} form
 * @param {number} status
 * @returns {{label: string, run: () => void} | undefined}
 */
function wayOut(form, status) {
  if (status === 412) return { label: 'Show the saved version', run: () => showWhatIsThere(form) };
  return signInElsewhere(status);
}

/**
 * Tell of a refusal at the form, unless whoever sent it tells of it elsewhere.
 * @param {HTMLFormElement} form
 * @param {import('./problem.js').Problem} problem
 * @param {{label: string, run: () => void}} [way]
 */
function refuse(form, problem, way) {
  const told = !document.dispatchEvent(new CustomEvent('brief:refused', { cancelable: true, detail: { form, problem, wayOut: way } }));
  if (!told) showProblem(form, problem, way);
}

/** What a form with files sends: nothing of a field that was left empty. @param {HTMLFormElement} form */
function filled(form) {
  const body = new FormData();
  for (const [name, value] of new FormData(form)) {
    if (typeof value === 'string' ? value.trim() : value.size || value.name) body.append(name, value);
  }
  return body;
}

/** @param {HTMLFormElement} sender @param {any} submitter */
async function send(sender, submitter) {
  const key = keyOf(sender);
  if (underWay.has(key)) return;
  underWay.add(key);
  clearProblem(sender);
  const verb = sender.dataset.send ?? 'post';
  const after = sender.dataset.after ?? (verb === 'post' ? 'reset' : 'keep');
  const enabled = /** @type {any[]} */ ([...sender.elements]).filter((control) => !control.matches(':disabled'));
  const withFiles = sender.enctype === 'multipart/form-data';
  const body = verb === 'delete' ? undefined : withFiles ? filled(sender) : collect(enabled, submitter);
  const sent = new Map([...keyed(sender)].map(([name, control]) => [name, stateOf(control)]));
  const cursor = /** @type {HTMLElement | null} */ (document.activeElement);
  setBusy(sender, true);

  const answer = await ask(verb, sender.getAttribute('action') ?? '', { etag: sender.dataset.etag, body });

  underWay.delete(key);
  const form = standing(sender);
  setBusy(form, false);
  // Disabling the button has dropped the cursor; hand it back before anything is replaced.
  if (cursor?.isConnected && document.activeElement === document.body) cursor.focus({ preventScroll: true });
  if (!answer?.ok) overtake();
  if (!answer) refuse(form, { detail: UNREACHED });
  else if (!answer.ok) {
    refuse(form, readProblem(answer.status, answer.text), wayOut(form, answer.status));
  } else {
    passOnEtag(form, answer.etag);
    settle(form, sent, after);
    const made = answer.text ? JSON.parse(answer.text) : null;
    const detail = { form, answer: made, offer: undefined }; // whoever has sent it may offer a way back
    document.dispatchEvent(new CustomEvent('brief:accepted', { detail }));
    await succeed(form, made, detail.offer);
  }
}

export function wireSend() {
  document.addEventListener('submit', (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!form.matches('form[data-send]')) return;
    event.preventDefault();
    send(form, event.submitter);
  });
  const left = leftToSay();
  if (left?.removal) offerTakeBack(left.text, left.removal, '');
  else if (left) say(left.text);
}
