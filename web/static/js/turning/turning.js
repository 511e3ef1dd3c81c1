/**
 * A picture of the instrument that can be turned, in the place of the flat one:
 *
 *   <button type="button" data-turned=GLB data-turn-by=BUNDLE aria-pressed="false">
 *   <div data-turn-place>              <svg …>   the flat picture
 *   <div data-turn-beside hidden>      what is there while it is turned
 *   <button type="button" data-turn-wish="larger">
 *
 *   <select data-flat-only>            what changes the flat picture alone
 *
 * What turns it is fetched when it is first asked for. Where it cannot be, words say so and the flat
 * picture stays. Any control of the flat picture brings that back; where no side of it can be chosen,
 * the button itself does. A picture that is refreshed stays turned, in whatever wood it has by then.
 */

const SIDES = '[data-switch="view"]';
const FLAT = `${SIDES}, [data-loupe], [data-point]`; // controls of the flat picture
const FAILED = 'The turned picture could not be fetched. Try again; the flat views show all of it.';

/** @typedef {typeof import('./stage.js').stage} Make */

/** @type {ReturnType<Make> | null} once it was fetched */
let staged = null;
let isTurned = false;
/** Which asking is the newest. */
let asking = 0;
/** Whether keys turn it: a refresh takes it off the page and with it the focus. */
let hasKeys = false;
/** @type {() => Promise<Make>} */
let load = () => import(button()?.dataset.turnBy ?? '').then(({ modules }) => modules['turning/stage.js'].stage);
/** @type {(words: string) => void} */
let say = () => {};

const button = () => /** @type {HTMLButtonElement | null} */ (document.querySelector('[data-turned]'));
/** @param {string} selector @returns {NodeListOf<HTMLElement>} */
const all = (selector) => document.querySelectorAll(selector);

/** Show what is now: turned or flat. */
function show() {
  const [[place], pressed] = [all('[data-turn-place]'), button()];
  if (!place || !pressed || !staged) return;
  const { canvas } = staged;
  if (!isTurned) canvas.remove();
  else if (!place.contains(canvas)) place.append(canvas);
  place.classList.toggle('is-turned', isTurned);
  pressed.setAttribute('aria-pressed', String(isTurned));
  for (const one of all('[data-turn-beside]')) one.hidden = !isTurned;
  for (const one of /** @type {NodeListOf<HTMLSelectElement>} */ (all('[data-flat-only]'))) one.disabled = isTurned;
  const face = /** @type {HTMLInputElement | null} */ (document.querySelector('[data-switches] [name="view"]'))?.value;
  for (const one of /** @type {NodeListOf<HTMLButtonElement>} */ (all(SIDES))) one.setAttribute('aria-pressed', String(!isTurned && one.value === face));
  if (isTurned && hasKeys) canvas.focus({ preventScroll: true });
  staged.ask();
}

/** Turn the picture, in the wood that it has now. */
async function turn() {
  const own = (asking += 1);
  const pressed = button();
  if (!pressed) return;
  pressed.setAttribute('aria-busy', 'true');
  try {
    staged ??= (await load())(say);
    await staged.bring(pressed.dataset.turned ?? '');
  } catch (fault) {
    console.warn(fault);
    if (own === asking) say(/** @type {any} */ (fault).forReader ?? FAILED);
    return;
  } finally {
    button()?.removeAttribute('aria-busy');
  }
  if (own !== asking) return;
  hasKeys ||= !isTurned;
  isTurned = true;
  show();
}

function flatten() {
  asking += 1;
  hasKeys = false;
  isTurned = false;
  show();
}

/**
 * @param {(words: string) => void} tell the reader
 * @param {() => Promise<Make>} [by] where it is not fetched
 */
export function wireTurning(tell, by) {
  say = tell;
  load = by ?? load;
  document.addEventListener('click', (event) => {
    const target = /** @type {Element} */ (event.target);
    const wished = /** @type {HTMLElement | null} */ (target.closest('[data-turn-wish]'));
    if (wished) staged?.wish(/** @type {any} */ (wished.dataset.turnWish));
    else if (isTurned && target.closest(FLAT)) flatten();
    else if (!target.closest('[data-turned]')) return;
    else if (!isTurned) turn();
    else if (!document.querySelector(SIDES)) flatten();
  });
  document.addEventListener('focusin', ({ target }) => {
    hasKeys = target === staged?.canvas;
  });
  for (const name of ['brief:arrived', 'brief:refreshed']) {
    document.addEventListener(name, () => {
      if (!isTurned) return;
      show();
      turn();
    });
  }
}
