import assert from 'node:assert/strict';
import { test } from 'node:test';
import { readProblem } from '../../web/static/js/form/problem.js';
import { cameFrom, refusal } from '../../web/static/js/form/uploads.js';
import { megabytes } from '../../web/static/js/page/words.js';

const limits = { accept: 'image/*', maxBytes: 2 ** 20, inWords: megabytes };
const file = (more) => ({ name: 'reed.jpg', type: 'image/jpeg', size: 10, ...more });

test('a picture within the limit is sent', () => {
  assert.equal(refusal(file({}), limits), null);
  assert.equal(refusal(file({ size: 2 ** 20 }), limits), null);
  assert.equal(refusal(file({ size: 9_000_000 }), { ...limits, maxBytes: 0 }), null);
});

test('a file that is too large is refused with both sizes', () => {
  assert.match(refusal(file({ size: 1.3 * 2 ** 20 }), limits), /1\.3 MB, more than the 1 MB allowed/);
});

test('kinds follow the accept attribute (WHATWG HTML, file upload state)', () => {
  assert.match(refusal(file({ name: 'a.txt', type: 'text/plain' }), limits), /this kind of file/);
  assert.equal(refusal(file({ name: 'a.PDF', type: 'application/pdf' }), { ...limits, accept: 'image/*, .pdf' }), null);
  assert.equal(refusal(file({ type: 'image/png' }), { ...limits, accept: 'image/png' }), null);
  assert.match(refusal(file({ type: 'image/gif' }), { ...limits, accept: 'image/png' }), /this kind/);
});

test('a file of unknown type is left for the server to judge', () => {
  assert.equal(refusal(file({ name: 'IMG_1.HEIC', type: '' }), limits), null);
});

test('an empty file is refused', () => {
  assert.match(refusal(file({ size: 0 }), limits), /empty/);
});

test('a problem document is read, anything else gets a sentence of its own', () => {
  const body = '{"title":"Conflict","detail":"It was changed meanwhile.","status":412}';
  assert.equal(readProblem(412, body).detail, 'It was changed meanwhile.');
  for (const other of ['<h1>Bad gateway</h1>', '', 'null', '{}']) {
    assert.match(readProblem(502, other).detail, /answered with an error \(502\)/);
  }
});

const handed = (more) => ({ getData: (type) => more[type] ?? '' });

test('a dragged picture came from the address that the browser hands over (RFC 2483, text/uri-list)', () => {
  assert.equal(cameFrom(handed({ 'text/uri-list': '# a picture\r\nhttps://example.org/reeds\r\n' })), 'https://example.org/reeds');
  assert.equal(cameFrom(handed({ 'text/html': '<img alt="" src="https://example.org/a.jpg?w=1&amp;h=2">' })), 'https://example.org/a.jpg?w=1&h=2');
});

test('what is no web address, or too long to be kept, is no source', () => {
  for (const bad of ['file:///home/a.png', 'data:image/png;base64,AAAA', 'javascript:alert(1)', '', `https://example.org/${'a'.repeat(500)}`]) {
    assert.equal(cameFrom(handed({ 'text/uri-list': bad })), '');
  }
  assert.equal(cameFrom(null), '');
});
