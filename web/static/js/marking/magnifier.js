/**
 * A small round glass that shows what is beneath a fingertip, three times as large, beside it.
 * Drawn from the picture that is on the page already; none where data is to be saved, as such
 * devices are slow, too.
 */
import { toPixels } from './points.js';

/** @typedef {import('./points.js').Point} Point @typedef {import('./points.js').Box} Box */

const ZOOM = 3;
const SIZE = 112; // px
const CLEAR = 36; // px between the glass and the point: a fingertip is some 20 px in radius
const LINGER_MS = 1500;

const saving = window.matchMedia('(prefers-reduced-data: reduce)');
let leaving = 0;

/** @returns {HTMLCanvasElement} one for the page, above all else on it */
function glass() {
  const there = document.querySelector('canvas.mark-glass');
  if (there) return /** @type {HTMLCanvasElement} */ (there);
  const made = document.createElement('canvas');
  made.className = 'mark-glass';
  made.setAttribute('aria-hidden', 'true');
  made.width = made.height = Math.round(SIZE * Math.min(devicePixelRatio, 2));
  document.body.append(made);
  return made;
}

/** @param {CanvasRenderingContext2D} context @param {number} size */
function drawCross(context, size) {
  const [middle, gap, arm] = [size / 2, size * 0.04, size * 0.2];
  for (const [colour, width] of /** @type {[string, number][]} */ ([['#111', 0.03], ['#fff', 0.012]])) {
    context.strokeStyle = colour;
    context.lineWidth = size * width;
    context.beginPath();
    for (const way of [-1, 1]) {
      context.moveTo(middle + way * gap, middle);
      context.lineTo(middle + way * arm, middle);
      context.moveTo(middle, middle + way * gap);
      context.lineTo(middle, middle + way * arm);
    }
    context.stroke();
  }
}

/**
 * Show what is at a point.
 * @param {HTMLImageElement} picture
 * @param {Box} box where the whole picture lies, in pixels of the window
 * @param {Point} point in percent of it
 * @param {boolean} [leaves] whether to go away by itself
 */
export function magnify(picture, box, point, leaves = false) {
  const { saveData } = /** @type {any} */ (navigator).connection ?? {};
  if (saving.matches || saveData || !picture.naturalWidth) return;
  const canvas = glass();
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  const { width: size } = canvas;
  const [across, down] = [picture.naturalWidth / box.width, picture.naturalHeight / box.height];
  const seen = SIZE / ZOOM; // px of the page
  context.fillStyle = '#808080'; // beyond the picture's edge
  context.fillRect(0, 0, size, size);
  const [left, top] = [((point.x * box.width) / 100 - seen / 2) * across, ((point.y * box.height) / 100 - seen / 2) * down];
  context.drawImage(picture, left, top, seen * across, seen * down, 0, 0, size, size);
  drawCross(context, size);
  const { offsetLeft, offsetTop, width, height } = window.visualViewport ?? { offsetLeft: 0, offsetTop: 0, width: innerWidth, height: innerHeight };
  const at = toPixels(box, point);
  // Above the finger, for the hand comes from below; at the top of the window to that side where there is more room.
  const above = at.y - CLEAR - SIZE >= offsetTop;
  const beside = at.x - offsetLeft > width / 2 ? at.x - CLEAR - SIZE : at.x + CLEAR;
  const x = above ? Math.min(Math.max(at.x - SIZE / 2, offsetLeft), offsetLeft + width - SIZE) : beside;
  const y = above ? at.y - CLEAR - SIZE : Math.min(Math.max(at.y - SIZE / 2, offsetTop), offsetTop + height - SIZE);
  canvas.style.transform = `translate(${x}px, ${y}px)`;
  canvas.hidden = false;
  clearTimeout(leaving);
  if (leaves) leaving = setTimeout(putAway, LINGER_MS);
}

export function putAway() {
  clearTimeout(leaving);
  const canvas = /** @type {HTMLCanvasElement | null} */ (document.querySelector('canvas.mark-glass'));
  if (canvas) canvas.hidden = true;
}
