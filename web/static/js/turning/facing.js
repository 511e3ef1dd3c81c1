/**
 * Which faces of a body cannot be seen because they look away: by bundles of faces that lie one after
 * the other, each with the cone of its normals, so that half of them need not be drawn at all.
 *
 * @typedef {{first: number, count: number, axis: number[], widest: number, middle: number[], radius: number}} Bundle
 */

const FACES = 192; // of a bundle
const BLUNT = 0.1; // the cosine of a cone that never looks away as a whole

/** @param {import('./glb-file.js').Shape} shape @returns {Bundle[]} */
export function bundles({ points, faces }) {
  const made = [];
  for (let first = 0; first < faces.length; first += 3 * FACES) made.push(bundle(points, faces, first, Math.min(3 * FACES, faces.length - first)));
  return made;
}

/** @param {Float32Array} points @param {Uint16Array | Uint32Array} faces @param {number} first @param {number} count @returns {Bundle} */
function bundle(points, faces, first, count) {
  const normals = [];
  const sum = [0, 0, 0];
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let at = first; at < first + count; at += 3) {
    const [a, b, c] = [3 * faces[at], 3 * faces[at + 1], 3 * faces[at + 2]];
    const [ux, uy, uz] = [0, 1, 2].map((axis) => points[b + axis] - points[a + axis]);
    const [vx, vy, vz] = [0, 1, 2].map((axis) => points[c + axis] - points[a + axis]);
    const normal = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const long = Math.hypot(...normal);
    if (long) normals.push(normal.map((value) => value / long));
    for (const axis of [0, 1, 2]) {
      sum[axis] += long ? normal[axis] / long : 0;
      low[axis] = Math.min(low[axis], points[a + axis], points[b + axis], points[c + axis]);
      high[axis] = Math.max(high[axis], points[a + axis], points[b + axis], points[c + axis]);
    }
  }
  const long = Math.hypot(...sum) || 1;
  const axis = sum.map((value) => value / long);
  const narrow = normals.reduce((least, [x, y, z]) => Math.min(least, x * axis[0] + y * axis[1] + z * axis[2]), 1);
  return {
    first,
    count,
    axis,
    widest: narrow < BLUNT ? 2 : Math.sqrt(1 - narrow * narrow),
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
