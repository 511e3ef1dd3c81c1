/**
 * A colour picked by tapping in the picture: what lies under the finger is looked at by the server,
 * shown with its doubt, and can be named.
 *
 *   <div class="pick" data-picks="pick-ID" data-look="/api/references/ID/colour"><img …></div>
 *   <details id="pick-ID"><template><form>
 *     <p data-picked hidden><svg><rect data-picked-chip></svg> <span data-picked-words></span></p>
 *     <input name="region" data-as="region">
 *   </form></template></details>
 *
 * The field is the only memory: a tap writes it, and whoever types in it sees the colour, too.
 */
import { write } from '../form/carry.js';
import { fill } from '../form/folds.js';
import { layerOver, ringAt } from './layer.js';
import { about, format, plain, readPlain } from './rectangle.js';

const UNDER_A_FINGER = 3; // percent of the width

/** The field that was asked about last: of two answers the later question's counts. */
let asked = '';

const picksOf = (/** @type {string} */ fold) => /** @type {HTMLElement | null} */ (document.querySelector(`[data-picks="${CSS.escape(fold)}"]`));
const fieldIn = (/** @type {Element} */ fold) => /** @type {HTMLInputElement | null} */ (fold.querySelector('input[name="region"]'));

/** @param {HTMLElement} pick @param {import('./rectangle.js').Rectangle | null} at */
function ring(pick, at) {
  const picture = /** @type {HTMLImageElement} */ (pick.querySelector('img'));
  layerOver(picture, 'picked-layer').replaceChildren(...(at ? [ringAt(at.x + at.w / 2, at.y + at.h / 2)] : []));
}

/** @param {HTMLInputElement} field */
async function look(field) {
  const fold = /** @type {HTMLElement} */ (field.closest('details[id^="pick-"]'));
  const pick = picksOf(fold.id);
  const said = /** @type {HTMLElement | null} */ (fold.querySelector('[data-picked]'));
  if (!pick || !said) return;
  const at = readPlain(field.value);
  ring(pick, at);
  said.hidden = true;
  if (!at) return;
  asked = format(at);
  const response = await fetch(`${pick.dataset.look}?region=${encodeURIComponent(asked)}`).catch(() => null);
  if (!response?.ok || asked !== format(at)) return; // naming it will say what is wrong
  const { colour, spread } = await response.json();
  said.querySelector('[data-picked-chip]')?.setAttribute('fill', colour.hex);
  const words = said.querySelector('[data-picked-words]');
  if (words) words.textContent = `${colour.words} ± ${colour.uncertainty.toPrecision(2)}; the pixels there vary by ${spread.toPrecision(2)}`;
  said.hidden = false;
}

/** @param {MouseEvent} event */
function tapped(event) {
  const picture = event.target instanceof HTMLImageElement ? event.target : null;
  const pick = /** @type {HTMLElement | null} */ (picture?.closest('[data-picks]') ?? null);
  const fold = pick && /** @type {HTMLDetailsElement | null} */ (document.getElementById(pick.dataset.picks ?? ''));
  if (!picture || !pick || !fold || pick.querySelector('.is-armed')) return;
  const box = picture.getBoundingClientRect();
  const at = { x: 100 * (event.clientX - box.left) / box.width, y: 100 * (event.clientY - box.top) / box.height };
  fill(fold);
  fold.open = true;
  const field = fieldIn(fold);
  if (field) write(field, plain(about(at, UNDER_A_FINGER, box.width / box.height)));
}

export function wirePickColour() {
  document.addEventListener('click', tapped);
  document.addEventListener('input', (event) => {
    const field = /** @type {HTMLInputElement} */ (event.target);
    if (field.name === 'region' && field.closest('details[id^="pick-"]')) look(field);
  });
  document.addEventListener('toggle', (event) => {
    const fold = /** @type {HTMLDetailsElement} */ (event.target);
    const pick = fold.open ? null : picksOf(fold.id);
    if (pick) ring(pick, null);
  }, true);
}
