/**
 * A layer that covers a picture exactly, wherever the page has put it and however it is fitted.
 */

/**
 * Where the picture itself lies within the box of its element (CSS Images 3, object-fit;
 * object-position is taken to be the centre). Pure.
 * @param {{width: number, height: number}} box
 * @param {{width: number, height: number}} picture its natural size
 * @param {string} fit
 * @returns {{left: number, top: number, width: number, height: number}} in the box's pixels
 */
export function fitted(box, picture, fit) {
  const across = box.width / picture.width;
  const down = box.height / picture.height;
  const scales = { contain: Math.min(across, down), cover: Math.max(across, down), none: 1, 'scale-down': Math.min(across, down, 1) };
  const scale = scales[/** @type {keyof typeof scales} */ (fit)];
  if (!scale || !Number.isFinite(scale)) return { left: 0, top: 0, ...box }; // fill, or not loaded yet
  const [width, height] = [picture.width * scale, picture.height * scale];
  return { left: (box.width - width) / 2, top: (box.height - height) / 2, width, height };
}

/** A drawing fills its box, and has no offsets of its own. @param {SVGSVGElement} drawing @param {HTMLElement} layer */
function placeOverDrawing(drawing, layer) {
  const box = drawing.getBoundingClientRect();
  const parent = /** @type {HTMLElement} */ (drawing.parentElement);
  const from = parent.getBoundingClientRect();
  layer.style.left = `${box.left - from.left - parent.clientLeft}px`;
  layer.style.top = `${box.top - from.top - parent.clientTop}px`;
  layer.style.width = `${box.width}px`;
  layer.style.height = `${box.height}px`;
}

/** @param {HTMLImageElement | SVGSVGElement} picture @param {HTMLElement} layer */
function place(picture, layer) {
  if (picture instanceof SVGSVGElement) return placeOverDrawing(picture, layer);
  const box = { width: picture.clientWidth, height: picture.clientHeight };
  const natural = { width: picture.naturalWidth, height: picture.naturalHeight };
  const { left, top, width, height } = fitted(box, natural, getComputedStyle(picture).objectFit);
  layer.style.left = `${picture.offsetLeft + picture.clientLeft + left}px`;
  layer.style.top = `${picture.offsetTop + picture.clientTop + top}px`;
  layer.style.width = `${width}px`;
  layer.style.height = `${height}px`;
  // With "cover" the picture is larger than its box; what is cut off stays cut off.
  const [across, down] = [Math.max(0, (width - box.width) / 2), Math.max(0, (height - box.height) / 2)];
  layer.style.clipPath = across || down ? `inset(${down}px ${across}px)` : '';
}

/** @param {number} x percent @param {number} y percent @returns {HTMLElement} what marks a spot on a layer */
export function ringAt(x, y) {
  const ring = document.createElement('span');
  ring.className = 'spot-ring';
  ring.style.left = `${x}%`;
  ring.style.top = `${y}%`;
  return ring;
}

/**
 * @param {HTMLImageElement | SVGSVGElement} picture
 * @param {string} className
 * @returns {HTMLElement} made once for each picture and class
 */
export function layerOver(picture, className) {
  const parent = /** @type {HTMLElement} */ (picture.parentElement);
  const there = /** @type {HTMLElement | null} */ (parent.querySelector(`:scope > .${className}`));
  if (there) return there;
  const layer = document.createElement('div');
  layer.className = `over-picture ${className}`;
  if (getComputedStyle(parent).position === 'static') parent.style.position = 'relative';
  picture.after(layer);
  const watch = new ResizeObserver(() => {
    if (layer.isConnected) place(picture, layer);
    else watch.disconnect();
  });
  watch.observe(picture);
  watch.observe(parent); // the picture may move without changing its size
  picture.addEventListener('load', () => place(picture, layer));
  place(picture, layer);
  return layer;
}
