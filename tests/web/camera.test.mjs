import assert from 'node:assert/strict';
import { test } from 'node:test';
import { axes, firstPose, matrices, moved, perPixel, sized, turned } from '../../web/static/js/turning/camera.js';

const BOUNDS = { low: [-0.2, -0.5, -0.1], high: [0.2, 0.5, 0.02] };
const SIZE = { wide: 600, high: 800 };

/** Where a point is in the picture, pixels from the middle, and how deep, -1 to 1. */
function seen(pose, [x, y, z], size = SIZE) {
  const m = matrices(pose, BOUNDS, size).whole;
  const at = (row) => m[row] * x + m[4 + row] * y + m[8 + row] * z + m[12 + row];
  return { x: (at(0) / at(3)) * (size.wide / 2), y: (-at(1) / at(3)) * (size.high / 2), z: at(2) / at(3) };
}
const near = (one, other, by = 1e-3) => assert.ok(Math.abs(one - other) < by, `${one} is not ${other}`);
const FRONT = { ...firstPose(BOUNDS), yaw: 0, pitch: 0 };

test('from the front the treble is right, the head up, and the top nearer', () => {
  const middle = seen(FRONT, FRONT.at);
  near(middle.x, 0);
  near(middle.y, 0);
  assert.ok(seen(FRONT, [0.1, 0, 0]).x > 0);
  assert.ok(seen(FRONT, [0, 0.1, 0]).y < 0);
  assert.ok(seen(FRONT, [0, 0, 0.02]).z < seen(FRONT, [0, 0, -0.1]).z);
});

test('all of it is in the picture, whichever way it is turned, in any window', () => {
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].map((bits) => [0, 1, 2].map((axis) => (bits & (1 << axis) ? BOUNDS.high : BOUNDS.low)[axis]));
  for (const size of [SIZE, { wide: 240, high: 900 }, { wide: 1800, high: 500 }]) {
    for (let yaw = -3; yaw <= 3; yaw += 0.5) {
      for (const corner of corners) {
        const { x, y, z } = seen(turned(FRONT, yaw, 0), corner, size);
        assert.ok(Math.abs(x) <= size.wide / 2 && Math.abs(y) <= size.high / 2 && Math.abs(z) <= 1, `${size.wide} ${yaw} ${corner}`);
      }
    }
  }
});

test('the axes stay square to each other', () => {
  const { right, up, back } = axes({ ...FRONT, yaw: 0.7, pitch: -0.4 });
  const dot = (one, other) => one.reduce((sum, value, axis) => sum + value * other[axis], 0);
  for (const one of [right, up, back]) near(dot(one, one), 1, 1e-9);
  near(dot(right, up), 0, 1e-9);
  near(dot(up, back), 0, 1e-9);
});

test('it never turns over', () => {
  assert.ok(turned(FRONT, 0, 9).pitch < Math.PI / 2);
  assert.ok(turned(FRONT, 0, -9).pitch > -Math.PI / 2);
});

test('what is moved follows the finger', () => {
  const scale = perPixel(FRONT, BOUNDS, SIZE);
  const { x, y } = seen(moved(FRONT, BOUNDS, 50 * scale, -30 * scale), FRONT.at);
  near(x, 50, 0.1);
  near(y, -30, 0.1);
});

test('it is never moved out of sight', () => {
  assert.deepEqual(moved(FRONT, BOUNDS, -9, 0).at, [0.2, 0, FRONT.at[2]]);
});

test('what is under the finger stays there as it grows', () => {
  const point = [0.08, 0.3, FRONT.at[2]];
  const before = seen(FRONT, point);
  const after = seen(sized(FRONT, BOUNDS, SIZE, 2, [before.x, before.y]), point);
  near(after.x, before.x, 0.1);
  near(after.y, before.y, 0.1);
});

test('its size has ends', () => {
  assert.equal(sized(FRONT, BOUNDS, SIZE, 1e6).away, sized(FRONT, BOUNDS, SIZE, 1e9).away);
  assert.ok(sized(FRONT, BOUNDS, SIZE, 1e-6).away < 2);
});
