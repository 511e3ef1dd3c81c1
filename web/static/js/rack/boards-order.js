/**
 * Which boards are shown, and in what order. Pure: no document.
 *
 * @typedef {{find: string, stuff: string, lab: number[] | null}} Board
 *   find: what it can be found by; lab: L, a, b (D65, 2°), null until it is measured
 */

/**
 * Letters as one types them in haste: small, and without their accents.
 * @param {string} text
 * @returns {string}
 */
const plain = (text) => text.normalize('NFD').replace(/\p{Mark}/gu, '').toLowerCase();

/**
 * @param {Board} board
 * @param {{words: string, stuff: string}} asked every word must be found; an empty stuff means all
 * @returns {boolean}
 */
export function answers({ find, stuff }, asked) {
  const text = plain(find);
  const found = plain(asked.words).split(/\s+/).every((word) => text.includes(word));
  return found && (!asked.stuff || stuff === asked.stuff);
}

/**
 * @template {Board} B
 * @param {B[]} boards as on the rack
 * @param {string} order rack or light (lightest first)
 * @returns {B[]} all of them; what is not measured comes last, equals stay as on the rack
 */
export function inOrder(boards, order) {
  /** @type {Map<B, number>} */
  const ranks = new Map();
  for (const board of boards) {
    const { lab } = board;
    if (order === 'light') ranks.set(board, lab ? -lab[0] : Infinity);
  }
  const rank = (/** @type {B} */ board) => ranks.get(board) ?? 0;
  // Compared, not subtracted: Infinity less itself is no number.
  return [...boards].sort((one, other) => Number(rank(one) > rank(other)) - Number(rank(one) < rank(other)));
}

/**
 * @param {number} shown
 * @param {number} all
 * @returns {string} how many boards are there, in words
 */
export function countInWords(shown, all) {
  // A ground that is alone on the rack has nothing to be set into it.
  if (!all) return 'No other piece is on the rack';
  const pieces = all === 1 ? '1 piece' : `${all} pieces`;
  if (!shown) return `No match among ${pieces}`;
  return shown === all ? pieces : `${shown} of ${pieces}`;
}
