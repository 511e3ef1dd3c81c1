import assert from 'node:assert/strict';
import { test } from 'node:test';
import { answers, countInWords, inOrder } from '../../web/static/js/rack/boards-order.js';

const board = (find, stuff, lab = null) => ({ find, stuff, lab });
const SPRUCE = board('Spruce top Picea sitchensis timber', 'timber', [82, 6, 24]);
const OAK = board('Bog oak, Québec Quercus robur timber', 'timber', [24, 1, 4]);
const SHELL = board('Mother-of-pearl shell', 'shell', [83, 0, 6]);
const BARE = board('Not photographed veneer', 'veneer');
const RACK = [BARE, OAK, SPRUCE, SHELL];
const labels = (boards) => boards.map(({ find }) => find.split(' ')[0]);

test('lightest first, what is not measured last', () => {
  assert.deepEqual(labels(inOrder(RACK, 'light')), ['Mother-of-pearl', 'Spruce', 'Bog', 'Not']);
});

test('as on the rack, and the rack itself stays as it is', () => {
  const before = [...RACK];
  assert.deepEqual(inOrder(RACK, 'rack'), RACK);
  inOrder(RACK, 'light');
  assert.deepEqual(RACK, before);
});

test('equals, and several that are not measured, stay as on the rack', () => {
  const twins = ['one', 'two', 'three', 'four'].map((name, at) => board(name, 'shell', at % 2 ? [50, 0, 0] : null));
  assert.deepEqual(labels(inOrder(twins, 'light')), ['two', 'four', 'one', 'three']);
});

const found = (words, stuff = '') => labels(RACK.filter((one) => answers(one, { words, stuff })));

test('every word has to be found, in any order and anywhere', () => {
  assert.equal(found('').length, 4);
  assert.equal(found('  ').length, 4);
  assert.deepEqual(found('oak bog'), ['Bog']);
  assert.deepEqual(found('sitch'), ['Spruce']);
  assert.deepEqual(found('oak spruce'), []);
});

test('capitals and accents do not matter', () => {
  assert.deepEqual(found('QUEBEC'), ['Bog']);
  assert.deepEqual(found('québec'), ['Bog']);
});

test('the stuff narrows it down, whatever the words say', () => {
  assert.deepEqual(found('', 'timber'), ['Bog', 'Spruce']);
  assert.deepEqual(found('shell', 'timber'), []);
});

test('the count in words', () => {
  assert.equal(countInWords(0, 0), 'No other piece is on the rack');
  assert.equal(countInWords(1, 1), '1 piece');
  assert.equal(countInWords(7, 7), '7 pieces');
  assert.equal(countInWords(3, 7), '3 of 7 pieces');
  assert.equal(countInWords(0, 7), 'No match among 7 pieces');
});
