import assert from 'node:assert/strict';
import { test } from 'node:test';
import { answers, countInWords, distance, inOrder } from '../../web/static/js/rack/boards-order.js';

const board = (find, stuff, lab = null) => ({ find, stuff, lab });
const SPRUCE = board('Spruce top Picea sitchensis timber', 'timber', [82, 6, 24]);
const OAK = board('Bog oak, Québec Quercus robur timber', 'timber', [24, 1, 4]);
const SHELL = board('Mother-of-pearl shell', 'shell', [83, 0, 6]);
const BARE = board('Not photographed veneer', 'veneer');
const RACK = [BARE, OAK, SPRUCE, SHELL];
const labels = (boards) => boards.map(({ find }) => find.split(' ')[0]);

// colour-science 0.4.7, delta_E_CIE1994 with the graphic arts weights: (wanted, other), then turned
// round, since CIE 116:1995 weighs by the chroma of the first. The first two pairs are of the test
// data of Sharma, Wu and Dalal (2005), doi:10.1002/col.20070.
const PAIRS = [
  [[50, 2.6772, -79.7751], [50, 0, -82.7485], 1.3950388678587375, 1.3652852213587945],
  [[35.0831, -44.1164, 3.7933], [35.0232, -40.0716, 1.5901], 1.8204508827518568, 1.9215771020327612],
  [[56.112, 17.265, 33.925], [48.2, 12.4, 26], 8.633909375221066, 8.900352330092227],
  [[38.2, 9.1, 15.4], [82, 2, 8], 44.21046419944301, 44.469773903993534],
  [[60, 0, 0], [61, 3, 4], 5.0990195135927845, 4.2023475718383425],
];
for (const [one, other, there, back] of PAIRS) {
  test(`CIE94 of ${one} and ${other} agrees with a reference library`, () => {
    assert.ok(Math.abs(distance(one, other) - there) < 1e-9);
    assert.ok(Math.abs(distance(other, one) - back) < 1e-9);
  });
}

test('a colour is at no distance from itself', () => {
  for (const { lab } of [SPRUCE, OAK, SHELL]) assert.equal(distance(lab, lab), 0);
  // Where rounding alone would leave the root of something below 0.
  assert.ok(distance([50, 10.1, 20.2], [50, 20.2, 40.4]) > 0);
});

test('greys differ by their lightness alone', () => assert.equal(distance([40, 0, 0], [65, 0, 0]), 25));

test('lightest first, what is not measured last', () => {
  assert.deepEqual(labels(inOrder(RACK, 'light', null)), ['Mother-of-pearl', 'Spruce', 'Bog', 'Not']);
});

test('nearest to the wanted colour first, what is not measured last', () => {
  assert.deepEqual(labels(inOrder(RACK, 'near', [80, 8, 26])), ['Spruce', 'Mother-of-pearl', 'Bog', 'Not']);
  assert.deepEqual(labels(inOrder(RACK, 'near', [20, 0, 0])), ['Bog', 'Mother-of-pearl', 'Spruce', 'Not']);
});

test('as on the rack, also where nothing is wanted, and the rack itself stays as it is', () => {
  const before = [...RACK];
  assert.deepEqual(inOrder(RACK, 'rack', [80, 8, 26]), RACK);
  assert.deepEqual(inOrder(RACK, 'near', null), RACK);
  inOrder(RACK, 'light', null);
  assert.deepEqual(RACK, before);
});

test('equals, and several that are not measured, stay as on the rack', () => {
  const twins = ['one', 'two', 'three', 'four'].map((name, at) => board(name, 'shell', at % 2 ? [50, 0, 0] : null));
  assert.deepEqual(labels(inOrder(twins, 'light', null)), ['two', 'four', 'one', 'three']);
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
