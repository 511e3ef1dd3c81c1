import assert from 'node:assert/strict';
import { test } from 'node:test';
import { apart, clamp, format, inWords, parse, shifted, ticksAcross, toPercent, toPixels } from '../../web/static/js/marking/points.js';

const P = (x, y) => ({ x, y });

test('points are read as SVG parts them (SVG 2, 9.6.1: comma or space between numbers)', () => {
  assert.deepEqual(parse('31.5,62'), [P(31.5, 62)]);
  for (const text of ['10,50 90,55.5', ' 10 50 90 55.5 ', '10,50,90,55.5', '10 , 50\n90 ,55.5', '1e1,50 90,5.55E1']) {
    assert.deepEqual(parse(text), [P(10, 50), P(90, 55.5)], text);
  }
});

test('anything else is no points', () => {
  for (const text of ['', ' ', '10', '10,20 30', 'a,b', '10,,20', '10,20,', '-1,5', '5,100.1', 'NaN,1', 'Infinity,1', '0x10,5', 'xywh=percent:1,2,3,4']) {
    assert.equal(parse(text), null, text);
  }
});

test('writing rounds to tenths, stays within the picture, and survives reading', () => {
  assert.equal(format([P(31.46, 62.04), P(-3, 120)]), '31.5,62 0,100');
  for (let i = 0; i < 500; i += 1) {
    const points = [clamp(P((i * 37.77) % 130 - 15, (i * 13.13) % 130 - 15)), clamp(P((i * 71.31) % 100, (i * 5.57) % 100))];
    assert.deepEqual(parse(format(points)), points);
  }
});

test('a step stops at the edge', () => {
  assert.deepEqual(shifted(P(99.8, 0.3), 0.5, -5), P(100, 0));
  assert.deepEqual(shifted(P(0.1, 0.2), 0.1, 0.1), P(0.2, 0.3));
});

test('window pixels to percent and back', () => {
  const box = { left: 20, top: -100, width: 400, height: 200 };
  assert.deepEqual(toPercent(box, P(120, -50)), P(25, 25));
  assert.deepEqual(toPixels(box, P(25, 25)), P(120, -50));
});

test('distances are those on the screen', () => {
  assert.equal(apart(P(10, 10), P(13, 12), { x: 1, y: 2 }), 5);
});

test('words for those who hear it', () => {
  assert.equal(inWords(P(31.5, 62)), '31.5 across, 62 down');
});

test('ticks are square to the line on the picture, not in percent', () => {
  const aspect = 4;
  for (const along of [[P(10, 20), P(90, 20)], [P(10, 20), P(10, 90)], [P(5, 5), P(60, 95)]]) {
    const [[a, b]] = ticksAcross([P(50, 50)], along, aspect);
    const tick = [(b.x - a.x) * aspect, b.y - a.y];
    const line = [(along[1].x - along[0].x) * aspect, along[1].y - along[0].y];
    assert.ok(Math.abs(tick[0] * line[0] + tick[1] * line[1]) < 1e-9);
    assert.ok(Math.abs(Math.hypot(...tick) - 12) < 1e-9, '3 % of a longer side of 400');
    assert.deepEqual(P((a.x + b.x) / 2, (a.y + b.y) / 2), P(50, 50));
  }
});

test('a line without length has upright ticks, and no places no ticks', () => {
  assert.deepEqual(ticksAcross([P(50, 50)], [P(5, 5), P(5, 5)], 1), [[P(50, 48.5), P(50, 51.5)]]);
  assert.deepEqual(ticksAcross([], [P(0, 0), P(1, 1)], 1), []);
});
