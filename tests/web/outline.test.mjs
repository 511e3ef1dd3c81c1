import assert from 'node:assert/strict';
import { test } from 'node:test';
import { crossesItself, inside, nearestEdge, ringsMeet } from '../../web/static/js/marking/outline.js';

const ring = (...flat) => flat.flatMap((x, i) => (i % 2 ? [] : [{ x, y: flat[i + 1] }]));
const P = (x, y) => ({ x, y });
const SQUARE = ring(10, 10, 90, 10, 90, 90, 10, 90);

test('simple outlines do not cross, convex or not, whichever way round', () => {
  const shapes = [ring(10, 10, 60, 12, 55, 70), SQUARE, ring(0, 0, 50, 40, 100, 0, 100, 100, 50, 60, 0, 100)];
  for (const shape of shapes) {
    assert.equal(crossesItself(shape), false);
    assert.equal(crossesItself([...shape].reverse()), false);
  }
});

test('a point in the middle of a straight edge, or twice in a row, does no harm', () => {
  assert.equal(crossesItself(ring(10, 10, 50, 10, 90, 10, 90, 90, 10, 90)), false);
  assert.equal(crossesItself(ring(10, 10, 90, 10, 90, 10, 90, 90, 10, 90)), false);
});

test('a bow tie and a five-pointed star cross', () => {
  assert.equal(crossesItself(ring(10, 10, 90, 90, 90, 10, 10, 90)), true);
  const star = [0, 2, 4, 1, 3].map((k) => P(50 + 40 * Math.sin((k * 2 * Math.PI) / 5), 50 - 40 * Math.cos((k * 2 * Math.PI) / 5)));
  assert.equal(crossesItself(star), true);
});

test('touching and running back count as crossing', () => {
  assert.equal(crossesItself(ring(0, 0, 50, 50, 100, 0, 100, 100, 50, 50, 0, 100)), true, 'one point twice');
  assert.equal(crossesItself(ring(10, 10, 90, 10, 40, 10, 40, 50)), true, 'back along the edge');
  assert.equal(crossesItself(ring(10, 10, 50, 50, 90, 90)), true, 'all on one line');
  assert.equal(crossesItself(ring(10, 10, 50, 50)), true, 'there and back');
});

test('while it is open the joining edge does not count', () => {
  const open = ring(10, 10, 90, 10, 90, 90, 50, 5.1);
  assert.equal(crossesItself(open, false), true);
  const spiral = ring(10, 10, 90, 10, 90, 90, 10, 90, 10, 30, 50, 30);
  assert.equal(crossesItself(spiral, false), false);
  assert.equal(crossesItself([...spiral, P(50, 60)], true), true);
  assert.equal(crossesItself([P(10, 10)], false), false);
  assert.equal(crossesItself([], false), false);
});

test('the brute-force answer is that of exact arithmetic on whole numbers', () => {
  // Orientation by BigInt determinants, and whether properly crossing edges exist.
  const side = (a, b, c) => (BigInt(b.x) - BigInt(a.x)) * (BigInt(c.y) - BigInt(a.y)) - (BigInt(b.y) - BigInt(a.y)) * (BigInt(c.x) - BigInt(a.x));
  const sign = (n) => (n > 0n) - (n < 0n);
  let seed = 1;
  const next = () => (seed = (seed * 48271) % 2147483647) % 101; // minimal standard generator, Park and Miller 1988, revised multiplier
  let [crossed, clean] = [0, 0];
  for (let n = 0; n < 400; n += 1) {
    const points = Array.from({ length: 4 + (n % 3) }, () => P(next(), next()));
    const edges = points.map((p, i) => [p, points[(i + 1) % points.length]]);
    const proper = edges.some(([a, b], i) => edges.some(([c, d], j) => j > i && sign(side(a, b, c)) * sign(side(a, b, d)) < 0 && sign(side(c, d, a)) * sign(side(c, d, b)) < 0));
    if (points.some((p, i) => points.some((q, j) => points.some((r, k) => i < j && j < k && side(p, q, r) === 0n)))) continue; // touching is tested above
    assert.equal(crossesItself(points), proper, JSON.stringify(points));
    if (proper) crossed += 1;
    else clean += 1;
  }
  assert.ok(crossed > 50 && clean > 50, `${crossed} ${clean}`);
});

test('two outlines meet or do not', () => {
  assert.equal(ringsMeet(SQUARE, ring(20, 20, 40, 20, 30, 40)), false);
  assert.equal(ringsMeet(SQUARE, ring(20, 20, 95, 20, 30, 40)), true);
  assert.equal(ringsMeet(SQUARE, ring(10, 20, 40, 20, 30, 40)), true, 'touching');
});

test('the even-odd rule: inside the outline but in no hole (SVG 2, 13.4.2, fill-rule)', () => {
  const hole = ring(40, 40, 60, 40, 60, 60, 40, 60);
  assert.equal(inside([SQUARE], P(50, 50)), true);
  assert.equal(inside([SQUARE, hole], P(50, 50)), false);
  assert.equal(inside([SQUARE, hole], P(30, 50)), true);
  assert.equal(inside([SQUARE, hole], P(95, 50)), false);
  assert.equal(inside([], P(50, 50)), false);
  const notched = ring(0, 0, 50, 40, 100, 0, 100, 100, 0, 100);
  assert.equal(inside([notched], P(50, 20)), false);
  assert.equal(inside([notched], P(20, 40)), true, 'level with a point');
});

test('the nearest edge is that on the screen', () => {
  assert.deepEqual(nearestEdge([SQUARE], P(50, 12), { x: 1, y: 1 }), { ring: 0, index: 0, distance: 2 });
  assert.deepEqual(nearestEdge([SQUARE], P(12, 50), { x: 5, y: 1 }), { ring: 0, index: 3, distance: 10 });
  assert.deepEqual(nearestEdge([SQUARE], P(18, 14), { x: 1, y: 10 }), { ring: 0, index: 3, distance: 8 }, 'a tall picture');
  assert.equal(nearestEdge([SQUARE], P(7, 6), { x: 1, y: 1 }).distance, 5, 'beyond its end');
  assert.equal(nearestEdge([], P(7, 6), { x: 1, y: 1 }).distance, Infinity);
  assert.equal(nearestEdge([[P(5, 5)]], P(5, 8), { x: 1, y: 1 }).distance, 3);
});
