import assert from 'node:assert/strict';
import { test } from 'node:test';
import { faults, hint, movedTo, nearest, neighbourUnder, pointInWords, read, tap, without, written } from '../../web/static/js/marking/figure.js';

const P = (x, y) => ({ x, y });
const ring = (...flat) => flat.flatMap((x, i) => (i % 2 ? [] : [P(x, flat[i + 1])]));
const SCALE = { x: 4, y: 3 };
const SQUARE = ring(10, 10, 90, 10, 90, 90, 10, 90);
const HOLE = ring(40, 40, 60, 40, 50, 60);

/** Taps one after another, as the field would keep them between. */
function tapped(kind, ...taps) {
  let figure = read(kind, '');
  for (const at of taps) {
    const { rings, open } = tap(kind, figure, at, SCALE);
    figure = read(kind, written(kind, rings), open);
  }
  return figure;
}

test('a spot is one point, and a second tap moves it', () => {
  assert.equal(written('spot', tapped('spot', P(31.52, 62)).rings), '31.5,62');
  assert.equal(written('spot', tapped('spot', P(1, 2), P(31.5, 62)).rings), '31.5,62');
});

test('a line is two points; a further tap moves the nearer end', () => {
  assert.equal(written('line', tapped('line', P(10, 50)).rings), '10,50');
  assert.equal(written('line', tapped('line', P(10, 50), P(90, 51)).rings), '10,50 90,51');
  assert.equal(written('line', tapped('line', P(10, 50), P(90, 51), P(80, 40)).rings), '10,50 80,40');
});

test('corners keep the order of the taps', () => {
  assert.equal(written('corners', tapped('corners', ...SQUARE).rings), '10,10 90,10 90,90 10,90');
  assert.equal(written('corners', tapped('corners', ...SQUARE, P(12, 13)).rings), '12,13 90,10 90,90 10,90');
});

test('a field that says something else is an empty figure', () => {
  assert.deepEqual(read('spot', '1,2 3,4'), { rings: [], open: -1 });
  assert.deepEqual(read('line', 'from here to there'), { rings: [], open: -1 });
  assert.deepEqual(read('polygon', '10,10 20,20'), { rings: [], open: -1 });
});

test('a polygon stays open until it is closed', () => {
  const drawing = tapped('polygon', ...SQUARE);
  assert.deepEqual(drawing, { rings: [SQUARE], open: 0 });
  assert.deepEqual(read('polygon', written('polygon', drawing.rings)), { rings: [SQUARE], open: -1 });
  assert.equal(read('polygon', written('polygon', [SQUARE.slice(0, 2)])).open, 0, 'two points are never closed');
});

test('a tap inside a closed one begins a hole, on its line adds a point, outside does nothing', () => {
  const closed = { rings: [SQUARE], open: -1 };
  assert.deepEqual(tap('polygon', closed, P(50, 50), SCALE), { rings: [SQUARE, [P(50, 50)]], open: 1, place: { ring: 1, index: 0 } });
  assert.deepEqual(tap('polygon', closed, P(50, 12), SCALE), { rings: [ring(10, 10, 50, 12, 90, 10, 90, 90, 10, 90)], open: -1, place: { ring: 0, index: 1 } });
  assert.deepEqual(tap('polygon', closed, P(9, 50), SCALE).rings[0].at(-1), P(9, 50), 'on the closing edge');
  assert.equal(tap('polygon', closed, P(3, 50), SCALE), null);
  assert.equal(tap('polygon', { rings: [SQUARE, HOLE], open: -1 }, P(50, 47), SCALE), null, 'in a hole');
});

test('the nearest point within reach, in pixels', () => {
  assert.deepEqual(nearest([SQUARE, HOLE], P(41, 40), SCALE, 16), { ring: 1, index: 0 });
  assert.equal(nearest([SQUARE], P(50, 50), SCALE, 16), null);
  assert.equal(nearest([SQUARE], P(14.5, 10), SCALE, 16), null, '18 pixels');
});

test('moving stops at the edge and leaves the others', () => {
  assert.deepEqual(movedTo([SQUARE, HOLE], { ring: 1, index: 2 }, P(50, 130)), [SQUARE, ring(40, 40, 60, 40, 50, 100)]);
});

