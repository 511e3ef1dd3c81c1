import assert from 'node:assert/strict';
import { test } from 'node:test';
import { coalesce, lanes } from '../../web/static/js/page/turns.js';

/** A promise that is settled from outside. */
function gate() {
  let open, fail;
  const promise = new Promise((resolve, reject) => ([open, fail] = [resolve, reject]));
  return { promise, open, fail };
}
const tick = () => new Promise((resolve) => setImmediate(resolve));

test('at most two run at once, in the order they came', async () => {
  const queue = lanes(2);
  const gates = [gate(), gate(), gate()];
  const started = [];
  const all = gates.map((g, i) => queue.add(() => (started.push(i), g.promise)));
  await tick();
  assert.deepEqual(started, [0, 1]);
  gates[1].open('b');
  assert.equal(await all[1], 'b');
  await tick();
  assert.deepEqual(started, [0, 1, 2]);
  assert.equal(queue.busy(), true);
  gates[0].open();
  gates[2].open();
  await all[2];
  assert.equal(queue.busy(), false, 'whoever waited for the last one finds the queue quiet');
});

test('a failed task frees its lane', async () => {
  const queue = lanes(1);
  await assert.rejects(queue.add(() => Promise.reject(new Error('no'))), /no/);
  assert.equal(queue.busy(), false);
  assert.equal(await queue.add(async () => 'next'), 'next');
});

test('calls during a run share one further run', async () => {
  const runs = [];
  const gates = [];
  const ask = coalesce((keys) => {
    runs.push(keys);
    gates.push(gate());
    return gates[gates.length - 1].promise;
  });
  const first = ask(['#a']);
  await tick();
  const [second, third] = [ask(['#a']), ask(['#b', '#a'])];
  await tick();
  assert.deepEqual(runs, [['#a']], 'nothing starts beside the run under way');
  gates[0].open('one');
  assert.equal(await first, 'one');
  await tick();
  assert.deepEqual(runs, [['#a'], ['#a', '#b']]);
  gates[1].open('two');
  assert.deepEqual(await Promise.all([second, third]), ['two', 'two']);
});

test('a failed run does not hold up the next', async () => {
  let fails = true;
  const ask = coalesce(async () => {
    if (fails) throw new Error('unreachable');
    return 'done';
  });
  await assert.rejects(ask(['#a']), /unreachable/);
  fails = false;
  assert.equal(await ask(['#a']), 'done');
});
