/**
 * The switches of the panel: in which state, in which light, to which eyes and on which ground the
 * timber is shown, and from which side the instrument is.
 *
 *   <form data-switches><select name="light">…</select></form>
 *
 * They stand in a cookie, so that every page and every refresh comes as they stand. Light and eyes
 * are one SVG filter of the page; `body.seen-otherwise` says that it is on. A button in the form with
 * `data-switches-back` puts all of them back to their first choice; one anywhere with
 * `data-switch="view"` puts its own value into the hidden field of that name. A fold that is opened
 * with `data-seen-from="back"` in it turns the instrument so that what it is about can be seen.
 */
import { setUntouched, stateOf } from '../form/carry.js';
import { refresh, whenCome } from '../page/refresh.js';
import { say } from '../page/said.js';

const A_YEAR_S = 31_536_000;

/** Everything that shows timber; what a page has not is passed over. */
const SHOWS_TIMBER = '#panel #sheet';

/**
 * The cookie that keeps the switches, for all pages.
 * @param {Iterable<[string, any]>} values name and value of each
 */
export function cookieOf(values) {
  return `seen=${new URLSearchParams([...values])}; path=/; max-age=${A_YEAR_S}; SameSite=Lax`;
}

/** What is judged by its colour stands on a ground that changes at once. @param {string} surround */
function ground(surround) {
  document.body.classList.toggle('dark-surround', surround === 'dark');
  for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll('[data-switch="surround"]'))) {
    button.setAttribute('aria-pressed', String(surround === 'dark'));
    button.value = surround === 'dark' ? 'light' : 'dark';
  }
}

/** What all of them say, those too that change nothing just now. @param {HTMLFormElement} form */
function valuesOf(form) {
  const fields = /** @type {HTMLSelectElement[]} */ ([...form.elements]).filter(({ name }) => name);
  return new Map(fields.map(({ name, value }) => [name, value]));
}

/** @param {HTMLFormElement} form @param {string} [regions] */
async function keep(form, regions = SHOWS_TIMBER) {
  const given = valuesOf(form);
  document.cookie = cookieOf(given);
  ground(String(given.get('surround')));
  // Kept already, so nothing that a refresh would have to carry over.
  for (const kept of form.querySelectorAll('select, input')) setUntouched(kept, stateOf(kept));
  const note = await refresh(regions);
  if (note) say(note, { stays: true });
}

/** @param {Event} event @param {string} what @returns {HTMLFormElement | null} the form of the switches */
function formOf(event, what) {
  const target = event.target instanceof Element ? event.target.closest(what) : null;
  return /** @type {HTMLFormElement | null} */ (target?.closest('form[data-switches]') ?? null);
}

/** @param {string} name of a hidden field @param {string} value @returns {Promise<void> | undefined} */
function put(name, value) {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector('form[data-switches]'));
  const field = /** @type {HTMLInputElement | null} */ (form?.elements.namedItem(name));
  if (!form || !field || field.value === value) return undefined;
  field.value = value;
  if (name !== 'surround') return keep(form, document.querySelector('[data-follows-view]') ? SHOWS_TIMBER : '#panel');
  document.cookie = cookieOf(valuesOf(form)); // nothing has to be drawn again for it
  ground(value);
  return undefined;
}

/** Turn the instrument. @param {string} face @returns {Promise<void> | undefined} until it is drawn */
export const turnTo = (face) => put('view', face);

function mark() {
  document.body.classList.toggle('seen-otherwise', document.querySelector('#seen-as[data-on]') !== null);
}

export function wireSwitches() {
  document.addEventListener('change', (event) => {
    const form = formOf(event, 'select');
    if (form) keep(form);
  });
  document.addEventListener('click', (event) => {
    const form = formOf(event, '[data-switches-back]');
    if (!form) return;
    for (const select of form.querySelectorAll('select')) select.selectedIndex = 0;
    form.querySelector('select')?.focus({ preventScroll: true }); // the button goes
    keep(form);
  });
  document.addEventListener('click', (event) => {
    const button = /** @type {HTMLButtonElement | null} */ (/** @type {Element} */ (event.target).closest('[data-switch]'));
    if (button) put(button.dataset.switch ?? '', button.value);
  });
  document.addEventListener('toggle', (event) => {
    const fold = /** @type {HTMLDetailsElement} */ (event.target);
    const face = fold.open ? /** @type {HTMLElement | null} */ (fold.querySelector('[data-seen-from]'))?.dataset.seenFrom : undefined;
    if (face) put('view', face);
  }, true); // it does not bubble
  whenCome(mark);
}
