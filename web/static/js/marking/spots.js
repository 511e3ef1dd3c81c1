/**
 * Where in the picture a colour is: point at it, tab to it or tap it, and a ring marks the place
 * where it was found best, while all that is not this colour turns grey.
 *
 *   <button type="button" data-spot="31.5,62" data-spot-on="figure-id" data-lab="56.1,17.3,33.9" data-spot-named="item-id">…
 *   <figure id="figure-id"><img …></figure> <ul><li id="item-id"><button …>…
 *
 * data-spot-named is where in the list the colour is named; its button is marked meanwhile.
 *
 * Escape clears; so does tapping again or elsewhere.
 */
import { pixelsToLab, veil } from './lab.js';
import { layerOver, ringAt } from './layer.js';

const REACH = 12; // CIE76: wide enough for the shades of one colour in a photograph, our choice
const LONGEST = 320; // px; more would not be seen in a thumbnail, only waited for

/** @type {WeakMap<HTMLImageElement, {src: string, lab: Float32Array, width: number, height: number}>} */
const known = new WeakMap();

/** The element whose place is shown, and whether it stays when the pointer leaves. */
let shown = /** @type {HTMLElement | null} */ (null);
let held = /** @type {HTMLElement | null} */ (null);

/** The element whose picture is still loading. */
let awaited = /** @type {HTMLElement | null} */ (null);

/** @param {HTMLElement} spot @returns {HTMLImageElement | null} */
function pictureOf(spot) {
  const figure = document.getElementById(spot.dataset.spotOn ?? '');
  return figure instanceof HTMLImageElement ? figure : (figure?.querySelector('img') ?? null);
}

/** @param {HTMLImageElement} picture */
function pixelsOf(picture) {
  const there = known.get(picture);
  if (there?.src === picture.currentSrc) return there;
  const scale = Math.min(1, LONGEST / Math.max(picture.naturalWidth, picture.naturalHeight));
  const width = Math.max(1, Math.round(picture.naturalWidth * scale));
  const height = Math.max(1, Math.round(picture.naturalHeight * scale));
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [width, height];
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d', { willReadFrequently: true }));
  context.drawImage(picture, 0, 0, width, height);
  const made = { src: picture.currentSrc, lab: pixelsToLab(context.getImageData(0, 0, width, height).data), width, height };
  known.set(picture, made);
  return made;
}

/**
 * @param {HTMLImageElement} picture
 * @param {HTMLCanvasElement} canvas
 * @param {number[]} colour
 * @returns {boolean} whether anything of the picture is that colour
 */
function drawVeil(picture, canvas, colour) {
  const { lab, width, height } = pixelsOf(picture);
  const { rgba, lit } = veil(lab, colour, REACH);
  [canvas.width, canvas.height] = [width, height];
  canvas.getContext('2d')?.putImageData(new ImageData(rgba, width, height), 0, 0);
  return lit > 0;
}

/** @param {HTMLElement} spot */
function show(spot) {
  if (shown === spot) return;
  hide();
  const picture = pictureOf(spot);
  if (!picture) return;
  if (!picture.naturalWidth) {
    // Not loaded yet, perhaps because it is far up the page: shown once it is, if still asked for.
    awaited = spot;
    picture.loading = 'eager';
    picture.addEventListener('load', () => awaited === spot && show(spot), { once: true });
    return;
  }
  const layer = layerOver(picture, 'spot-layer');
  const [x, y] = (spot.dataset.spot ?? '').split(',').map(Number);
  const canvas = document.createElement('canvas');
  canvas.className = 'spot-veil';
  const colour = (spot.dataset.lab ?? '').split(',').map(Number);
  const veiled = colour.length === 3 && drawVeil(picture, canvas, colour);
  layer.classList.toggle('is-dimmed', !veiled);
  layer.replaceChildren(...(veiled ? [canvas] : []), ringAt(x, y));
  layer.hidden = false;
  document.querySelector(`#${CSS.escape(spot.dataset.spotNamed ?? '')} > button`)?.classList.add('is-shown');
  shown = spot;
}

function hide() {
  for (const layer of document.querySelectorAll('.spot-layer')) {
    layer.replaceChildren();
    /** @type {HTMLElement} */ (layer).hidden = true;
  }
  document.querySelector('[data-spot].is-shown')?.classList.remove('is-shown');
  shown = awaited = null;
}

/** @param {Event} event @returns {HTMLElement | null} */
const spotOf = (event) => (event.target instanceof Element ? event.target.closest('[data-spot]') : null);

/** Go back to the one that is held, if any. */
function settle() {
  if (held?.isConnected) show(held);
  else hide();
}

export function wireSpots() {
  document.addEventListener('pointerover', (event) => {
    // A finger has no hover; it comes as a click.
    if (event.pointerType === 'touch') return;
    const spot = spotOf(event);
    if (spot) show(spot);
    else if (shown && shown !== held) settle();
  });
  document.addEventListener('focusin', (event) => {
    const spot = spotOf(event);
    // A press moves the focus, too, and is dealt with as a click.
    if (spot?.matches(':focus-visible')) show((held = spot));
  });
  document.addEventListener('focusout', (event) => {
    if (spotOf(event) !== held || !held) return;
    held = null;
    hide();
  });
  document.addEventListener('click', (event) => {
    const spot = spotOf(event);
    // Pressed by key (no click count) it is held already, and stays.
    held = spot === held && event.detail > 0 ? null : spot;
    settle();
  });
  document.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || !(shown ?? awaited)) return;
    held = null;
    hide();
  });
  document.addEventListener('brief:refreshed', () => {
    held = null;
    hide();
  });
}
