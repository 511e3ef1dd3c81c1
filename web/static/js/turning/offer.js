/**
 * Bring the button that turns the instrument on a page which is complete without it.
 * @returns {(words: string) => void} how words are told there, beside the button
 */
export function offer() {
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-turned]'))) button.hidden = false;
  return (words) => {
    const said = document.querySelector('[data-turn-said]');
    if (said) said.textContent = words;
  };
}
