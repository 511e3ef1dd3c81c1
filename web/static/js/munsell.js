/**
 * Munsell notation, asked for apart: it takes the server a while, and most colours are never asked.
 *
 *   <span data-munsell="Lab 56.1 17.3 33.9"></span>
 *
 * Filled in once it comes into view; a colour that has no notation says why.
 */
/** @type {Map<string, Promise<string>>} */
const known = new Map();

/** @param {string} colour @returns {Promise<string>} */
async function ask(colour) {
  const response = await fetch(`/api/colours?colour=${encodeURIComponent(colour)}`);
  if (!response.ok) throw new Error(`the API answered ${response.status}`);
  const { munsell, munsell_reason: reason } = await response.json();
  return munsell ? `Munsell ${munsell}` : reason;
}

/** @param {HTMLElement} place */
async function fill(place) {
  const colour = place.dataset.munsell ?? '';
  delete place.dataset.munsell;
  if (!known.has(colour)) known.set(colour, ask(colour));
  try {
    place.textContent = await known.get(colour) ?? '';
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
