/**
 * How an inlay follows a hand: moved, turned and sized, in millimetres of the drawing. Pure.
 *
 * @typedef {{x: number, y: number}} Point
 * @typedef {{along: number, across: number, turn: number, width: number}} Place as the form has it
 * @typedef {{at: Point, turn: number, along: Point, across: Point}} Spot where a copy is in the place that was
 *   saved, and where it goes for each millimetre along and across
 */

export const STEP_MM = 0.5;
export const LONG_STEP_MM = 5;
export const STEP_DEG = 1;
const LEAST_MM = 0.5;
const MOST_MM = 600;
const AWAY_MM = 1000;

const tenth = (/** @type {number} */ n) => Math.round(n * 10) / 10 + 0; // no −0
const between = (/** @type {number} */ low, /** @type {number} */ n, /** @type {number} */ high) => Math.min(Math.max(n, low), high);

/**
 * The spots as the page has them: "x y turn ax ay cx cy;…".
 * @param {string} text
 * @returns {Spot[]}
 */
export function spotsOf(text) {
  return text.split(';').map((one) => {
    const [x, y, turn, ax, ay, cx, cy] = one.split(' ').map(Number);
    return { at: { x, y }, turn, along: { x: ax, y: ay }, across: { x: cx, y: cy } };
  });
}

/**
 * @param {Place} place
 * @param {Spot} spot of the copy that is held
 * @param {number} dx to the right, mm
 * @param {number} dy down
 * @returns {Place} so that this copy has gone there, as far as its part lets it: round a rosette only
 *   in and out
 */
export function moved(place, { along, across }, dx, dy) {
  const turns = across.x * along.y - across.y * along.x;
  const [across_mm, along_mm] = turns
    ? [(dx * along.y - dy * along.x) / turns, (across.x * dy - across.y * dx) / turns]
    : [0, dx * along.x + dy * along.y];
  const kept = (/** @type {number} */ n) => between(-AWAY_MM, tenth(n), AWAY_MM);
  return { ...place, along: kept(place.along + along_mm), across: kept(place.across + across_mm) };
}

/**
 * @param {Place} place
 * @param {number} degrees clockwise
 * @returns {Place} from −180 up to 180, in whole degrees
 */
export function turned(place, degrees) {
  const turn = Math.round(place.turn + degrees);
  const whole = ((turn % 360) + 360) % 360;
  return { ...place, turn: whole > 180 ? whole - 360 : whole };
}

/** @param {Point} centre @param {Point} from @param {Point} to @returns {number} degrees clockwise from one to the other */
export function angle(centre, from, to) {
  const direction = (/** @type {Point} */ { x, y }) => Math.atan2(y - centre.y, x - centre.x);
  return ((direction(to) - direction(from)) * 180) / Math.PI;
}

/** @param {Place} place @param {number} width mm @returns {Place} */
export const sized = (place, width) => ({ ...place, width: between(LEAST_MM, tenth(width), MOST_MM) });

/**
 * @param {Spot} spot
 * @param {Place} saved
 * @param {Place} place
 * @returns {Point} where the copy is in another place than the saved one
 */
export function at(spot, saved, place) {
  const [along, across] = [place.along - saved.along, place.across - saved.across];
  return {
    x: spot.at.x + along * spot.along.x + across * spot.across.x,
    y: spot.at.y + along * spot.along.y + across * spot.across.y,
  };
}

/**
 * A point of the design as it is saved, on the drawing.
 * @param {Point} point from the design's middle
 * @param {Spot} spot
 * @param {Place} saved
 * @param {Place} place
 * @param {boolean} mirrored
 * @returns {Point}
 */
export function onDrawing(point, spot, saved, place, mirrored) {
  const middle = at(spot, saved, place);
  const size = place.width / saved.width;
  const turn = ((spot.turn + place.turn) * Math.PI) / 180;
  const [x, y] = [point.x * size * (mirrored ? -1 : 1), point.y * size];
  return { x: middle.x + x * Math.cos(turn) - y * Math.sin(turn), y: middle.y + x * Math.sin(turn) + y * Math.cos(turn) };
}

/**
 * The same as SVG's `transform` has it.
 * @param {Spot} spot @param {Place} saved @param {Place} place @param {boolean} mirrored
 */
export function transform(spot, saved, place, mirrored) {
  const { x, y } = at(spot, saved, place);
  const size = place.width / saved.width;
  return `translate(${x} ${y})rotate(${spot.turn + place.turn})scale(${mirrored ? -size : size} ${size})`;
}

/** @param {Place} a @param {Place} b @returns {boolean} */
export const same = (a, b) => a.along === b.along && a.across === b.across && a.turn === b.turn && a.width === b.width;

/**
 * What a key does to an inlay.
 * @param {Place} place
 * @param {Spot} spot
 * @param {string} key
 * @param {boolean} shift
 * @returns {Place | null} null for a key that does nothing
 */
export function byKey(place, spot, key, shift) {
  const far = shift ? LONG_STEP_MM : STEP_MM;
  switch (key) {
    case 'ArrowLeft': return moved(place, spot, -far, 0);
    case 'ArrowRight': return moved(place, spot, far, 0);
    case 'ArrowUp': return moved(place, spot, 0, -far);
    case 'ArrowDown': return moved(place, spot, 0, far);
    case '[': return turned(place, -STEP_DEG);
    case ']': return turned(place, STEP_DEG);
    case '{': return turned(place, -15);
    case '}': return turned(place, 15);
    case '+': case '=': return sized(place, place.width + STEP_MM);
    case '-': case '_': case '−': return sized(place, place.width - STEP_MM);
    default: return null;
  }
}

/**
 * What an arrow key does to a knob, which is a slider.
 * @param {Place} place
 * @param {'turn' | 'size'} knob
 * @param {string} key
 * @param {boolean} shift
 * @returns {Place | null}
 */
export function bySlider(place, knob, key, shift) {
  const steps = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[key];
  if (!steps) return null;
  if (knob === 'turn') return turned(place, steps * (shift ? 15 : STEP_DEG));
  return sized(place, place.width + steps * (shift ? LONG_STEP_MM : STEP_MM));
}
