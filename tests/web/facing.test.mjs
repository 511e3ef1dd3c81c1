import assert from 'node:assert/strict';
import { test } from 'node:test';
import { bundles, facing } from '../../web/static/js/turning/facing.js';

/** A ball of 24 by 48 quarters, its faces counter-clockwise from outside. */
function ball() {
  const points = [];
  const faces = [];
  const [rows, columns] = [24, 48];
  for (let row = 0; row <= rows; row += 1) {
    for (let column = 0; column <= columns; column += 1) {
      const [down, round] = [(Math.PI * row) / rows, (2 * Math.PI * column) / columns];
      points.push(Math.sin(down) * Math.cos(round), Math.sin(down) * Math.sin(round), Math.cos(down));
    }
  }
  const at = (row, column) => row * (columns + 1) + column;
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      faces.push(at(row, column), at(row + 1, column), at(row + 1, column + 1), at(row, column), at(row + 1, column + 1), at(row, column + 1));
    }
  }
  return { points: new Float32Array(points), faces: new Uint16Array(faces) };
}

/** Whether a face looks at the eye, worked out one by one. */
function looks({ points, faces }, at, eye) {
  const [a, b, c] = [0, 1, 2].map((corner) => [...points.slice(3 * faces[at + corner], 3 * faces[at + corner] + 3)]);
  const [u, v] = [b, c].map((point) => point.map((value, axis) => value - a[axis]));
  const normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  return normal.reduce((sum, value, axis) => sum + value * (eye[axis] - a[axis]), 0) > 1e-6;
}

test('no face is left out that can be seen, and some are that cannot', () => {
  const shape = ball();
  const those = bundles(shape);
  for (const eye of [[0, 0, 5], [4, 0, 0], [-3, 2, 1], [0, -1.2, 0]]) {
    const shown = facing(those, eye);
    const isShown = (at) => shown.some(({ first, count }) => at >= first && at < first + count);
    let left = 0;
    for (let at = 0; at < shape.faces.length; at += 3) {
      if (isShown(at)) continue;
      left += 1;
      assert.ok(!looks(shape, at, eye), `${eye}: face ${at / 3}`);
    }
    if (eye[2] === 5) assert.ok(left > 200, `only ${left} left out`);
  }
});

test('stretches that follow each other are one', () => {
  const shape = ball();
  const whole = facing(bundles(shape).map((one) => ({ ...one, widest: 2 })), [0, 0, 5]);
  assert.deepEqual(whole, [{ first: 0, count: shape.faces.length }]);
});
