/**
 * Take words marked in a passage into a form, with what stands round them, so that the place is
 * found again where the same words stand in it twice.
 *
 *   <blockquote id="verse-…">…</blockquote>
 *   <button type="button" data-quote-from="verse-…" data-quote-to="form-id">Take the marked words</button>
 *   <input id="form-id-quote"> <input type="hidden" id="form-id-quote_prefix"> <input type="hidden" id="form-id-quote_suffix">
 *
 * A finger that presses the button ends the marking, so the last marking in each passage is kept.
 */
import { write } from '../form/carry.js';
import { say } from '../page/said.js';

const CONTEXT = 32; // characters before and behind, as the server keeps

/** @type {Map<string, {exact: string, prefix: string, suffix: string}>} by the id of the passage */
const marked = new Map();

/** @param {Element} passage @param {Range} range */
function around(passage, range) {
  const before = document.createRange();
  before.selectNodeContents(passage);
  const behind = before.cloneRange();
  before.setEnd(range.startContainer, range.startOffset);
  behind.setStart(range.endContainer, range.endOffset);
  return { exact: range.toString(), prefix: before.toString().slice(-CONTEXT), suffix: behind.toString().slice(0, CONTEXT) };
}

function keepMarked() {
  const selection = document.getSelection();
  if (!selection?.rangeCount || selection.isCollapsed) return;
  const range = selection.getRangeAt(0);
  const within = range.commonAncestorContainer;
  const passage = (within instanceof Element ? within : within.parentElement)?.closest('.verse[id]');
  if (passage && range.toString().trim()) marked.set(passage.id, around(passage, range));
}

/** @param {HTMLElement} button */
function takeMarked(button) {
  const { quoteFrom = '', quoteTo = '' } = button.dataset;
  const quote = marked.get(quoteFrom);
  const field = (/** @type {string} */ name) => /** @type {HTMLInputElement | null} */ (document.getElementById(`${quoteTo}-${name}`));
  if (!quote) return say('Select some words in the passage first, or type them.');
  for (const [name, value] of [['quote', quote.exact.replace(/\s+/g, ' ')], ['quote_prefix', quote.prefix], ['quote_suffix', quote.suffix]]) {
    const input = field(name);
    if (input) write(input, value);
  }
  field('quote')?.focus();
}

export function wireQuoting() {
  document.addEventListener('selectionchange', keepMarked);
  document.addEventListener('click', (event) => {
    const button = event.target instanceof Element ? event.target.closest('[data-quote-from]') : null;
    if (button) takeMarked(/** @type {HTMLElement} */ (button));
  });
  // What is typed over is another place: what stood round the old words would lead astray.
  document.addEventListener('input', (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    if (!event.isTrusted || !input.id.endsWith('-quote')) return;
    for (const name of ['prefix', 'suffix']) {
      const beside = /** @type {HTMLInputElement | null} */ (document.getElementById(`${input.id}_${name}`));
      if (beside) write(beside, '');
    }
  });
}
