/**
 * Pictures picked, dropped anywhere on the page, or pasted go to the API one by one, each with its
 * own line and outcome, so that one bad file never holds up the others.
 *
 *   <form id="add-pictures" data-drop action="/api/references" data-fixed='{"brief": "…"}'
 *         data-refresh="#reference-{id} #panel" data-show="reference-{id}" data-max-bytes="40000000">
 *     <input type="file" name="files" multiple accept="image/*">
 *     <input type="file" accept="image/*" capture> <ol data-progress></ol>
 *   </form>
 *
 * What further inputs pick goes the same way, under the name of the first. data-drop may name
 * another verb than post, and data-etag is sent as If-Match. "{id}" is filled from the answer, the
 * first of it where it is a list. data-where, filled alike, is the page that has what is to be shown,
 * where this one is another of a long list. data-say, filled alike, says what came of a file that is more
 * than added; what it warns of is said, too, and stays. A picture dragged or pasted from a web page
 * brings its address where the browser hands it over: data-came-from
 * names the field that it is sent as, unless the maker filled it. data-opens, filled alike, is the page of what
 * came, where more is asked about it: one file alone leads there.
 */
import { fillAddress, fillText } from './fields.js';
import { refresh } from '../page/refresh.js';
import { say, sayNext } from '../page/said.js';
import { signInElsewhere } from './sign-in.js';
import { lanes } from '../page/turns.js';
import { cameFrom, fileLine, foldAdded, refusal, upload } from './uploads.js';
import { bringIntoView, putCursorOn } from '../page/view.js';
import { megabytes, sentences, uploadsInWords } from '../page/words.js';

const FORM = 'form[data-drop]';
const queue = lanes(2); // two side by side fill a slow line; more would only make each one slower

/**
 * The lines of files that the brief does not have: waiting, on their way, refused, or to be tried
 * again. A picture shot from the page may be nowhere else, so that only the maker dismisses it.
 */
const unsent = new Set();

/** What has ended since all was quiet, for one sentence at the end. */
const tally = { added: 0, failed: 0, last: '', where: '', opens: '', said: '' };

/** @param {HTMLFormElement} form @returns {HTMLInputElement | null} */
const fileInput = (form) => form.querySelector('input[type="file"]');

/** @param {HTMLFormElement} form @returns {HTMLFormElement} the element that stands for it after refreshes */
function standing(form) {
  return form.isConnected ? form : (/** @type {any} */ (document.getElementById(form.getAttribute('id') ?? '')) ?? form);
}

/** @param {HTMLFormElement} form @returns {Element} */
function progressList(form) {
  const there = form.querySelector('[data-progress]');
  if (there) return there;
  const made = document.createElement('ol');
  made.dataset.progress = '';
  form.append(made);
  return made;
}

/**
 * @param {HTMLFormElement} form
 * @param {File} file
 * @param {string} source the web address that it came from, or ""
 * @returns {FormData} the form's other fields, the fixed ones, the file
 */
function bodyFor(form, file, source) {
  const body = new FormData(form);
  const name = fileInput(form)?.name || 'files';
  body.delete(name);
  for (const [key, value] of Object.entries(JSON.parse(form.dataset.fixed || '{}'))) body.set(key, String(value));
  const kept = form.dataset.cameFrom;
  if (kept && source && !body.get(kept)) body.set(kept, source);
  body.append(name, file, file.name);
  return body;
}

/** Show the maker what came. @param {string} id */
function look(id) {
  const came = document.getElementById(id);
  if (!came) return;
  putCursorOn(came);
  bringIntoView(came);
}

/** @returns {boolean} whether the maker is at a field by now */
const isWriting = () => Boolean(document.activeElement?.matches('input:not([type="file"], [type="checkbox"]), textarea, select'));

/** @param {string} note from a refresh */
function whenQuiet(note) {
  if (queue.busy()) return;
  for (const list of document.querySelectorAll('[data-progress]')) foldAdded(list);
  const only = tally.added === 1 && !tally.failed;
  const text = sentences([(only && tally.said) || uploadsInWords(tally.added, tally.failed), note]);
  // One alone is what the maker wants to see; of several, and of what is wrong, the list tells.
  const elsewhere = document.getElementById(tally.last) ? '' : tally.where;
  const next = only && (tally.opens || elsewhere);
  if (next && !note && !isWriting()) {
    sayNext({ text });
    location.assign(next);
    return;
  }
  say(text, { stays: tally.failed > 0 || note !== '' });
  if (only && !isWriting()) look(tally.last);
  Object.assign(tally, { added: 0, failed: 0, last: '', where: '', opens: '', said: '' });
}

/** @param {ReturnType<typeof fileLine>} line @returns {import('./uploads.js').WayOut} */
function dismissal(line) {
  const run = () => {
    unsent.delete(line);
    const form = line.line.closest('form');
    line.line.remove();
    if (form) putCursorOn(form);
  };
  return { label: 'Dismiss', run };
}

/**
 * @param {HTMLFormElement} form
 * @param {File} file
 * @param {ReturnType<typeof fileLine>} line
 * @param {string} source the web address that it came from, or ""
 */
