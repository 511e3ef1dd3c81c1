import assert from 'node:assert/strict';
import { test } from 'node:test';
import { pixelsToLab, srgbToLab, veil } from '../../web/static/js/marking/lab.js';

const near = (actual, expected, within) => {
  actual.forEach((value, i) => assert.ok(Math.abs(value - expected[i]) <= within, `${actual} is not ${expected}`));
};

// The primaries as commonly published for sRGB under D65, 2° (from memory). Those figures come of
// a matrix with more digits than the four that IEC 61966-2-1 prints, which accounts for up to 0.03.
const PRIMARIES = [
  ['red', [255, 0, 0], [53.24, 80.09, 67.2]],
  ['green', [0, 255, 0], [87.73, -86.18, 83.18]],
  ['blue', [0, 0, 255], [32.3, 79.19, -107.86]],
];
for (const [name, rgb, lab] of PRIMARIES) {
  test(`sRGB ${name} has its published Lab`, () => near(srgbToLab(...rgb), lab, 0.03));
}

test('the ends of the scale are exact, and greys are neutral (CIE 15)', () => {
  near(srgbToLab(255, 255, 255), [100, 0, 0], 1e-9);
  near(srgbToLab(0, 0, 0), [0, 0, 0], 1e-9);
  for (const grey of [1, 10, 11, 119, 254]) near(srgbToLab(grey, grey, grey).slice(1), [0, 0], 1e-9);
});

test('a timber colour agrees with a reference library (#B37A4C by colour-science 0.4, D65, 2°)', () => {
  near(srgbToLab(0xb3, 0x7a, 0x4c), [56.112, 17.265, 33.925], 0.01);
});

test('see-through pixels have no colour', () => {
  const lab = pixelsToLab(Uint8ClampedArray.from([255, 0, 0, 255, 255, 0, 0, 0]));
  near([...lab.slice(0, 3)], [53.24, 80.09, 67.2], 0.03);
  assert.ok(lab.slice(3).every(Number.isNaN));
});

test('the veil is clear within reach and grey beyond it', () => {
  const lab = Float32Array.from([50, 0, 0, 50, 11, 0, 50, 13, 0, NaN, NaN, NaN]);
  const { rgba, lit } = veil(lab, [50, 0, 0], 12);
  assert.equal(lit, 2);
  assert.deepEqual([rgba[3], rgba[7]], [0, 0]);
  const [r, g, b, alpha] = rgba.slice(8, 12);
  assert.ok(r === g && g === b && alpha === 255, 'neutral, with no colour shining through');
  assert.equal(rgba[15], 0, 'nothing is painted where there is no picture');
});

test('the veil is lighter where the picture is lighter', () => {
  const { rgba } = veil(Float32Array.from([20, 40, 0, 80, 40, 0]), [50, -60, 0], 12);
  assert.ok(rgba[4] > rgba[0]);
});
