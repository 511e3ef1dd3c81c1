// Whether a field holds something unsaved, on stand-ins with the properties of real controls.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { isDirty, setState, setUntouched, stateOf } from '../../web/static/js/form/carry.js';

const text = (value, defaultValue) => ({ type: 'text', value, defaultValue });
const option = (value, selected, defaultSelected, disabled = false) => ({ value, selected, defaultSelected, disabled });

test('a text is unsaved when it differs from what the page came with', () => {
  assert.equal(isDirty(text('reed', 'reed')), false);
  assert.equal(isDirty(text('reeds', 'reed')), true);
});

test('a tick is unsaved when it differs', () => {
  assert.equal(isDirty({ type: 'checkbox', checked: true, defaultChecked: true, value: 'x' }), false);
  assert.equal(isDirty({ type: 'checkbox', checked: false, defaultChecked: true, value: 'x' }), true);
});

test('a drop-down with nothing marked starts at its first choice', () => {
  const list = (options) => ({ type: 'select-one', options });
  assert.equal(isDirty(list([option('oil', true, false), option('wax', false, false)])), false);
  assert.equal(isDirty(list([option('', false, false, true), option('wax', true, false)])), false);
  assert.equal(isDirty(list([option('oil', false, false), option('wax', true, false)])), true);
  assert.equal(isDirty({ type: 'select-multiple', options: [option('oil', false, false)] }), false);
});

test('a hidden field is unsaved only once a script has written to it', () => {
  assert.equal(isDirty({ type: 'hidden', value: 'a', dataset: {} }), false);
  assert.equal(isDirty({ type: 'hidden', value: 'b', dataset: { was: 'a' } }), true);
});

test('a state read from one control fits another', () => {
  const now = { type: 'select-multiple', options: [option('oil', false, true), option('wax', true, false)] };
  const next = { type: 'select-multiple', options: [option('wax', false, false), option('lac', true, false)] };
  setState(next, stateOf(now));
  assert.deepEqual(next.options.map((o) => o.selected), [true, false]);
  setUntouched(next, stateOf(next));
  assert.equal(isDirty(next), false);
});

test('what was sent no longer counts as unsaved, what was typed since then does', () => {
  const field = text('reed and sedge', '');
  setUntouched(field, 'reed');
  assert.equal(isDirty(field), true);
  field.value = 'reed';
  assert.equal(isDirty(field), false);
});
