import assert from 'node:assert/strict';
import { test } from 'node:test';
import { about, clamp, format, grown, inWords, moved, parse, plain, readPlain, spanning, stretched } from '../../web/static/js/marking/rectangle.js';

const R = (x, y, w, h) => ({ x, y, w, h });

test('a percent fragment is read (the example of Media Fragments URI 1.0, section 4.2.2, from memory)', () => {
  assert.deepEqual(parse('xywh=percent:25,25,50,50'), R(25, 25, 50, 50));
  assert.deepEqual(parse('xywh=percent:10.5,0,89.5,33.3'), R(10.5, 0, 89.5, 33.3));
});

test('four numbers are read as a person types them', () => {
  for (const typed of ['10, 20, 50, 40', '10,20,50,40', ' 10 20 50 40 ', '10 %, 20 %, 50 %, 40 %', 'xywh=percent:10,20,50,40']) {
    assert.deepEqual(readPlain(typed), R(10, 20, 50, 40), typed);
  }
  assert.equal(plain(R(10, 20.04, 50, 40)), '10, 20, 50, 40');
  assert.deepEqual(readPlain(plain(R(33.3, 0, 66.7, 12.5))), R(33.3, 0, 66.7, 12.5));
  for (const other of ['10, 20, 50', '10, 20, 50, 40, 30', 'left 10', '10; 20; 50; 40']) assert.equal(readPlain(other), null, other);
});

test('about a point, as wide as high to the eye, within the picture', () => {
  assert.deepEqual(about({ x: 50, y: 50 }, 6, 1.5), R(47, 45.5, 6, 9)); // 6 % of 1500 px are 9 % of 1000 px
  assert.deepEqual(about({ x: 0, y: 100 }, 6, 1), R(0, 94, 6, 6));
});

test('anything else is no rectangle', () => {
  for (const text of ['', 'xywh=160,120,320,240', 'xywh=pixel:1,1,2,2', 'xywh=percent:1,2,3', 'xywh=percent:a,b,c,d', 'xywh=percent:10,10,0,5', 'xywh=percent:100,0,5,5', 'xywh=percent:-1,0,5,5', 't=1']) {
    assert.equal(parse(text), null, text);
  }
});

test('what sticks out of the picture is cut off', () => {
  assert.deepEqual(parse('xywh=percent:80,90,50,50'), R(80, 90, 20, 10));
});

test('writing rounds to tenths and survives reading', () => {
  assert.equal(format(R(10.04, 10.06, 50, 49.96)), 'xywh=percent:10,10.1,50,50');
  for (let i = 0; i < 500; i += 1) {
    const rectangle = spanning({ x: (i * 37.77) % 110, y: (i * 13.13) % 105 }, { x: (i * 71.31) % 120, y: (i * 5.57) % 100 });
    assert.deepEqual(parse(format(rectangle)), rectangle);
    assert.ok(rectangle.x >= 0 && rectangle.y >= 0 && rectangle.x + rectangle.w <= 100.0001 && rectangle.y + rectangle.h <= 100.0001, format(rectangle));
  }
});

test('two corners span a rectangle, whichever comes first, within the picture', () => {
  assert.deepEqual(spanning({ x: 60, y: 70 }, { x: 20, y: 10 }), R(20, 10, 40, 60));
  assert.deepEqual(spanning({ x: -20, y: 50 }, { x: 130, y: 90 }), R(0, 50, 100, 40));
  assert.deepEqual(spanning({ x: 50, y: 50 }, { x: 50, y: 50 }), R(50, 50, 1, 1));
});

test('moving keeps the size and stops at the edge', () => {
  assert.deepEqual(moved(R(10, 10, 50, 50), 1, -1), R(11, 9, 50, 50));
  assert.deepEqual(moved(R(10, 10, 50, 50), 70, -70), R(50, 0, 50, 50));
});

test('growing holds the upper left corner', () => {
  assert.deepEqual(grown(R(10, 10, 50, 50), 1, 0), R(10, 10, 51, 50));
  assert.deepEqual(grown(R(10, 10, 90, 1), 1, -1), R(10, 10, 90, 1));
});

test('a dragged corner spans from the opposite one and may turn over', () => {
  assert.deepEqual(stretched(R(20, 20, 40, 40), 'se', { x: 80, y: 70 }), R(20, 20, 60, 50));
  assert.deepEqual(stretched(R(20, 20, 40, 40), 'nw', { x: 10, y: 30 }), R(10, 30, 50, 30));
  assert.deepEqual(stretched(R(20, 20, 40, 40), 'ne', { x: 10, y: 70 }), R(10, 60, 10, 10));
});

test('clamping never leaves a rectangle too small to grasp', () => {
  assert.deepEqual(clamp(R(99.9, 99.9, 0, 0)), R(99, 99, 1, 1));
});

test('words for those who hear it', () => {
  assert.equal(inWords(R(10, 20, 30, 40)), '30 % wide and 40 % high, 10 % from the left and 20 % from the top');
});
