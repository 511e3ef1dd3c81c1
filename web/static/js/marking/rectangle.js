/**
 * A rectangle in percent of a picture, as a W3C media fragment: "xywh=percent:10,10,50,50"
 * (Media Fragments URI 1.0, section 4.2.2). Always within the picture. Pure.
 *
 * The standard's grammar has whole numbers only. Tenths are written where they are needed: a whole
 * percent of a photograph of a guitar is wider than a purfling line.
 *
 * @typedef {{x: number, y: number, w: number, h: number}} Rectangle
 * @typedef {{x: number, y: number}} Point
 * @typedef {'nw' | 'ne' | 'sw' | 'se'} Corner
 */

/** Smaller than this nothing could be seen or grasped. */
const LEAST = 1;

const step = (/** @type {number} */ n) => Math.round(n * 10) / 10;
const between = (/** @type {number} */ low, /** @type {number} */ n, /** @type {number} */ high) => Math.min(Math.max(n, low), high);

/**
 * The nearest rectangle that lies within the picture.
 * @param {Rectangle} rectangle
 * @returns {Rectangle}
 */
export function clamp({ x, y, w, h }) {
  const [width, height] = [between(LEAST, step(w), 100), between(LEAST, step(h), 100)];
  return {
    x: step(between(0, x, 100 - width)),
    y: step(between(0, y, 100 - height)),
    w: width,
    h: height,
  };
}

/**
 * @param {string} text
 * @returns {Rectangle | null} null where it is no percent rectangle, or one that has no area
 */
export function parse(text) {
  const number = '\\s*(\\d+(?:\\.\\d*)?)\\s*';
  const match = new RegExp(`^\\s*xywh=percent:${[number, number, number, number].join(',')}$`).exec(text);
  if (!match) return null;
  const [x, y, w, h] = match.slice(1).map(Number);
  if (!(w > 0 && h > 0 && x < 100 && y < 100)) return null;
  // What sticks out is cut off, as a viewer would, rather than pushed in.
  return clamp({ x, y, w: Math.min(w, 100 - x), h: Math.min(h, 100 - y) });
}

/**
 * @param {string} text such as "10, 20, 50, 40": left, top, width, height; or a media fragment
 * @returns {Rectangle | null} as `parse`
 */
export function readPlain(text) {
  const numbers = text.replaceAll('%', ' ').trim().split(/\s*,\s*|\s+/);
  return parse(text) ?? parse(`xywh=percent:${numbers.join(',')}`);
}

/** @param {Rectangle} rectangle @returns {string} */
export function format({ x, y, w, h }) {
  return `xywh=percent:${[x, y, w, h].map(step).join(',')}`;
}

/** @param {Rectangle} rectangle @returns {string} the numbers alone, as a person reads and types them */
export function plain({ x, y, w, h }) {
  return [x, y, w, h].map(step).join(', ');
}

/**
 * @param {Point} a
 * @param {Point} b any two opposite corners
 * @returns {Rectangle}
 */
export function spanning(a, b) {
  const inside = (/** @type {number} */ n) => between(0, n, 100);
  const [x1, x2] = [inside(Math.min(a.x, b.x)), inside(Math.max(a.x, b.x))];
  const [y1, y2] = [inside(Math.min(a.y, b.y)), inside(Math.max(a.y, b.y))];
  return clamp({ x: x1, y: y1, w: x2 - x1, h: y2 - y1 });
}

/**
 * @param {Rectangle} rectangle
 * @param {number} dx
 * @param {number} dy
 * @returns {Rectangle} the same size, stopped at the picture's edge
 */
export function moved(rectangle, dx, dy) {
  return clamp({ ...rectangle, x: rectangle.x + dx, y: rectangle.y + dy });
}

/**
 * @param {Rectangle} rectangle
 * @param {number} dw
 * @param {number} dh
 * @returns {Rectangle} its upper left corner held, its lower right one stopped at the picture's edge
 */
export function grown(rectangle, dw, dh) {
  const { x, y, w, h } = rectangle;
  return clamp({ x, y, w: between(LEAST, w + dw, 100 - x), h: between(LEAST, h + dh, 100 - y) });
}

/**
 * @param {Rectangle} rectangle
 * @param {Corner} corner the one that is dragged
 * @param {Point} to
 * @returns {Rectangle} spanned from the opposite corner; may turn over
 */
export function stretched({ x, y, w, h }, corner, to) {
  return spanning({ x: corner.endsWith('w') ? x + w : x, y: corner.startsWith('n') ? y + h : y }, to);
}

/**
 * @param {Point} at
 * @param {number} wide percent
 * @param {number} shape width by height of the picture
 * @returns {Rectangle} as wide as high to the eye, about the point or as near as the edge allows
 */
export function about(at, wide, shape) {
  const high = wide * shape;
  return clamp({ x: at.x - wide / 2, y: at.y - high / 2, w: wide, h: high });
}

/** @param {Rectangle} rectangle @returns {string} */
export function inWords({ x, y, w, h }) {
  return `${w} % wide and ${h} % high, ${x} % from the left and ${y} % from the top`;
}
