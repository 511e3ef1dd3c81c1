import assert from 'node:assert/strict';
import { test } from 'node:test';

import { cookieOf } from '../../web/static/js/instrument/view-settings.js';

/** The value of a cookie as RFC 6265, 5.2 reads it: up to the first semicolon. */
const valueOf = (cookie) => cookie.slice('seen='.length).split(';')[0];

test('the switches are one cookie for all pages', () => {
  const cookie = cookieOf([['state', 'finished'], ['light', 'A'], ['eyes', 'deutan']]);
  assert.equal(valueOf(cookie), 'state=finished&light=A&eyes=deutan');
  assert.match(cookie, /; path=\/; max-age=31536000; SameSite=Lax$/);
});

test('no value can end the cookie or become another field', () => {
  const cookie = cookieOf([['light', 'a; path=/x&eyes=deutan=é "']]);
  const read = new URLSearchParams(valueOf(cookie));
  assert.deepEqual([...read], [['light', 'a; path=/x&eyes=deutan=é "']]);
  assert.match(valueOf(cookie), /^[\x21\x23-\x2b\x2d-\x3a\x3c-\x5b\x5d-\x7e]*$/); // cookie-octet, RFC 6265, 4.1.1
});
