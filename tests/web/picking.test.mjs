import assert from 'node:assert/strict';
import { test } from 'node:test';
import { firstPose, matrices, ray, turned } from '../../web/static/js/turning/camera.js';
import { rolesAt } from '../../web/static/js/turning/picking.js';

const BOUNDS = { low: [-0.2, -0.5, -0.1], high: [0.2, 0.5, 0.02] };
const SIZE = { wide: 600, high: 800 };
const FRONT = { ...firstPose(BOUNDS), yaw: 0, pitch: 0 };

/** A square towards z, or away from it. */
function square(role, half, z, away = false) {
  const points = new Float32Array([-half, -half, z, half, -half, z, half, half, z, -half, half, z]);
  return { role, points, faces: new Uint16Array(away ? [0, 2, 1, 0, 3, 2] : [0, 1, 2, 0, 2, 3]) };
}
const at = (shapes, place, pose = FRONT) => rolesAt(shapes, ray(pose, BOUNDS, SIZE, place));

test('a ray goes through the place where its points are painted', () => {
  const pose = { ...turned(FRONT, 0.7, -0.3), away: 0.4, at: [0.05, 0.1, 0] };
  const { eye, way } = ray(pose, BOUNDS, SIZE, [120, -210]);
  const m = matrices(pose, BOUNDS, SIZE).whole;
  const [x, y, z] = eye.map((value, axis) => value + 1.7 * way[axis]);
  const row = (number) => m[number] * x + m[4 + number] * y + m[8 + number] * z + m[12 + number];
  assert.ok(Math.abs((row(0) / row(3)) * 300 - 120) < 1e-2);
  assert.ok(Math.abs((-row(1) / row(3)) * 400 + 210) < 1e-2);
});

test('the nearest comes first, and what lies close behind it after it', () => {
  const shapes = [square('top', 0.2, 0), square('strings', 0.01, 0.012), square('inside', 0.2, -0.09)];
  assert.deepEqual(at(shapes, [0, 0]), ['strings', 'top']);
  assert.deepEqual(at(shapes, [100, 0]), ['top']);
  assert.deepEqual(at(shapes, [299, 399]), []);
});

test('what looks away is not hit, and from behind the other side is', () => {
  const shapes = [square('top', 0.2, 0.01), square('back', 0.2, -0.09, true)];
  assert.deepEqual(at(shapes, [0, 0]), ['top']);
  assert.deepEqual(at(shapes, [0, 0], turned(FRONT, Math.PI, 0)), ['back']);
});
