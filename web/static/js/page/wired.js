/**
 * Buttons that wait for their script: `<button type="submit" disabled data-wired>`. Pressed before, they
 * would send a plain form, which the API refuses. Those in a fold's template need none of it.
 */

/** @param {ParentNode} root the page, or a fresh one whose parts are about to be shown */
export function enableWired(root) {
  for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (root.querySelectorAll('[data-wired]'))) button.disabled = false;
}
