// How an inlay follows a hand, against SVG's own definitions (W3C CSS Transforms 1: rotate, scale) worked out by hand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { angle, at, byKey, bySlider, moved, onDrawing, same, sized, spotsOf, transform, turned } from '../../web/static/js/instrument/inlay-moves.js';

const SAVED = { along: 60, across: 0, turn: 0, width: 20 };
const [HEAD] = spotsOf('0 -375 0 0 -1 1 0'); // up the head, from the nut
const [BOARD] = spotsOf('4 -100 0 0 1 1 0.1'); // where frets lean
const [RING] = spotsOf('0 180 180 0 1 0 0'); // on the tail side of a rosette

test('a copy goes where the hand goes', () => {
  for (const spot of [HEAD, BOARD]) {
    const place = moved(SAVED, spot, 3, -5);
    const { x, y } = at(spot, SAVED, place);
    assert.ok(Math.hypot(x - spot.at.x - 3, y - spot.at.y + 5) < 0.11); // tenths are kept
  }
  assert.deepEqual(moved(SAVED, HEAD, 3, -5), { ...SAVED, along: 65, across: 3 });
});

test('round a rosette it goes in and out alone', () => {
  assert.deepEqual(moved({ ...SAVED, along: 0 }, RING, 7, 2), { ...SAVED, along: 2, across: 0 });
});

test('it turns clockwise, from −180 up to 180', () => {
  assert.equal(angle({ x: 0, y: 0 }, { x: 0, y: -1 }, { x: 1, y: 0 }), 90);
  assert.equal(turned(SAVED, 190.2).turn, -170);
  assert.equal(turned({ ...SAVED, turn: -170 }, -20).turn, 170);
  assert.equal(turned(SAVED, 360).turn, 0);
});

test('a size stays within what is accepted', () => {
  assert.equal(sized(SAVED, 0.1).width, 0.5);
  assert.equal(sized(SAVED, 9999).width, 600);
  assert.equal(sized(SAVED, 12.34).width, 12.3);
});

test('keys: half a millimetre, five with Shift, brackets, plus and minus', () => {
  assert.equal(byKey(SAVED, HEAD, 'ArrowUp', false)?.along, 60.5);
  assert.equal(byKey(SAVED, HEAD, 'ArrowRight', true)?.across, 5);
  assert.equal(byKey(SAVED, HEAD, ']', false)?.turn, 1);
  assert.equal(byKey(SAVED, HEAD, '-', false)?.width, 19.5);
  assert.equal(byKey(SAVED, HEAD, 'Tab', false), null);
  assert.equal(bySlider(SAVED, 'turn', 'ArrowLeft', false)?.turn, -1);
  assert.equal(bySlider(SAVED, 'size', 'ArrowUp', true)?.width, 25);
  assert.equal(bySlider(SAVED, 'size', 'a', false), null);
});

test('a point of the design is mirrored, sized, turned and put in its place', () => {
  const place = { ...SAVED, turn: 90, width: 40 };
  const { x, y } = onDrawing({ x: 1, y: 2 }, HEAD, SAVED, place, true);
  // (1, 2) mirrored (−1, 2), twice as large (−2, 4), a quarter clockwise (−4, −2), at (0, −375)
  assert.ok(Math.hypot(x + 4, y + 377) < 1e-9);
  assert.equal(transform(HEAD, SAVED, place, true), 'translate(0 -375)rotate(90)scale(-2 2)');
});

test('back where it was is no change', () => {
  const there = byKey(SAVED, HEAD, 'ArrowUp', false);
  assert.ok(there && same(byKey(there, HEAD, 'ArrowDown', false) ?? there, SAVED));
  assert.ok(!same(there, SAVED));
});
