/** `<input type="checkbox" data-reveal="key">` shows what is typed in the field with the id "key". */
export function wireReveal() {
  document.addEventListener('change', (event) => {
    const box = /** @type {HTMLInputElement} */ (event.target);
    const field = box.dataset.reveal && document.getElementById(box.dataset.reveal);
    if (field instanceof HTMLInputElement) field.type = box.checked ? 'text' : 'password';
  });
}
