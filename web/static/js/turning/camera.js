/**
 * From where the turned instrument is seen: pure numbers, metres and radians. It is turned about the
 * point `at`, which is `away` times as far as where all of it is seen.
 *
 * @typedef {{yaw: number, pitch: number, away: number, at: number[]}} Pose
 * @typedef {{low: number[], high: number[]}} Bounds
 * @typedef {{wide: number, high: number}} Size in pixels
 */

const HALF_HIGH = Math.tan(Math.PI / 18); // half of 20 degrees from top to bottom: little perspective
const STEEPEST = 1.5;
const NEAREST = 0.06;
const FARTHEST = 1.6;
const MARGIN = 1.06;

/** @param {number} value @param {number} least @param {number} most */
const within = (value, least, most) => Math.min(most, Math.max(least, value));

/** Three quarters from the front, so that it is seen to be a body. @param {Bounds} bounds @returns {Pose} */
export function firstPose({ low, high }) {
  return { yaw: -0.5, pitch: 0.14, away: 1, at: low.map((side, axis) => (side + high[axis]) / 2) };
}

/** Where it is seen from: to the right, up, and towards the eye. @param {Pose} pose */
export function axes({ yaw, pitch }) {
  const [sy, cy, sp, cp] = [Math.sin(yaw), Math.cos(yaw), Math.sin(pitch), Math.cos(pitch)];
  return { right: [cy, 0, -sy], up: [-sy * sp, cp, -cy * sp], back: [sy * cp, sp, cy * cp] };
}

/** How far off the eye is. @param {Pose} pose @param {Bounds} bounds @param {Size} size */
export function distance(pose, { low, high }, { wide, high: tall }) {
  const [x, y, z] = low.map((side, axis) => (high[axis] - side) / 2);
  const radius = Math.hypot(x, z); // so that it stays in sight as it is turned
  return pose.away * MARGIN * (Math.max(y, (radius * tall) / wide) / HALF_HIGH + radius);
}

/** Metres to a pixel at the middle. @param {Pose} pose @param {Bounds} bounds @param {Size} size */
export const perPixel = (pose, bounds, size) => (2 * distance(pose, bounds, size) * HALF_HIGH) / size.high;

/** @param {Pose} pose @param {number} yaw @param {number} pitch radians to turn by @returns {Pose} */
export function turned(pose, yaw, pitch) {
  return { ...pose, yaw: pose.yaw + yaw, pitch: within(pose.pitch + pitch, -STEEPEST, STEEPEST) };
}

/**
 * Moved across the picture, never out of what is there.
 * @param {Pose} pose @param {Bounds} bounds @param {number} across metres @param {number} down @returns {Pose}
 */
export function moved(pose, { low, high }, across, down) {
  const { right, up } = axes(pose);
  const at = pose.at.map((value, axis) => within(value - across * right[axis] + down * up[axis], low[axis], high[axis]));
  return { ...pose, at };
}

/**
 * As many times as large, about a place in pixels from the middle, which stays where it is.
 * @param {Pose} pose @param {Bounds} bounds @param {Size} size @param {number} times
 * @param {number[]} [place] to the right and down @returns {Pose}
 */
export function sized(pose, bounds, size, times, [x, y] = [0, 0]) {
  const next = { ...pose, away: within(pose.away / times, NEAREST, FARTHEST) };
  const shift = perPixel(next, bounds, size) - perPixel(pose, bounds, size);
  return moved(next, bounds, x * shift, y * shift);
}

/**
 * From the eye through a place of the picture, pixels from its middle to the right and down.
 * @param {Pose} pose @param {Bounds} bounds @param {Size} size @param {number[]} place
 */
export function ray(pose, bounds, size, [x, y]) {
  const { right, up, back } = axes(pose);
  const [far, step] = [distance(pose, bounds, size), (2 * HALF_HIGH) / size.high];
  return {
    eye: pose.at.map((value, axis) => value + back[axis] * far),
    way: back.map((value, axis) => x * step * right[axis] - y * step * up[axis] - value),
  };
}

/** The matrices for WebGL, by columns. @param {Pose} pose @param {Bounds} bounds @param {Size} size */
export function matrices(pose, bounds, size) {
  const { right, up, back } = axes(pose);
  const far = distance(pose, bounds, size);
  const eye = pose.at.map((value, axis) => value + back[axis] * far);
  const dot = (/** @type {number[]} */ one, /** @type {number[]} */ other) => one.reduce((sum, value, axis) => sum + value * other[axis], 0);
  const reach = Math.hypot(...bounds.low.map((side, axis) => bounds.high[axis] - side));
  const [near, end] = [Math.max(0.01, far - reach), far + reach];
  const [px, py] = [size.high / (size.wide * HALF_HIGH), 1 / HALF_HIGH];
  const [pz, pw] = [(end + near) / (near - end), (2 * end * near) / (near - end)];
  const [tx, ty, tz] = [-dot(right, eye), -dot(up, eye), -dot(back, eye)];
  const columns = [0, 1, 2].flatMap((axis) => [px * right[axis], py * up[axis], pz * back[axis], -back[axis]]);
  const whole = [...columns, px * tx, py * ty, pz * tz + pw, -tz];
  const turn = [0, 1, 2].flatMap((axis) => [right[axis], up[axis], back[axis]]);
  return { whole: new Float32Array(whole), turn: new Float32Array(turn), eye: new Float32Array(eye) };
}
