/**
 * From one picture to the next: by the arrow keys, or by a swipe over the picture.
 *
 *   <nav data-turns><a rel="prev" href="…"> <a rel="next" href="…"></nav>
 *
 * Keys count where nothing else would use them, and a swipe only where nothing is being drawn.
 */
const SWIPED_PX = 60;
const USES_KEYS = 'input, select, textarea, summary, [contenteditable], [role="slider"], .is-armed, .pick-box, .mark-handle';

/** @type {{ x: number, y: number } | null} where the only finger came down */
let began = null;

/** @param {'prev' | 'next'} rel */
function follow(rel) {
  const link = /** @type {HTMLAnchorElement | null} */ (document.querySelector(`[data-turns] a[rel="${rel}"]`));
  link?.click();
}

/** @param {TouchEvent} event @returns {boolean} on a picture that nothing is drawn on, and not magnified */
function onPicture(event) {
  const on = event.target instanceof Element ? event.target.closest('.large > figure') : null;
  return event.touches.length === 1 && on !== null && !on.querySelector('.is-armed') && (window.visualViewport?.scale ?? 1) === 1;
}

export function wireNeighbours() {
  document.addEventListener('keydown', (event) => {
    const rel = event.key === 'ArrowLeft' ? 'prev' : event.key === 'ArrowRight' ? 'next' : null;
    if (!rel || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey || event.defaultPrevented) return;
    if (event.target instanceof Element && event.target.closest(USES_KEYS)) return;
    follow(rel);
  });
  document.addEventListener('touchstart', (event) => {
    began = onPicture(event) ? { x: event.touches[0].clientX, y: event.touches[0].clientY } : null;
  }, { passive: true });
  document.addEventListener('touchend', (event) => {
    const ended = event.changedTouches[0];
    if (!began || event.touches.length) return;
    const [across, down] = [ended.clientX - began.x, ended.clientY - began.y];
    began = null;
    if (Math.abs(across) > SWIPED_PX && Math.abs(across) > 2 * Math.abs(down)) follow(across < 0 ? 'next' : 'prev');
  }, { passive: true });
}
