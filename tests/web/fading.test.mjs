import assert from 'node:assert/strict';
import test from 'node:test';
import { between } from '../../web/static/js/pairing/fading.js';

test('two pictures are seen between them, one at each of them and beyond either end', () => {
  const away = [0.5, 1, 2, 4];
  assert.deepEqual(between(away, 3), { near: 2, far: 3, share: 0.5 });
  assert.deepEqual(between(away, 1), { near: 1, far: 1, share: 0 });
  assert.deepEqual(between(away, 0.3), { near: 0, far: 0, share: 0 });
  assert.deepEqual(between(away, 9), { near: 3, far: 3, share: 0 });
  assert.deepEqual(between([2], 5), { near: 0, far: 0, share: 0 });
});

test('the nearer of the two fades by how far one has gone', () => {
  const { share } = between([1, 2], 1.25);
  assert.equal(share, 0.25);
});
