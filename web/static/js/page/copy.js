/** `<button type="button" data-copy="lab(56% 17 34)">` copies its text and says so. */
import { say } from './said.js';
import { quoted } from './words.js';

/**
 * @param {string} text
 * @param {Element} beside where the helper field may stand: within an open dialog, only the dialog can be focused
 * @returns {Promise<boolean>}
 */
async function copyText(text, beside) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    // No clipboard on plain http, as when a phone opens the brief from the computer in the workshop.
    const cursor = /** @type {HTMLElement | null} */ (document.activeElement);
    const field = document.createElement('textarea');
    field.value = text;
    field.readOnly = true; // keeps a phone's keyboard down
    field.style.position = 'fixed';
    field.style.opacity = '0';
    beside.after(field);
    field.select();
    const copied = document.execCommand('copy');
    field.remove();
    cursor?.focus({ preventScroll: true });
    return copied;
  }
}

export function wireCopy() {
  document.addEventListener('click', async (event) => {
    const button = /** @type {Element} */ (event.target).closest('[data-copy]');
    if (!(button instanceof HTMLElement)) return;
    const text = button.dataset.copy ?? '';
    if (await copyText(text, button)) say(`Copied ${quoted(text)}.`);
    else say(`This browser does not let pages copy. The text is: ${text}`, { stays: true });
  });
}
