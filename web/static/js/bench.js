/**
 * The frets at the bench: ticks stay in this browser, and the next fret to cut stands out.
 *
 *   <ol data-bench="<what the ticks belong to>"><li data-fret="1">… <input type="checkbox" data-cut></li></ol>
 */
const KEY = 'frets cut: ';

/** @param {string} of @returns {Set<string>} */
function known(of) {
  try {
    return new Set(JSON.parse(localStorage.getItem(KEY + of) ?? '[]'));
  } catch {
    return new Set(); // storage that is off or broken loses ticks, nothing else
  }
}

/** @param {HTMLElement} list */
function show(list) {
  const cut = known(list.dataset.bench ?? '');
  let next = true;
  for (const row of /** @type {NodeListOf<HTMLElement>} */ (list.querySelectorAll('[data-fret]'))) {
    const done = cut.has(row.dataset.fret ?? '');
    /** @type {HTMLInputElement} */ (row.querySelector('[data-cut]')).checked = done;
    row.classList.toggle('is-cut', done);
    row.classList.toggle('is-next', !done && next);
    if (!done) next = false;
  }
}

export function wireBench() {
  const list = /** @type {HTMLElement | null} */ (document.querySelector('[data-bench]'));
  if (!list) return;
  show(list);
  list.addEventListener('change', (event) => {
    const row = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest('[data-fret]'));
    if (!row) return;
    const cut = known(list.dataset.bench ?? '');
    if (/** @type {HTMLInputElement} */ (event.target).checked) cut.add(row.dataset.fret ?? '');
    else cut.delete(row.dataset.fret ?? '');
    try {
      localStorage.setItem(KEY + list.dataset.bench, JSON.stringify([...cut]));
    } catch {
      // As above.
    }
    show(list);
    list.querySelector('.is-next')?.scrollIntoView({ block: 'center' });
  });
}
