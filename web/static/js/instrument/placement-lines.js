/**
 * Where the lines of a photograph come to lie that is turned and opened about a joint. Pure.
 *
 * @typedef {{centre: number, match: string, turn: number}} Asked centre: percent across the turned
 *   photograph; turn: clockwise degrees
 */

/**
 * @param {{width: number, height: number}} size of the photograph as it was taken
 * @param {Asked} asked
 */
export function layingOf({ width, height }, { centre, match, turn }) {
  const box = turn % 180 ? { width: height, height: width } : { width, height };
  const corner = { 0: '', 90: `translate(${box.width} 0)rotate(90)`, 180: `translate(${box.width} ${box.height})rotate(180)`, 270: `translate(0 ${box.height})rotate(270)` };
  const line = (centre / 100) * box.width;
  // What is kept stays clear: left of the line, right of it, or all in one piece.
  const [from, to] = match === 'one' ? [0, 0] : match === 'book-left' ? [line, box.width] : [0, line];
  return {
    box,
    line,
    photograph: corner[/** @type {keyof typeof corner} */ (turn)] ?? '',
    veil: { x: from, y: 0, width: to - from, height: box.height },
  };
}

/**
 * A board's place on the instrument, "translate(x y)", with another line at the joint.
 * @param {string} place as it is now
 * @param {number} centre percent across
 * @param {number} width of the photograph, mm
 * @param {number} half of the part, mm
 */
export function placed(place, centre, width, half) {
  return place.replace(/translate\(\S+ /, `translate(${(half - (centre / 100) * width).toFixed(1)} `);
}
