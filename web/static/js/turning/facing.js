/**
 * Which faces of a body cannot be seen because they look away: by bundles of faces that lie one after
 * the other, each with the cone of its normals, so that half of them need not be drawn at all.
 *
 * @typedef {{first: number, count: number, axis: number[], widest: number, middle: number[], radius: number}} Bundle
 */

const FACES = 192; // of a bundle
const BLUNT = 0.1; // the cosine of a cone that never looks away as a whole

/** Faces that may look anywhere; all but how many they are. */
export const ALL = { first: 0, axis: [0, 0, 0], widest: 2, middle: [0, 0, 0], radius: 0 };

/** @param {import('./glb-file.js').Shape} shape @returns {Bundle[]} */
export function bundles({ points, faces }) {
  const made = [];
  for (let first = 0; first < faces.length; first += 3 * FACES) made.push(bundle(points, faces, first, Math.min(3 * FACES, faces.length - first)));
  return made;
}

/** @param {Float32Array} points @param {Uint16Array | Uint32Array} faces @param {number} first @param {number} count @returns {Bundle} */
function bundle(points, faces, first, count) {
  const normals = new Float32Array(count);
  const sum = [0, 0, 0];
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let at = 0; at < count; at += 3) { // a hundred thousand times: without arrays of their own
    const [a, b, c] = [3 * faces[first + at], 3 * faces[first + at + 1], 3 * faces[first + at + 2]];
    const ux = points[b] - points[a], uy = points[b + 1] - points[a + 1], uz = points[b + 2] - points[a + 2];
    const vx = points[c] - points[a], vy = points[c + 1] - points[a + 1], vz = points[c + 2] - points[a + 2];
    const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
    const long = Math.sqrt(x * x + y * y + z * z) || 1;
    normals[at] = x / long;
    normals[at + 1] = y / long;
    normals[at + 2] = z / long;
    for (let axis = 0; axis < 3; axis += 1) {
      sum[axis] += normals[at + axis];
      low[axis] = Math.min(low[axis], points[a + axis], points[b + axis], points[c + axis]);
      high[axis] = Math.max(high[axis], points[a + axis], points[b + axis], points[c + axis]);
    }
  }
  const long = Math.hypot(...sum) || 1;
  const axis = sum.map((value) => value / long);
  let narrow = 1;
  for (let at = 0; at < count; at += 3) {
    const [x, y, z] = [normals[at], normals[at + 1], normals[at + 2]];
    if (x || y || z) narrow = Math.min(narrow, x * axis[0] + y * axis[1] + z * axis[2]); // else it is a line
  }
  return {
    first,
    count,
    axis,
    widest: narrow < BLUNT ? 2 : Math.sqrt(1 - Math.min(1, narrow * narrow)),
    middle: low.map((side, at) => (side + high[at]) / 2),
    radius: Math.hypot(...low.map((side, at) => (high[at] - side) / 2)),
  };
}

/**
 * Those that may be seen, as few stretches of faces as hold them.
 * @param {Bundle[]} those @param {ArrayLike<number>} eye @returns {{first: number, count: number}[]}
 */
export function facing(those, eye) {
  /** @type {{first: number, count: number}[]} */
  const shown = [];
  for (const { first, count, axis, widest, middle, radius } of those) {
    const [x, y, z] = [middle[0] - eye[0], middle[1] - eye[1], middle[2] - eye[2]];
    if (x * axis[0] + y * axis[1] + z * axis[2] >= widest * Math.hypot(x, y, z) + radius) continue;
    const last = shown[shown.length - 1];
    if (last && last.first + last.count === first) last.count += count;
    else shown.push({ first, count });
  }
  return shown;
}