async function sendFile(form, file, line, source) {
  line.waiting();
  const to = { address: form.getAttribute('action') ?? '', verb: form.dataset.drop, etag: form.dataset.etag };
  const body = bodyFor(form, file, source); // as the form is now, not as it will be when its turn comes
  const outcome = await queue.add(() => upload(to, body, line.sent));
  let note = '';
  if ('answer' in outcome) {
    const made = [outcome.answer].flat()[0];
    unsent.delete(line);
    tally.last = fillAddress(form.dataset.show ?? '', made);
    tally.where = fillAddress(form.dataset.where ?? '', made);
    tally.opens = fillAddress(form.dataset.opens ?? '', made);
    tally.said = fillText(form.dataset.say ?? '', made);
    line.added(tally.last, tally.said || 'added');
    tally.added += 1;
    note = sentences([...(made.warnings ?? []), await refresh(fillAddress(form.dataset.refresh ?? '', made))]);
  } else {
    const again = { label: 'Try again', run: () => void sendFile(standing(form), file, line, source) };
    const signIn = signInElsewhere(outcome.status);
    line.failed(outcome.wrong, [...(signIn ? [signIn] : []), outcome.passing ? again : dismissal(line)]);
    tally.failed += 1;
  }
  if (tally.added + tally.failed) whenQuiet(note);
}

/**
 * @param {HTMLFormElement} form
 * @param {Iterable<File>} files
 * @param {string} [source] the web address that they came from
 */
function take(form, files, source = '') {
  const list = progressList(form);
  // The lines of an earlier batch that went well have been read by now.
  if (!queue.busy()) for (const old of list.querySelectorAll('[data-state="added"]')) old.remove();
  const limits = { accept: fileInput(form)?.accept ?? '', maxBytes: Number(form.dataset.maxBytes ?? 0), inWords: megabytes };
  for (const file of files) {
    const line = fileLine(file.name);
    list.append(line.line);
    unsent.add(line);
    const why = refusal(file, limits);
    if (why === null) sendFile(form, file, line, source);
    else {
      line.failed(why, [dismissal(line)]);
      tally.failed += 1;
    }
  }
  if (tally.failed) whenQuiet(''); // where all were refused, nothing else would come to an end
}

/** @param {HTMLFormElement} form @param {HTMLInputElement | null} input */
function takePicked(form, input) {
  if (!input?.files?.length) return input?.click();
  const picked = [...input.files];
  input.value = ''; // so that the same file can be picked again
  take(form, picked);
}

/**
 * @param {Event} event
 * @returns {HTMLFormElement | null} the form under the pointer or cursor, else the first; none over a
 *   field of another form that takes a file by itself
 */
function formFor(event) {
  const on = event.target instanceof Element ? event.target : null;
  if (on?.matches('input[type="file"]') && !on.closest(FORM)) return null;
  return /** @type {HTMLFormElement | null} */ (on?.closest(FORM) ?? document.querySelector(FORM));
}

function wireDragging() {
  let ownDrag = false; // a picture of this very page being dragged is no new file
  const unmark = () => document.querySelectorAll(`${FORM}.is-over`).forEach((form) => form.classList.remove('is-over'));
  document.addEventListener('dragstart', () => (ownDrag = true));
  document.addEventListener('dragend', () => (ownDrag = false));
  document.addEventListener('dragover', (event) => {
    const form = formFor(event);
    if (ownDrag || !form || !event.dataTransfer?.types.includes('Files')) return;
    event.preventDefault(); // says that a drop is welcome
    event.dataTransfer.dropEffect = 'copy';
    if (form.classList.contains('is-over')) return;
    unmark();
    form.classList.add('is-over');
  });
  // Leaving the window has no element to go to.
  document.addEventListener('dragleave', (event) => event.relatedTarget === null && unmark());
  document.addEventListener('drop', (event) => {
    unmark();
    const form = formFor(event);
    if (ownDrag || !form || !event.dataTransfer?.files.length) return;
    event.preventDefault();
    take(form, event.dataTransfer.files, cameFrom(event.dataTransfer));
  });
}

export function wireDrop() {
  wireDragging();
  document.addEventListener('change', (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const form = /** @type {HTMLFormElement | null} */ (input.closest(FORM));
    if (form && input.type === 'file') takePicked(form, input);
  });
  document.addEventListener('submit', (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!form.matches(FORM)) return;
    event.preventDefault();
    takePicked(form, fileInput(form));
  });
  document.addEventListener('paste', (event) => {
    const form = formFor(event);
    const files = [...(event.clipboardData?.files ?? [])].filter((file) => file.type.startsWith('image/'));
    // Copied from a text processor, words come with a picture of themselves: into a text field they go as words.
    const intoText = /** @type {Element} */ (event.target).closest?.('input, textarea') && event.clipboardData?.types.includes('text/plain');
    if (!form || !files.length || intoText) return;
    event.preventDefault();
    take(form, files, cameFrom(event.clipboardData));
  });
  window.addEventListener('beforeunload', (event) => {
    if (unsent.size) event.preventDefault();
  });
  // What was picked while this script was still on its way fired its event before anybody listened.
  for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll(`${FORM} input[type="file"]`))) {
    if (input.files?.length) takePicked(/** @type {HTMLFormElement} */ (input.form), input);
  }
}
