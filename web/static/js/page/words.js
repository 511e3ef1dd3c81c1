/** Small texts shared by the modules. Pure: no document. */

/**
 * Things in a row as one says them: "a", "a and b", "a, b and c".
 * @param {string[]} things
 * @returns {string}
 */
export function listInWords(things) {
  if (things.length < 2) return things.join('');
  return `${things.slice(0, -1).join(', ')} and ${things[things.length - 1]}`;
}

/**
 * A name or a text in quotation marks, shortened where it would fill the line.
 * @param {string} text
 * @param {number} [longest] characters kept
 * @returns {string}
 */
export function quoted(text, longest = 80) {
  const letters = Array.from(text); // by character, so that no emoji or accent is cut in two
  const shown = letters.length > longest ? `${letters.slice(0, longest - 1).join('')}…` : text;
  return `“${shown}”`;
}

/**
 * What was removed, with all that went along.
 * @param {{removed: string, along?: string[]}} answer
 * @returns {string} such as: Removed “Reed” with 2 palettes and 5 swatches.
 */
export function removedInWords({ removed, along = [] }) {
  const company = along.length ? ` with ${listInWords(along)}` : '';
  return `Removed ${quoted(removed)}${company}.`;
}

/**
 * A file size, 1 MB being 1 048 576 bytes as where the limit is set.
 * @param {number} bytes
 * @returns {string}
 */
export function megabytes(bytes) {
  const size = bytes / 2 ** 20;
  if (size < 0.1) return `${Math.max(1, Math.round(bytes / 2 ** 10))} kB`;
  return `${size.toFixed(1).replace(/\.0$/, '')} MB`;
}

/**
 * How a batch of uploads ended.
 * @param {number} added
 * @param {number} failed
 * @returns {string}
 */
export function uploadsInWords(added, failed) {
  const files = (/** @type {number} */ n) => (n === 1 ? '1 file' : `${n} files`);
  if (!failed) return `${files(added)} added.`;
  if (!added) return `${files(failed)} could not be added; the list says why.`;
  return `${files(added)} added, ${files(failed)} not; the list says why.`;
}

/**
 * Sentences in a row; one without an end of its own gets a full stop.
 * @param {string[]} parts empty ones are left out
 * @returns {string}
 */
export function sentences(parts) {
  const said = parts.filter(Boolean);
  return said.map((part, i) => (i < said.length - 1 && !/[.!?]$/.test(part) ? `${part}.` : part)).join(' ');
}
