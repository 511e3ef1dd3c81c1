/** Where a pointer is on a drawing. */

/**
 * @param {SVGGraphicsElement} drawing
 * @param {{clientX: number, clientY: number}} event
 * @returns {DOMPoint | null} in the drawing's own units; null while it is not shown
 */
export function pointIn(drawing, { clientX, clientY }) {
  const matrix = drawing.getScreenCTM();
  return matrix && new DOMPoint(clientX, clientY).matrixTransform(matrix.inverse());
}
