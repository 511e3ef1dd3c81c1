import assert from 'node:assert/strict';
import { test } from 'node:test';
import { format, parse } from '../../web/static/js/marking/selector.js';

const ring = (...flat) => flat.flatMap((x, i) => (i % 2 ? [] : [{ x, y: flat[i + 1] }]));
const OPEN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">';
const ONE = `${OPEN}<polygon points="10,10 60,12 55,70"/></svg>`;
const HOLED = `${OPEN}<polygon points="10,10 90,10 50,90"/><polygon class="hole" points="40,30 60,30 50,50"/></svg>`;

test('an outline and its holes are read and written', () => {
  assert.deepEqual(parse(ONE), [ring(10, 10, 60, 12, 55, 70)]);
  assert.deepEqual(parse(HOLED), [ring(10, 10, 90, 10, 50, 90), ring(40, 30, 60, 30, 50, 50)]);
  assert.equal(format(parse(ONE)), ONE);
  assert.equal(format(parse(HOLED)), HOLED);
  assert.equal(format([]), '');
});

test('other ways of writing the same SVG', () => {
  assert.deepEqual(parse(`\n<svg viewBox='0,0 100,100' xmlns='http://www.w3.org/2000/svg'>\n <polygon points='10 10 60 12\n55 70' ></polygon>\n</svg> `), [ring(10, 10, 60, 12, 55, 70)]);
  assert.deepEqual(parse(`${OPEN}<polygon points="40,30 60,30 50,50" class="hole"/><polygon points="10,10 90,10 50,90"/></svg>`), parse(HOLED), 'the outline comes first');
});

test('a media fragment rectangle is four points', () => {
  assert.deepEqual(parse('xywh=percent:10,20,30,40'), [ring(10, 20, 40, 20, 40, 60, 10, 60)]);
});

test('points alone, as somebody types them, are an outline', () => {
  assert.deepEqual(parse(' 10,10 60,12  55 70 '), parse(ONE));
});

test('anything else is no outline', () => {
  const other = ['', '10,10 20,20', '<svg/>', `${OPEN}</svg>`, ONE.replace('0 0 100 100', '0 0 640 480'), ONE.replace('10,10 ', '10,10,'.repeat(2)).replace('70', '170'),
    `${OPEN}<polygon points=""/></svg>`, `${OPEN}<polygon points="1,2 3"/></svg>`, `${OPEN}<polygon points="1,1 2,1 2,2"/><polygon points="1,1 2,1 2,2"/></svg>`, `${OPEN}<polygon class="hole" points="1,1 2,1 2,2"/></svg>`];
  for (const text of other) assert.equal(parse(text), null, text);
});
