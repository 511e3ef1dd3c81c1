/**
 * Step back from a pairing: its pictures from a few distances, faded into each other as the slider
 * goes, and what it does from there in words.
 *
 *   <div data-step-frames="[[0.3, address], …]"><img> as it is seen first</div>
 *   <input type="range" data-step-back data-stops="[[0.3, reading], …]">  its value is a stop
 *   <button data-step-to="17">                                            goes to that stop
 *
 * All pictures lie on each other, near to far; two of them are to be seen at a time.
 */
import { whenCome } from '../page/refresh.js';
import { between } from './fading.js';

/** @type {Record<string, string>} */
const WORDS = { reads: 'Reads', doubtful: 'Borderline', sinks: 'Sinks' };

/** The pictures that are here, by their slider. @type {WeakMap<HTMLInputElement, {at: number, picture: HTMLImageElement}[]>} */
const come = new WeakMap();

/** @param {HTMLInputElement} slider @returns {[number, string]} distance and reading where it stands */
function stopOf(slider) {
  return JSON.parse(slider.dataset.stops ?? '[]')[Number(slider.value)];
}

/** @param {HTMLInputElement} slider @returns {HTMLElement | null | undefined} */
function pictureOf(slider) {
  return slider.closest('.pair-seen')?.querySelector('[data-step-frames]');
}

/** @param {HTMLInputElement} slider */
function fade(slider) {
  const pictures = come.get(slider) ?? [];
  const { near, far, share } = between(pictures.map(({ at }) => at), stopOf(slider)[0]);
  pictures.forEach(({ picture }, i) => {
    picture.style.opacity = i === near ? '1' : i === far ? String(share) : '0';
  });
}

/** @param {HTMLInputElement} slider */
function tell(slider) {
  const [distance, reading] = stopOf(slider);
  const words = `${Number(distance.toFixed(2))}\u00a0m`;
  slider.setAttribute('aria-valuetext', `${words}: ${WORDS[reading].toLowerCase()}`);
  const output = slider.closest('.step-back')?.querySelector('output');
  const [number, verdict] = output?.children ?? [];
  if (!number || !verdict) return;
  number.textContent = words;
  verdict.className = `verdict ${reading}`;
  verdict.textContent = WORDS[reading];
}

/** Fetch the pictures of a slider: those nearest to where it stands first. @param {HTMLInputElement} slider */
async function fetchPictures(slider) {
  const holder = pictureOf(slider);
  const first = holder?.querySelector('img');
  if (!holder || !first || come.has(slider)) return;
  const here = stopOf(slider)[0];
  /** @type {[number, string][]} */
  const frames = JSON.parse(holder.dataset.stepFrames ?? '[]');
  const known = frames.find(([, address]) => address === first.getAttribute('src'));
  const pictures = [{ at: known?.[0] ?? here, picture: first }];
  come.set(slider, pictures);
  const rest = frames.filter((frame) => frame !== known).sort(([a], [b]) => Math.abs(Math.log(a / here)) - Math.abs(Math.log(b / here)));
  for (const [at, address] of rest) {
    const picture = new Image(720, 480);
    picture.alt = '';
    picture.style.opacity = '0';
    picture.src = address;
    try {
      await picture.decode();
    } catch {
      continue; // one that does not come is done without
    }
    if (!holder.isConnected) return;
    const place = pictures.findIndex((one) => one.at > at);
    if (place < 0) pictures.push({ at, picture });
    else pictures.splice(place, 0, { at, picture });
    const next = pictures[pictures.findIndex((one) => one.picture === picture) + 1];
    holder.insertBefore(picture, next?.picture ?? holder.querySelector('svg'));
    fade(slider);
  }
  holder.dataset.stepReady = '';
}

function wireAll() {
  for (const slider of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll('[data-step-back]'))) fetchPictures(slider);
}

export function wireStepBack() {
  document.addEventListener('input', (event) => {
    const slider = event.target;
    if (!(slider instanceof HTMLInputElement) || !slider.matches('[data-step-back]')) return;
    fade(slider);
    tell(slider);
  });
  document.addEventListener('click', (event) => {
    const button = event.target instanceof Element ? /** @type {HTMLElement | null} */ (event.target.closest('[data-step-to]')) : null;
    const slider = /** @type {HTMLInputElement | null | undefined} */ (button?.closest('.step-back')?.querySelector('[data-step-back]'));
    if (!button || !slider) return;
    slider.value = button.dataset.stepTo ?? slider.value;
    fade(slider);
    tell(slider);
  });
  whenCome(wireAll);
  wireAll();
}
