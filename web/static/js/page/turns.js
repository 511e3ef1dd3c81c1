/** Taking turns: work that must not all run at once. Pure: no document. */

/**
 * Run at most `limit` tasks side by side, the others in the order they came.
 * @param {number} limit
 * @returns {{add: <T>(task: () => Promise<T>) => Promise<T>, busy: () => boolean}}
 */
export function lanes(limit) {
  let running = 0;
  /** @type {(() => void)[]} */
  const waiting = [];
  function next() {
    if (running < limit) waiting.shift()?.();
  }
  return {
    add: (task) =>
      new Promise((resolve, reject) => {
        waiting.push(() => {
          running += 1;
          task()
            .finally(() => {
              running -= 1;
              next();
            })
            .then(resolve, reject); // after it: whoever waited must find busy() up to date
        });
        next();
      }),
    busy: () => running + waiting.length > 0,
  };
}

/**
 * One run at a time; whoever asks during a run shares the next one.
 *
 * They must not share the run under way: it may have read the page before their change was saved.
 * @param {(keys: string[]) => Promise<unknown>} run
 * @returns {(keys: string[]) => Promise<any>} resolves when a run that started after the call has ended
 */
export function coalesce(run) {
  /** @type {Promise<unknown>} */
  let last = Promise.resolve();
  /** @type {{keys: Set<string>, done: Promise<unknown>} | null} */
  let gathering = null;
  return (keys) => {
    if (!gathering) {
      const wanted = new Set();
      const done = last.then(() => {
        gathering = null;
        return run([...wanted]);
      });
      last = done.catch(() => {}); // a failed run is its callers' affair; the next one still starts
      gathering = { keys: wanted, done };
    }
    for (const key of keys) gathering.keys.add(key);
    return gathering.done;
  };
}
