/**
 * Points on a picture in percent of its width and height, and as a field holds them: "31.5,62" or
 * "x1,y1 x2,y2 …". Always within the picture, to a tenth. Pure.
 *
 * @typedef {{x: number, y: number}} Point
 * @typedef {{x: number, y: number}} Scale pixels per percent, across and down
 * @typedef {{left: number, top: number, width: number, height: number}} Box
 */

const tenth = (/** @type {number} */ n) => Math.round(n * 10) / 10;
const within = (/** @type {number} */ n) => tenth(Math.min(Math.max(n, 0), 100));

/** @param {Point} point @returns {Point} the nearest one within the picture */
export const clamp = ({ x, y }) => ({ x: within(x), y: within(y) });

/** @param {Point} point @param {number} dx @param {number} dy @returns {Point} */
export const shifted = ({ x, y }, dx, dy) => clamp({ x: x + dx, y: y + dy });

/**
 * @param {string} text numbers in pairs, parted by spaces or commas as SVG parts them
 * @returns {Point[] | null} null where it is anything else, or outside the picture
 */
export function parse(text) {
  const words = text.trim().split(/\s*,\s*|\s+/);
  if (words.length % 2 || !words.every((word) => /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(word))) return null;
  const numbers = words.map(Number);
  if (numbers.some((n) => !(n >= 0 && n <= 100))) return null;
  return numbers.flatMap((n, i) => (i % 2 ? [] : [clamp({ x: n, y: numbers[i + 1] })]));
}

/** @param {Point[]} points @returns {string} */
export const format = (points) => points.map(clamp).map(({ x, y }) => `${x},${y}`).join(' ');

/**
 * @param {Box} box where the picture lies
 * @param {Point} pointer in the same pixels
 * @returns {Point} in percent, perhaps outside
 */
export function toPercent({ left, top, width, height }, { x, y }) {
  return { x: ((x - left) / width) * 100, y: ((y - top) / height) * 100 };
}

/** @param {Box} box @param {Point} point in percent @returns {Point} in the box's pixels */
export function toPixels({ left, top, width, height }, { x, y }) {
  return { x: left + (x * width) / 100, y: top + (y * height) / 100 };
}

/** @param {Point} a @param {Point} b @param {Scale} scale @returns {number} pixels between them */
export const apart = (a, b, scale) => Math.hypot((a.x - b.x) * scale.x, (a.y - b.y) * scale.y);

/** @param {Point} point @returns {string} */
export const inWords = ({ x, y }) => `${x} across, ${y} down`;

/**
 * Short strokes across a line, one at each place on it.
 * @param {Point[]} places
 * @param {[Point, Point]} along the line's two ends
 * @param {number} aspect the picture's width over its height: what is square to a line in percent
 *   is not square to it on the picture
 * @returns {[Point, Point][]} each 3 % of the picture's longer side in length
 */
export function ticksAcross(places, [from, to], aspect) {
  const [dx, dy] = [(to.x - from.x) * aspect, to.y - from.y];
  const length = Math.hypot(dx, dy);
  const half = 1.5 * Math.max(aspect, 1);
  const [x, y] = length ? [((-dy / length) * half) / aspect, (dx / length) * half] : [0, half];
  return places.map((at) => [{ x: at.x - x, y: at.y - y }, { x: at.x + x, y: at.y + y }]);
}
