/** What is held in a drawing: `touch-action` does nothing on a group in one (Chromium). */

/** @param {Event} event */
function stay(event) {
  if (event.cancelable) event.preventDefault();
}

/** A finger on it moves it and does not scroll the page. However often it is said. @param {Element} held */
export function keepStill(held) {
  held.addEventListener('touchstart', stay, { passive: false });
}
