/**
 * Closed outlines of points: whether they cross, what lies inside, which edge is nearest. Pure.
 *
 * @typedef {import('./points.js').Point} Point
 * @typedef {import('./points.js').Scale} Scale
 */

/** Above 0 where going from a to b to c turns one way, below 0 the other. */
const turn = (/** @type {Point} */ a, /** @type {Point} */ b, /** @type {Point} */ c) => (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);

const beyond = (/** @type {number} */ a, /** @type {number} */ b, /** @type {number} */ c, /** @type {number} */ d) =>
  Math.max(a, b) < Math.min(c, d) || Math.max(c, d) < Math.min(a, b);

/**
 * Whether two stretches touch or cross: their boxes overlap and neither lies to one side of the other.
 * @param {Point} a @param {Point} b @param {Point} c @param {Point} d
 */
function meet(a, b, c, d) {
  if (beyond(a.x, b.x, c.x, d.x) || beyond(a.y, b.y, c.y, d.y)) return false;
  return Math.sign(turn(a, b, c)) * Math.sign(turn(a, b, d)) <= 0 && Math.sign(turn(c, d, a)) * Math.sign(turn(c, d, b)) <= 0;
}

/** @param {Point[]} ring @param {boolean} closed @returns {[Point, Point][]} */
function edges(ring, closed) {
  return ring.slice(0, closed ? undefined : -1).map((point, i) => [point, ring[(i + 1) % ring.length]]);
}

/**
 * @param {Point[]} points
 * @param {boolean} [closed] whether the last point is joined to the first
 * @returns {boolean} whether it crosses or touches itself, or runs back over itself
 */
export function crossesItself(points, closed = true) {
  const ring = points.filter((p, i) => i === 0 || p.x !== points[i - 1].x || p.y !== points[i - 1].y);
  const all = edges(ring, closed);
  return all.some(([a, b], i) => all.some(([c, d], j) => {
    if (j <= i) return false;
    const follows = j === i + 1;
    const precedes = closed && i === 0 && j === all.length - 1;
    if (follows && precedes) return true; // there and back
    if (follows) return turn(a, b, d) === 0 && (b.x - a.x) * (d.x - c.x) + (b.y - a.y) * (d.y - c.y) < 0;
    if (precedes) return turn(c, d, b) === 0 && (d.x - c.x) * (b.x - a.x) + (d.y - c.y) * (b.y - a.y) < 0;
    return meet(a, b, c, d);
  }));
}

/** @param {Point[]} one @param {Point[]} other @returns {boolean} whether two closed outlines meet */
export function ringsMeet(one, other) {
  const others = edges(other, true);
  return edges(one, true).some(([a, b]) => others.some(([c, d]) => meet(a, b, c, d)));
}

/**
 * @param {Point[][]} rings
 * @param {Point} at
 * @returns {boolean} whether it lies inside by the even-odd rule: within an outline but in no hole
 */
export function inside(rings, at) {
  const crossed = rings.flatMap((ring) => edges(ring, true)).filter(([a, b]) =>
    a.y <= at.y !== b.y <= at.y && a.x + ((at.y - a.y) * (b.x - a.x)) / (b.y - a.y) > at.x);
  return crossed.length % 2 === 1;
}

/**
 * @param {Point[][]} rings closed ones
 * @param {Point} at
 * @param {Scale} scale
 * @returns {{ring: number, index: number, distance: number}} the edge that starts at that point,
 *   and how far it is in pixels; infinitely far where there are no edges
 */
export function nearestEdge(rings, at, scale) {
  let nearest = { ring: -1, index: -1, distance: Infinity };
  rings.forEach((points, ring) => edges(points, true).forEach(([a, b], index) => {
    const [dx, dy] = [(b.x - a.x) * scale.x, (b.y - a.y) * scale.y];
    const [px, py] = [(at.x - a.x) * scale.x, (at.y - a.y) * scale.y];
    const long = dx * dx + dy * dy;
    const along = long ? Math.min(Math.max((px * dx + py * dy) / long, 0), 1) : 0;
    const distance = Math.hypot(px - along * dx, py - along * dy);
    if (distance < nearest.distance) nearest = { ring, index, distance };
  }));
  return nearest;
}
