// Worked by hand from CSS Images Module Level 3, section 5.5 (object-fit), centred.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { fitted } from '../../web/static/js/marking/layer.js';

const box = { width: 200, height: 200 };
const picture = { width: 400, height: 300 };

test('the picture fills its box unless told otherwise', () => {
  assert.deepEqual(fitted(box, picture, 'fill'), { left: 0, top: 0, width: 200, height: 200 });
});

test('contain leaves bands, cover sticks out', () => {
  assert.deepEqual(fitted(box, picture, 'contain'), { left: 0, top: 25, width: 200, height: 150 });
  const cover = fitted(box, { width: 400, height: 200 }, 'cover');
  assert.deepEqual(cover, { left: -100, top: 0, width: 400, height: 200 });
});

test('scale-down never enlarges, none keeps the natural size', () => {
  assert.deepEqual(fitted(box, { width: 100, height: 100 }, 'scale-down'), { left: 50, top: 50, width: 100, height: 100 });
  assert.deepEqual(fitted(box, picture, 'none'), { left: -100, top: -50, width: 400, height: 300 });
});

test('a picture that has not loaded takes its box', () => {
  assert.deepEqual(fitted(box, { width: 0, height: 0 }, 'contain'), { left: 0, top: 0, width: 200, height: 200 });
});
