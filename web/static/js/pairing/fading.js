/** Between which two of some pictures one is. Pure: no document. */

/**
 * @param {number[]} distances of the pictures, near to far
 * @param {number} distance where one stands
 * @returns {{near: number, far: number, share: number}} the places of the two, and how much of the
 *   farther one is to be seen over the nearer, 0 to 1; the same place twice where one picture is enough
 */
export function between(distances, distance) {
  const far = distances.findIndex((one) => one >= distance);
  if (far <= 0 || distances[far] === distance) {
    const only = far < 0 ? distances.length - 1 : far;
    return { near: only, far: only, share: 0 };
  }
  const near = far - 1;
  return { near, far, share: (distance - distances[near]) / (distances[far] - distances[near]) };
}
