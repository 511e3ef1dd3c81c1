/**
 * A file whose text belongs in a field: it is read into it, and sent with the form like typed text.
 *
 *   <input type="file" data-text-into="inlay-form-drawing">
 */
import { say } from '../page/said.js';

const MOST_BYTES = 4e6; // far beyond what is accepted; the API says what is

/** @param {HTMLInputElement} input */
async function pour(input) {
  const field = /** @type {HTMLTextAreaElement | null} */ (document.getElementById(input.dataset.textInto ?? ''));
  const file = input.files?.[0];
  if (!field || !file) return;
  if (file.size > MOST_BYTES) {
    say(`${file.name} is too large for an inlay drawing. Simplify it and save it as plain SVG.`, { stays: true });
    return;
  }
  field.value = await file.text();
  field.dispatchEvent(new Event('input', { bubbles: true }));
}

export function wireTextFile() {
  document.addEventListener('change', (event) => {
    const input = event.target;
    if (input instanceof HTMLInputElement && input.dataset.textInto) pour(input);
  });
}
