/**
 * Munsell notation, asked for apart: it takes the server a while, and most colours are never asked.
 *
 *   <span data-munsell="Lab 56.1 17.3 33.9"></span>
 *
 * Filled in once it comes into view, to be copied; a colour that has no notation says why.
 */
/** @typedef {{munsell: string | null, munsell_reason: string | null}} Known */

/** @type {Map<string, Promise<Known>>} */
const known = new Map();

/** @param {string} colour @returns {Promise<Known>} */
async function ask(colour) {
  const response = await fetch(`/api/colours?colour=${encodeURIComponent(colour)}`);
  if (!response.ok) throw new Error(`the API answered ${response.status}`);
  return response.json();
}

/** The notation, copied with one tap as the others are. @param {string} munsell */
function button(munsell) {
  const made = document.createElement('button');
  made.type = 'button';
  made.className = 'bare';
  made.dataset.copy = munsell;
  made.setAttribute('aria-label', `Copy Munsell ${munsell}`);
  made.textContent = `Munsell ${munsell}`;
  return made;
}

/** @param {HTMLElement} place */
async function fill(place) {
  const colour = place.dataset.munsell ?? '';
  delete place.dataset.munsell;
  if (!known.has(colour)) known.set(colour, ask(colour));
  try {
    const { munsell, munsell_reason: reason } = /** @type {Known} */ (await known.get(colour));
    place.replaceChildren(munsell ? button(munsell) : reason ?? '');
  } catch {
    known.delete(colour);
    place.dataset.munsell = colour; // asked again when it next comes into view
  }
}

export function wireMunsell() {
  const seen = new IntersectionObserver((entries) => {
    for (const { isIntersecting, target } of entries) {
      if (!isIntersecting) continue;
      seen.unobserve(target);
      fill(/** @type {HTMLElement} */ (target));
    }
  });
  const watch = () => {
    for (const place of document.querySelectorAll('[data-munsell]')) seen.observe(place);
  };
  watch();
  document.addEventListener('brief:refreshed', watch);
}
