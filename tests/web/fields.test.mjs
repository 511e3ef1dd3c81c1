import assert from 'node:assert/strict';
import { test } from 'node:test';
import { collect, fieldOf, fillAddress, fillText, sortFaults } from '../../web/static/js/form/fields.js';

/** A control as `collect` sees one. */
const control = (name, value, more = {}) => ({ name, value, type: 'text', dataset: {}, ...more });
const as = (kind) => ({ dataset: { as: kind } });

test('numbers go as they were typed: the API alone reads them', () => {
  const fields = ['25 1/2 in', '0,65 m', '1,250', '−2', 'wide'].map((typed, at) => control(`n${at}`, typed, as('optional')));
  assert.deepEqual(Object.values(collect(fields)), ['25 1/2 in', '0,65 m', '1,250', '−2', 'wide']);
  assert.deepEqual(collect([control('n', '  ', as('optional'))]), { n: null });
});

test('a dot in a name leads into an object, and a fault in there back to the field', () => {
  const fields = [control('name', 'Top'), control('laying.centre', '38,5'), control('laying.turn', '90', as('json'))];
  assert.deepEqual(collect(fields), { name: 'Top', laying: { centre: '38,5', turn: 90 } });
  const names = new Set(['laying.centre', 'title']);
  assert.equal(fieldOf('/laying/centre', names), 'laying.centre');
  assert.equal(fieldOf('/title/0', names), 'title');
});

test('a box may stand for a value, which is sent where it is ticked', () => {
  const box = (name, checked) => control(name, '"3"', { type: 'checkbox', checked, ...as('value') });
  assert.deepEqual(collect([box('etags.A', true), box('etags.B', false)]), { etags: { A: '"3"' } });
});

test('each kind of field becomes its JSON value', () => {
  assert.deepEqual(
    collect([
      control('title', ' Reed '),
      control('width', '44,5', as('optional')),
      control('depth', '', as('optional')),
      control('note', '  ', as('optional')),
      control('credit', 'Own photo', as('optional')),
      control('private', 'on', { type: 'checkbox', checked: false }),
      control('wound', 'on', { type: 'checkbox', checked: true }),
      control('finish', 'oil', { type: 'radio', checked: false }),
      control('finish', 'wax', { type: 'radio', checked: true }),
      control('target', '{"part":"top"}', { type: 'hidden', ...as('json') }),
      control('', 'nameless'),
      control('go', 'Go', { type: 'submit' }),
      control('files', 'C:\\fakepath\\a.jpg', { type: 'file' }),
    ]),
    {
      title: ' Reed ',
      width: '44,5',
      depth: null,
      note: null,
      credit: 'Own photo',
      private: false,
      wound: true,
      finish: 'wax',
      target: { part: 'top' },
    },
  );
});

test('a list holds what is ticked, and is empty rather than absent', () => {
  const box = (value, checked) => control('motifs', value, { type: 'checkbox', checked, ...as('list') });
  assert.deepEqual(collect([box('reed', true), box('curlew', false), box('tide', true)]), { motifs: ['reed', 'tide'] });
  assert.deepEqual(collect([box('reed', false)]), { motifs: [] });
  const options = [{ value: 'top', selected: true }, { value: 'back', selected: false }, { value: 'neck', selected: true }];
  assert.deepEqual(collect([control('parts', 'top', { type: 'select-multiple', options })]), { parts: ['top', 'neck'] });
});

test('the pressed button counts when it has a name', () => {
  assert.deepEqual(collect([control('text', 'x')], { name: 'state', value: 'settled' }), { text: 'x', state: 'settled' });
  assert.deepEqual(collect([control('text', 'x')], { name: '', value: '' }), { text: 'x' });
});

test('a JSON pointer names its field by the first segment (RFC 6901 sections 4 and 5; RFC 9457 section 3)', () => {
  assert.equal(fieldOf('/title'), 'title');
  assert.equal(fieldOf('/size/0'), 'size');
  assert.equal(fieldOf('#/age'), 'age'); // the form of RFC 9457's own example
  assert.equal(fieldOf('/a~1b'), 'a/b'); // both escapes from RFC 6901 section 5
  assert.equal(fieldOf('/m~0n'), 'm~n');
  assert.equal(fieldOf('/~01'), '~1'); // RFC 6901 section 4: ~1 first, then ~0
  assert.equal(fieldOf(''), '');
});

test('faults go beside their fields, the others to the head of the form', () => {
  const problem = {
    errors: [
      { pointer: '/title', detail: 'is empty' },
      { pointer: '/title', detail: 'is short' },
      { pointer: '/region/x', detail: 'is outside' },
      { detail: 'altogether too much' },
    ],
  };
  const { beside, rest } = sortFaults(problem, new Set(['title', 'text']));
  assert.deepEqual([...beside], [['title', ['is empty', 'is short']]]);
  assert.deepEqual(rest, ['is outside', 'altogether too much']);
  assert.deepEqual(sortFaults({}, new Set()).rest, []);
});

test('a part of a picture is sent as a media fragment, however it was typed', () => {
  const region = (value) => collect([{ name: 'region', type: 'text', value, dataset: { as: 'region' } }]);
  assert.deepEqual(region('10, 20, 50, 40'), { region: 'xywh=percent:10,20,50,40' });
  assert.deepEqual(region('xywh=percent:10,20,50,40'), { region: 'xywh=percent:10,20,50,40' });
  assert.deepEqual(region('  '), { region: null });
  assert.deepEqual(region('the left half'), { region: 'the left half' }); // for the API to refuse
});

test('a sentence is filled from the answer and begins with a capital', () => {
  const answer = { name: 'Top', material: { label: 'cedar' }, verdict: { reading: 'reads', sentence: 'Stands clear.' }, colours: [1, 2] };
  assert.equal(fillText('{verdict.reading}: {verdict.sentence}', answer), 'Reads: Stands clear.');
  assert.equal(fillText('{name}: {material.label|still open}', answer), 'Top: cedar');
  assert.equal(fillText('{name}: {material.label|still open}', { ...answer, material: null }), 'Top: still open');
  assert.equal(fillText('{outcome|nothing was done}', { outcome: '' }), 'Nothing was done');
  assert.equal(fillText('{colours.length} colours', answer), '2 colours');
  assert.equal(fillText('Noted', null), 'Noted');
  assert.equal(fillText('{name}', { name: '{id}' }), '{id}'); // what a maker typed is not filled again
});

test('an address is filled from the answer', () => {
  assert.equal(fillAddress('/briefs/{id}/theme', { id: '01J/Z' }), '/briefs/01J%2FZ/theme');
  assert.equal(fillAddress('/', null), '/');
  assert.equal(fillAddress('#part-{id} #panel', { id: '01J' }), '#part-01J #panel');
  assert.throws(() => fillAddress('/briefs/{id}', {}), /no "id" to fill \/briefs\/\{id\}/);
});
