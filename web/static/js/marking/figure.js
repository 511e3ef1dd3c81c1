/**
 * What is marked on a picture: a spot, a line, four corners, or a polygon with holes. What a tap
 * does to it, what is wrong with it, and what to do next, in words. Pure.
 *
 * Everything is kept as rings of points: all but the polygon have one, whose points are few. The
 * ring that is still being drawn is open; -1 where none is.
 *
 * @typedef {import('./points.js').Point} Point
 * @typedef {import('./points.js').Scale} Scale
 * @typedef {'spot' | 'line' | 'corners' | 'polygon'} Kind
 * @typedef {{rings: Point[][], open: number}} Figure
 * @typedef {{ring: number, index: number}} Place one point of a figure
 */
import { crossesItself, inside, nearestEdge, ringsMeet } from './outline.js';
import { apart, clamp, format as pointsText, inWords, parse as parsePoints } from './points.js';
import * as selector from './selector.js';

const MOST = { spot: 1, line: 2, corners: 4, polygon: Infinity };
const ON_THE_LINE = 10; // px: as near as a finger can be asked to come

/**
 * @param {Kind} kind
 * @param {string} text the field's
 * @param {number} [drawing] the ring that has not been closed yet
 * @returns {Figure} an empty one where the text says something else
 */
export function read(kind, text, drawing = -1) {
  if (kind !== 'polygon') {
    const points = parsePoints(text) ?? [];
    return { rings: points.length && points.length <= MOST[kind] ? [points] : [], open: -1 };
  }
  const rings = selector.parse(text) ?? [];
  const unfinished = rings.findIndex((ring) => ring.length < 3);
  return { rings, open: unfinished < 0 ? drawing : unfinished };
}

/** @param {Kind} kind @param {Point[][]} rings @returns {string} as the field holds it */
export const written = (kind, rings) => (kind === 'polygon' ? selector.format(rings) : pointsText(rings[0] ?? []));

/**
 * @param {Point[][]} rings
 * @param {Point} at
 * @param {Scale} scale
 * @param {number} reach pixels
 * @returns {Place | null} the nearest point within reach
 */
export function nearest(rings, at, scale, reach) {
  const all = rings.flatMap((points, ring) => points.map((point, index) => ({ ring, index, far: apart(point, at, scale) })));
  const [first] = all.filter(({ far }) => far <= reach).sort((a, b) => a.far - b.far);
  return first ? { ring: first.ring, index: first.index } : null;
}

/** @param {Point[][]} rings @param {Place} place @param {Point} to @returns {Point[][]} */
export function movedTo(rings, place, to) {
  return rings.map((points, ring) => (ring === place.ring ? points.with(place.index, clamp(to)) : points));
}

/**
 * A tap where no point is.
 * @param {Kind} kind
 * @param {Figure} figure
 * @param {Point} tapped
 * @param {Scale} scale
 * @returns {(Figure & {place: Place}) | null} with the point that was added or moved there; null
 *   where a tap means nothing
 */
export function tap(kind, { rings, open }, tapped, scale) {
  const at = clamp(tapped);
  const extended = (/** @type {number} */ ring) => {
    const points = [...(rings[ring] ?? []), at];
    return { rings: ring < rings.length ? rings.with(ring, points) : [...rings, points], place: { ring, index: points.length - 1 } };
  };
  if (kind !== 'polygon') {
    if ((rings[0]?.length ?? 0) < MOST[kind]) return { ...extended(0), open };
    const place = /** @type {Place} */ (nearest(rings, at, scale, Infinity));
    return { rings: movedTo(rings, place, at), open, place };
  }
  if (open >= 0) return { ...extended(open), open };
  const edge = nearestEdge(rings, at, scale);
  if (edge.distance <= ON_THE_LINE) {
    const place = { ring: edge.ring, index: edge.index + 1 };
    return { rings: rings.with(edge.ring, rings[edge.ring].toSpliced(place.index, 0, at)), open, place };
  }
  if (!rings.length || inside(rings, at)) return { ...extended(rings.length), open: rings.length };
  return null;
}

/**
 * Without one point. A ring of one goes with it, and an outline takes its holes along.
 * @param {Figure} figure
 * @param {Place} place
 * @returns {Figure}
 */
export function without({ rings, open }, place) {
  const points = rings[place.ring].toSpliced(place.index, 1);
  if (points.length) {
    const unfinished = points.length < 3 ? place.ring : -1;
    return { rings: rings.with(place.ring, points), open: open < 0 ? unfinished : open };
  }
  return { rings: place.ring === 0 ? [] : rings.toSpliced(place.ring, 1), open: -1 };
}

/**
 * The neighbour that a point lies on top of.
 * @param {Figure} figure
 * @param {Place} place
 * @param {Scale} scale
 * @param {number} reach pixels
 * @returns {number} its index; -1 where there is none
 */
export function neighbourUnder({ rings }, place, scale, reach) {
  const points = rings[place.ring];
  const last = points.length - 1;
  const neighbours = [place.index === last ? 0 : place.index + 1, place.index === 0 ? last : place.index - 1];
  return neighbours.find((i) => i !== place.index && apart(points[i], points[place.index], scale) <= reach) ?? -1;
}

/**
 * @param {Kind} kind
 * @param {Figure} figure
 * @returns {string[]} for each ring what is wrong with it; empty where nothing is
 */
export function faults(kind, { rings, open }) {
  if (kind === 'spot' || kind === 'line') return rings.map(() => '');
  return rings.map((ring, i) => {
    const closed = i !== open && ring.length > (kind === 'corners' ? 3 : 2);
    if (crossesItself(ring, closed)) return `${i ? 'A hole' : 'The outline'} crosses itself`;
    if (i && closed && open !== 0 && (!inside([rings[0]], ring[0]) || ringsMeet(rings[0], ring))) return 'A hole reaches outside the outline';
    return '';
  });
}

/** @param {Point[][]} rings @param {Place} place @returns {string} "Point 2 of 4, 31.5 across, 62 down" */
export function pointInWords(rings, { ring, index }) {
  const point = `oint ${index + 1} of ${rings[ring].length}, ${inWords(rings[ring][index])}`;
  return ring ? `Hole ${ring}, p${point}` : `P${point}`;
}

/** @param {Kind} kind @param {Figure} figure @returns {string} what to do next */
export function hint(kind, { rings, open }) {
  const count = rings[0]?.length ?? 0;
  if (kind === 'spot') return count ? 'Drag the point, or tap another spot.' : 'Tap the spot.';
  if (kind === 'line') return ['Tap one end of the line.', 'Tap the other end.', 'Drag either end to adjust.'][count];
  if (kind === 'corners') return count < 4 ? `Tap corner ${count + 1} of 4.` : 'Drag any corner to adjust.';
  if (!count) return 'Tap round the outline, point by point.';
  if (open < 0) return 'Drag a point to move it. Tap the line to add a point, or inside to cut out a hole.';
  return rings[open].length < 3 ? 'Tap the next point.' : 'Tap the next point, or the first again to close.';
}