test('removing: below three points it is open again; an outline takes its holes along', () => {
  assert.deepEqual(without({ rings: [SQUARE], open: -1 }, { ring: 0, index: 1 }), { rings: [ring(10, 10, 90, 90, 10, 90)], open: -1 });
  assert.deepEqual(without({ rings: [SQUARE, HOLE], open: -1 }, { ring: 1, index: 0 }), { rings: [SQUARE, HOLE.slice(1)], open: 1 });
  assert.deepEqual(without({ rings: [SQUARE, [P(50, 50)]], open: 1 }, { ring: 1, index: 0 }), { rings: [SQUARE], open: -1 });
  assert.deepEqual(without({ rings: [[P(5, 5)], HOLE], open: 0 }, { ring: 0, index: 0 }), { rings: [], open: -1 });
});

test('an outline cut to two points goes on while its hole stays', () => {
  const cut = read('polygon', written('polygon', [SQUARE.slice(0, 2), HOLE]));
  const { rings, open } = tap('polygon', cut, P(90, 90), SCALE);
  assert.deepEqual(read('polygon', written('polygon', rings), open), { rings: [SQUARE.slice(0, 3), HOLE], open: 0 });
});

test('a neighbour underneath', () => {
  const figure = { rings: [ring(10, 10, 50, 10, 51, 11, 10, 11)], open: -1 };
  assert.equal(neighbourUnder(figure, { ring: 0, index: 1 }, SCALE, 8), 2);
  assert.equal(neighbourUnder(figure, { ring: 0, index: 3 }, SCALE, 8), 0);
  assert.equal(neighbourUnder({ rings: [[P(1, 1)]], open: 0 }, { ring: 0, index: 0 }, SCALE, 8), -1);
});

test('what is wrong is said ring by ring', () => {
  const bow = ring(10, 10, 90, 90, 90, 10, 10, 90);
  assert.deepEqual(faults('polygon', { rings: [SQUARE, HOLE], open: -1 }), ['', '']);
  assert.deepEqual(faults('polygon', { rings: [bow], open: -1 }), ['The outline crosses itself']);
  assert.deepEqual(faults('corners', { rings: [bow], open: -1 }), ['The outline crosses itself']);
  assert.deepEqual(faults('line', { rings: [ring(1, 1, 1, 1)], open: -1 }), ['']);
  assert.deepEqual(faults('polygon', { rings: [SQUARE, ring(20, 20, 40, 40, 40, 20, 20, 40)], open: -1 }), ['', 'A hole crosses itself']);
  assert.deepEqual(faults('polygon', { rings: [SQUARE, ring(40, 40, 95, 40, 50, 60)], open: -1 }), ['', 'A hole reaches outside the outline']);
  assert.deepEqual(faults('polygon', { rings: [HOLE, SQUARE], open: -1 }), ['', 'A hole reaches outside the outline']);
  assert.deepEqual(faults('polygon', { rings: [ring(10, 10, 90, 10)], open: 0 }), ['']);
});

test('words for those who hear it, and what to do next', () => {
  assert.equal(pointInWords([ring(1, 1, 31.5, 62, 2, 2, 3, 3)], { ring: 0, index: 1 }), 'Point 2 of 4, 31.5 across, 62 down');
  assert.equal(pointInWords([SQUARE, HOLE], { ring: 1, index: 0 }), 'Hole 1, point 1 of 3, 40 across, 40 down');
  for (const [kind, figure, expected] of [
    ['spot', read('spot', ''), /^Tap the spot/], ['spot', read('spot', '1,2'), /^Drag the point/],
    ['line', read('line', ''), /one end/], ['line', read('line', '1,2'), /other end/], ['line', read('line', '1,2 3,4'), /^Drag/],
    ['corners', read('corners', '1,2'), /corner 2 of 4/], ['corners', read('corners', '1,2 9,2 9,9 1,9'), /^Drag any corner/],
    ['polygon', read('polygon', ''), /^Tap round/], ['polygon', { rings: [HOLE.slice(1)], open: 0 }, /^Tap the next point\.$/],
    ['polygon', { rings: [HOLE], open: 0 }, /first again to close/], ['polygon', { rings: [HOLE], open: -1 }, /cut out a hole/],
  ]) assert.match(hint(kind, figure), expected);
});
