import assert from 'node:assert/strict';
import { test } from 'node:test';
import { listInWords, megabytes, quoted, removedInWords, sentences, uploadsInWords } from '../../web/static/js/page/words.js';

test('a list is joined as one says it', () => {
  assert.equal(listInWords([]), '');
  assert.equal(listInWords(['a']), 'a');
  assert.equal(listInWords(['a', 'b']), 'a and b');
  assert.equal(listInWords(['a', 'b', 'c']), 'a, b and c');
});

test('a removal names what went along', () => {
  assert.equal(
    removedInWords({ removed: 'Reed', along: ['2 palettes', '5 swatches'] }),
    'Removed “Reed” with 2 palettes and 5 swatches.',
  );
  assert.equal(removedInWords({ removed: 'Reed', along: [] }), 'Removed “Reed”.');
  assert.equal(removedInWords({ removed: 'Reed' }), 'Removed “Reed”.');
});

test('a long text is shortened between characters', () => {
  assert.equal(quoted('abcdef', 4), '“abc…”');
  assert.equal(quoted('abcd', 4), '“abcd”');
  assert.equal(quoted('🪵🪵🪵', 2), '“🪵…”');
});

test('sizes use decimal units (1 MB = 10^6 bytes, IEC 80000-13)', () => {
  assert.equal(megabytes(64 * 2 ** 20), '64 MB');
  assert.equal(megabytes(31.42 * 2 ** 20), '31.4 MB');
  assert.equal(megabytes(2_300), '2 kB');
  assert.equal(megabytes(1), '1 kB');
});

test('the end of a batch is one sentence', () => {
  assert.equal(uploadsInWords(1, 0), '1 file added.');
  assert.equal(uploadsInWords(3, 0), '3 files added.');
  assert.equal(uploadsInWords(0, 1), '1 file could not be added; the list says why.');
  assert.equal(uploadsInWords(3, 1), '3 files added, 1 file not; the list says why.');
});

test('sentences in a row are kept apart', () => {
  assert.equal(sentences(['Motif added', 'Reload the page.']), 'Motif added. Reload the page.');
  assert.equal(sentences(['Motif added', '']), 'Motif added');
  assert.equal(sentences(['Added.', 'More.']), 'Added. More.');
});
