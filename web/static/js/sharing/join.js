/** The secret of an invitation stands behind the # of its link, which no server is told on the way. */
export function wireJoin() {
  const field = /** @type {HTMLInputElement | null} */ (document.querySelector('input[data-from-hash]'));
  if (field) field.value = location.hash.slice(1);
}
