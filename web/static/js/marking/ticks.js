/**
 * Show on a picture what was counted: a short stroke at every grain line found, across the line
 * along which it was counted, so that a person can see whether the count is right.
 *
 *   <div class="pick" data-marks-show='{"lines":[[20,50],[22.5,50]],"along":[[10,50],[90,50]]}'><img …></div>
 *
 * Percent of the picture, both.
 */
import { layerOver } from './layer.js';
import { drawn, inTwoTones, sheetInPercent } from './mark-layer.js';
import { ticksAcross } from './points.js';

/** @typedef {import('./points.js').Point} Point */

const point = (/** @type {[number, number]} */ [x, y]) => ({ x, y });
const ends = (/** @type {[Point, Point]} */ [a, b]) => ({ x1: `${a.x}`, y1: `${a.y}`, x2: `${b.x}`, y2: `${b.y}` });

/** @param {HTMLElement} pick */
function show(pick) {
  const picture = pick.querySelector('img');
  if (!picture) return;
  if (!picture.naturalWidth) {
    // What is square to a line is known once the picture's shape is.
    picture.addEventListener('load', () => show(pick), { once: true });
    return;
  }
  const { lines, along } = JSON.parse(pick.dataset.marksShow ?? '');
  const line = /** @type {[Point, Point]} */ (along.map(point));
  const ticks = ticksAcross(lines.map(point), line, picture.naturalWidth / picture.naturalHeight);
  const sheet = sheetInPercent();
  sheet.setAttribute('role', 'img');
  sheet.setAttribute('aria-label', `${ticks.length} counted ${ticks.length === 1 ? 'line' : 'lines'}, marked on the picture`);
  sheet.append(drawn('line', { ...ends(line), class: 'tick-along' }), ...ticks.flatMap((tick) => inTwoTones('line', { ...ends(tick), class: 'tick' })));
  layerOver(picture, 'tick-layer').replaceChildren(sheet);
}

function showAll() {
  for (const pick of document.querySelectorAll('[data-marks-show]')) show(/** @type {HTMLElement} */ (pick));
}

export function wireTicks() {
  showAll();
  document.addEventListener('brief:refreshed', showAll);
  document.addEventListener('brief:filled', showAll);
}
