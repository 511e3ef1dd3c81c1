/** Where the reader is: bring a thing into view and put the cursor on it. */

const GAP = 12; // px between the thing and the edge of what can be seen

/** @returns {{top: number, bottom: number}} the part of the window that the sentence in #said leaves free */
function free() {
  const said = document.getElementById('said')?.getBoundingClientRect();
  const whole = { top: GAP, bottom: innerHeight - GAP };
  if (!said?.height) return whole;
  return said.top < innerHeight / 2 ? { ...whole, top: said.bottom + GAP } : { ...whole, bottom: said.top - GAP };
}

/**
 * Scroll only where it is needed: all of it is in view, or, where it is too long, its beginning.
 * @param {Element} element
 */
export function bringIntoView(element) {
  const { top, bottom } = free();
  const box = element.getBoundingClientRect();
  const begins = box.top >= top && box.top <= (top + bottom) / 2;
  if (begins || (box.top >= top && box.bottom <= bottom)) return;
  window.scrollBy({ top: box.top - top, behavior: 'instant' });
}

/**
 * Put the cursor on a thing: on what it says is meant, or its heading, which a screen reader then reads.
 * @param {Element} element
 */
export function putCursorOn(element) {
  const target = /** @type {HTMLElement} */ (element.querySelector('[data-cursor]') ?? element.querySelector('h2, h3, h4') ?? element);
  if (target.tabIndex < 0) target.tabIndex = -1;
  target.focus({ preventScroll: true });
}
