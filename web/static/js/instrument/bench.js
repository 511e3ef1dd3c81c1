/**
 * The frets at the bench: ticks stay in this browser, and the next fret to cut stands out.
 *
 *   <ol data-bench="<what the ticks belong to>"><li data-fret="1">… <input type="checkbox" data-cut></li></ol>
 *
 * It imports nothing: the file that is kept on the phone holds it as it is.
 */
const KEY = 'frets cut: ';

/** What is cut, as long as the page is open; beyond that in the browser's storage, where there is one. */
let cut = new Set();
let isKept = true;

/** @param {string} of */
function read(of) {
  if (!isKept) return;
  try {
    cut = new Set(JSON.parse(localStorage.getItem(KEY + of) ?? '[]'));
  } catch {
    isKept = false;
  }
}

/** @param {string} of */
function write(of) {
  try {
    localStorage.setItem(KEY + of, JSON.stringify([...cut]));
  } catch {
    isKept = false;
  }
}

/** @param {HTMLElement} list */
function show(list) {
  let next = true;
  for (const row of /** @type {NodeListOf<HTMLElement>} */ (list.querySelectorAll('[data-fret]'))) {
    const done = cut.has(row.dataset.fret ?? '');
    /** @type {HTMLInputElement} */ (row.querySelector('[data-cut]')).checked = done;
    row.classList.toggle('is-cut', done);
    row.classList.toggle('is-next', !done && next);
    if (!done) next = false;
  }
  /** @type {HTMLElement} */ (document.querySelector('[data-not-kept]')).hidden = isKept;
}

export function wireBench() {
  const list = /** @type {HTMLElement | null} */ (document.querySelector('[data-bench]'));
  if (!list) return;
  const of = list.dataset.bench ?? '';
  read(of);
  show(list);
  list.addEventListener('change', (event) => {
    const row = /** @type {HTMLElement | null} */ (/** @type {Element} */ (event.target).closest('[data-fret]'));
    if (!row) return;
    read(of); // the page may be open twice
    if (/** @type {HTMLInputElement} */ (event.target).checked) cut.add(row.dataset.fret ?? '');
    else cut.delete(row.dataset.fret ?? '');
    write(of);
    show(list);
    list.querySelector('.is-next')?.scrollIntoView({ block: 'center' });
  });
  // A tick in another window, or one of just before a reload that the browser stores only now.
  window.addEventListener('storage', () => {
    read(of);
    show(list);
  });
}
