/**
 * A picture of the instrument that can be turned, in the place of the flat one:
 *
 *   <button type="button" data-turn="/…/instrument.glb" data-turn-by="/static/js/turning.js" aria-pressed="false">turn</button>
 *   <div data-turn-place>   <svg …>   the flat picture
 *   <p data-turn-note hidden>         what is to be known of it while it is turned
 *   <button type="button" data-turn-wish="larger">
 *
 * What turns it is fetched when it is first asked for. Where it cannot be, words say so and the flat
 * picture stays. Any control of the flat picture brings that back. A picture that is refreshed stays
 * turned, in whatever wood it has by then.
 */

const FLAT = '[data-switch="view"], [data-loupe], [data-point]'; // controls of the flat picture

/** @type {any} of stage.js, once it was fetched */
let staged = null;
let isTurned = false;
/** Which asking is the newest. */
let asking = 0;

const button = () => /** @type {HTMLButtonElement | null} */ (document.querySelector('[data-turn]'));
const there = () => /** @type {HTMLElement | null} */ (document.querySelector('[data-turn-place]'));

/** @param {string} words */
function say(words) {
  const said = document.querySelector('[data-turn-said]');
  if (said) said.textContent = words;
}

/** Show what is now: turned or flat. */
function show() {
  const [place, pressed] = [there(), button()];
  if (!place || !pressed) return;
  const hadFocus = staged && document.activeElement === staged.canvas;
  if (isTurned && staged && !place.contains(staged.canvas)) place.append(staged.canvas);
  if (!isTurned) staged?.canvas.remove();
  place.classList.toggle('is-turned', isTurned);
  pressed.setAttribute('aria-pressed', String(isTurned));
  pressed.closest('.turns')?.classList.toggle('is-turned', isTurned);
  for (const one of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-turn-note], [data-turn-wishes]'))) one.hidden = !isTurned;
  if (isTurned && hadFocus) staged?.canvas.focus({ preventScroll: true });
  staged?.ask();
}

/** @param {boolean} turned */
async function turn(turned) {
  const own = (asking += 1);
  const pressed = button();
  if (!pressed) return;
  say('');
  if (turned) {
    pressed.setAttribute('aria-busy', 'true');
    try {
      const { modules } = await import(pressed.dataset.turnBy ?? '');
      staged ??= modules['turning/stage.js'].stage(say);
      await staged.bring(pressed.dataset.turn);
    } catch (fault) {
      console.warn(fault);
      if (own !== asking) return;
      say(/** @type {any} */ (fault).constructor?.name === 'Unable' ? /** @type {Error} */ (fault).message : 'The turned picture could not be fetched. Try again; the flat views show all of it.');
      if (!isTurned) return;
    } finally {
      button()?.removeAttribute('aria-busy');
    }
    if (own !== asking) return;
  }
  const changed = isTurned !== turned;
  isTurned = turned;
  show();
  if (changed && turned) staged?.canvas.focus({ preventScroll: true });
}

export function wireTurning() {
  document.addEventListener('click', (event) => {
    const target = /** @type {Element} */ (event.target);
    const wished = /** @type {HTMLElement | null} */ (target.closest('[data-turn-wish]'));
    if (target.closest('[data-turn]')) turn(!isTurned);
    else if (wished) staged?.wish(wished.dataset.turnWish);
    else if (isTurned && target.closest(FLAT)) turn(false);
  });
  for (const name of ['brief:arrived', 'brief:refreshed']) {
    document.addEventListener(name, () => {
      if (!isTurned) return;
      show();
      turn(true); // in the wood that it has now
    });
  }
}
