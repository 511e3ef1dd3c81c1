/**
 * Which part of a body is at a place of its picture: by a ray against all triangles, those that look
 * away left out as they are when it is painted (Moeller and Trumbore 1997, their culling branch).
 */

const DEEP = 0.02; // metres: so far behind what was hit, a string over it say, a part is still meant

/**
 * @param {import('./glb-file.js').Shape[]} shapes
 * @param {{eye: number[], way: number[]}} ray
 * @returns {string[]} roles, the nearest first, each once
 */
export function rolesAt(shapes, { eye, way }) {
  const [ox, oy, oz] = eye;
  const [dx, dy, dz] = way;
  const long = Math.hypot(dx, dy, dz);
  /** @type {{role: string, far: number}[]} */
  const hits = [];
  for (const { points, faces, role } of shapes) {
    let nearest = Infinity;
    for (let at = 0; at < faces.length; at += 3) { // a hundred thousand times: without arrays of their own
      const [a, b, c] = [3 * faces[at], 3 * faces[at + 1], 3 * faces[at + 2]];
      const ux = points[b] - points[a], uy = points[b + 1] - points[a + 1], uz = points[b + 2] - points[a + 2];
      const vx = points[c] - points[a], vy = points[c + 1] - points[a + 1], vz = points[c + 2] - points[a + 2];
      const px = dy * vz - dz * vy, py = dz * vx - dx * vz, pz = dx * vy - dy * vx;
      const whole = ux * px + uy * py + uz * pz;
      if (whole <= 0) continue;
      const sx = ox - points[a], sy = oy - points[a + 1], sz = oz - points[a + 2];
      const u = sx * px + sy * py + sz * pz;
      if (u < 0 || u > whole) continue;
      const qx = sy * uz - sz * uy, qy = sz * ux - sx * uz, qz = sx * uy - sy * ux;
      const v = dx * qx + dy * qy + dz * qz;
      if (v < 0 || u + v > whole) continue;
      const far = (long * (vx * qx + vy * qy + vz * qz)) / whole;
      if (far > 0 && far < nearest) nearest = far;
    }
    if (nearest < Infinity) hits.push({ role, far: nearest });
  }
  hits.sort((one, other) => one.far - other.far);
  return [...new Set(hits.filter(({ far }) => far <= hits[0].far + DEEP).map(({ role }) => role))];
}
