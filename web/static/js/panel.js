/**
 * The instrument panel, `<details id="panel">`: always open beside the sheet on wide screens, one
 * tap away on a phone; and its parts, which light up when something elsewhere speaks of them.
 *
 *   <a data-shows-role="fretboard" …>   lights   #panel svg [data-role="fretboard"]
 */

const WIDE = '(min-width: 60rem)';
const KEY = 'brief:panel';

/** @returns {HTMLDetailsElement | null} */
const panel = () => /** @type {HTMLDetailsElement | null} */ (document.querySelector('details#panel'));

/** @returns {boolean} whether it was left open on this phone, in this sitting */
function leftOpen() {
  try {
    return sessionStorage.getItem(KEY) === 'open';
  } catch {
    return false; // a browser that keeps nothing starts folded
  }
}

/** @param {boolean} open */
function remember(open) {
  try {
    sessionStorage.setItem(KEY, open ? 'open' : 'folded');
  } catch {
    // As above: nothing depends on it.
  }
}

function wireFolding() {
  const wide = window.matchMedia(WIDE);
  const apply = () => {
    const there = panel();
    if (there) there.open = wide.matches || leftOpen();
  };
  apply();
  wide.addEventListener('change', apply);
  document.addEventListener('brief:refreshed', apply);
  document.addEventListener('click', (event) => {
    const summary = /** @type {Element} */ (event.target).closest('summary');
    const there = panel();
    if (!summary || !there || summary.parentElement !== there) return;
    if (wide.matches) event.preventDefault();
    else remember(!there.open); // it turns over after this event
  });
}

/** @param {EventTarget | null} target what is pointed at or focused */
function light(target) {
  const speaker = target instanceof Element ? /** @type {HTMLElement | null} */ (target.closest('[data-shows-role]')) : null;
  const role = speaker?.dataset.showsRole;
  for (const part of document.querySelectorAll('#panel svg [data-role]')) {
    part.classList.toggle('is-shown', role !== undefined && part.getAttribute('data-role') === role);
  }
}

export function wirePanel() {
  wireFolding();
  // Going over to anything else puts the light out; a finger's lasts until the next touch.
  document.addEventListener('pointerover', (event) => light(event.target));
  document.addEventListener('focusin', (event) => light(event.target));
  document.addEventListener('focusout', () => light(null));
}
