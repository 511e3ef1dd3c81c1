/**
 * The turned instrument: a canvas of its own that finger, mouse, wheel and keys turn. It is fetched
 * only once somebody asks for it (`turning.js`), and painted only when something has changed.
 */
import { firstPose, matrices, moved, perPixel, ray, sized, turned } from './camera.js';
import { readGlb } from './glb-file.js';
import { painter, WAYS } from './painter.js';
import { rolesAt } from './picking.js';

const A_PIXEL = 0.009; // radians
const A_KEY = Math.PI / 18;
const STEP = 1.25;
const SHIFT = 0.08; // of the picture's height
const FINEST = 2; // pixels of the screen to a CSS pixel
const QUICK_MS = 26; // what a picture may take while it moves, so that there are 30 in a second
const REST_MS = 160;
const TAP_PX = 6; // a finger that is put down and lifted moves as far
const TURNS = /** @type {Record<string, number[]>} */ ({ ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });

const NO_WEBGL = 'This browser cannot turn the instrument: it has no WebGL 2. The flat views show all of it.';

/** @typedef {'larger' | 'smaller' | 'whole'} Wish */

/**
 * A GLB by its address, and what tells it from another.
 * @param {string} address
 */
async function over(address) {
  const answer = await fetch(address, { cache: 'no-cache' });
  if (!answer.ok) throw new Error(`the instrument answered ${answer.status}`);
  return { data: () => answer.arrayBuffer(), now: answer.headers.get('ETag') ?? '' };
}

/** A GLB that is in the page itself, packed: there, nothing may be fetched. @param {string} address */
function within(address) {
  const text = atob(address.slice(address.indexOf(',') + 1));
  const packed = new Blob([Uint8Array.from(text, (letter) => letter.charCodeAt(0))]);
  return { data: () => new Response(packed.stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer(), now: '' };
}

/**
 * @param {(words: string) => void} say what is to be told while it is shown
 * @throws {Error} without WebGL 2; its `forReader` says so in words
 */
export function stage(say) {
  const canvas = document.createElement('canvas');
  canvas.className = 'turned';
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'application');
  canvas.setAttribute('aria-label', 'The instrument, computed. Arrow keys turn it, plus and minus change its size, with Shift arrow keys move it, Home shows all of it.');
  const gl = canvas.getContext('webgl2', { antialias: false, depth: false });
  if (!gl) throw Object.assign(new Error('no WebGL 2'), { forReader: NO_WEBGL });

  let paints = painter(gl);
  /** @type {ReturnType<typeof readGlb> | null} */
  let body = null;
  /** @type {Map<any, ImageBitmap>} */
  let pictures = new Map();
  /** @type {import('./camera.js').Pose} */
  let pose = { yaw: 0, pitch: 0, away: 1, at: [0, 0, 0] };
  let tag = '';
  let asked = 0;
  /** Which bringing is the newest: an older wood may come after a newer one. */
  let bringing = 0;

  /** In CSS pixels. */
  const size = () => ({ wide: Math.max(1, canvas.clientWidth), high: Math.max(1, canvas.clientHeight) });

  /** Which of `WAYS` is quick enough here while it moves; it is tried out once for each size. */
  let way = 0;
  let tried = '';
  let resting = 0;

  /** The pixels of the screen that it fills; a browser makes a smaller picture as large. */
  function screen() {
    const fine = Math.min(FINEST, window.devicePixelRatio);
    return { wide: size().wide * fine, high: size().high * fine };
  }

  /** @param {(typeof WAYS)[number]} by */
  function paintBy({ share, looks }) {
    if (!body) return;
    const [wide, high] = [Math.ceil(screen().wide * share), Math.ceil(screen().high * share)];
    if (canvas.width !== wide || canvas.height !== high) Object.assign(canvas, { width: wide, height: high });
    paints.paint(matrices(pose, body.bounds, { wide, high }), { wide, high }, looks);
  }

  function tryOut() {
    const now = `${screen().wide} ${screen().high}`;
    if (tried === now || resting || !isThere()) return;
    if (!tried) paints.sort();
    tried = now;
    way = WAYS.findIndex((by) => {
      const began = performance.now();
      paintBy(by);
      paints.done();
      return performance.now() - began < QUICK_MS;
    });
    if (way < 0) way = WAYS.length - 1;
    if (way) paintBy(WAYS[0]);
    canvas.toggleAttribute('data-rests', true);
  }

  const isThere = () => body !== null && canvas.isConnected && !gl.isContextLost();

  function paint() {
    asked = 0;
    if (!isThere()) return;
    if (!tried) paintBy(WAYS[1]); // the first one is soon there
    else paintBy(WAYS[resting ? way : 0]);
    canvas.toggleAttribute('data-rests', !resting && tried !== '');
    if (!resting) setTimeout(tryOut); // once this one is seen
  }

  function ask() {
    if (!asked) asked = requestAnimationFrame(paint);
  }

  /** It moves: where that needs a quicker way, it is painted finely again once it rests. */
  function move() {
    clearTimeout(resting);
    canvas.removeAttribute('data-rests');
    resting = setTimeout(() => {
      resting = 0;
      ask();
    }, REST_MS);
    ask();
  }

  /** @param {import('./camera.js').Pose} next */
  function see(next) {
    pose = next;
    move();
  }

  /** @param {string} address of the GLB; nothing is done where it is shown, or a newer one was asked for */
  async function bring(address) {
    const own = (bringing += 1);
    const { data, now } = address.startsWith('data:') ? within(address) : await over(address);
    if (body && now && now === tag) return;
    const came = readGlb(await data());
    const looks = [...new Set(came.shapes.map(({ look }) => look))].filter(({ picture }) => picture);
    const decoded = await Promise.all(looks.map((look) => createImageBitmap(/** @type {Blob} */ (look.picture), { premultiplyAlpha: 'none' })));
    if (own !== bringing) return;
    for (const before of pictures.values()) before.close(); // each is some megabytes
    if (!body) pose = firstPose(came.bounds);
    [body, tag, pictures] = [came, now, new Map(looks.map((look, place) => [look, decoded[place]]))];
    paints.take(body.shapes, pictures);
    tried = '';
    ask();
  }

  /** @param {Wish} wish */
  function wish(wish) {
    if (!body) return;
    if (wish === 'whole') see(firstPose(body.bounds));
    else see(sized(pose, body.bounds, size(), wish === 'larger' ? STEP : 1 / STEP));
  }

  /** @type {Map<number, {x: number, y: number}>} fingers on it */
  const held = new Map();
  const between = () => {
    const [one, other] = [...held.values()];
    return { x: (one.x + other.x) / 2, y: (one.y + other.y) / 2, apart: Math.hypot(one.x - other.x, one.y - other.y) };
  };
  /** From its middle. @param {{x: number, y: number}} point */
  const place = ({ x, y }) => {
    const { left, top, width, height } = canvas.getBoundingClientRect();
    return [x - left - width / 2, y - top - height / 2];
  };

  /** Where a press began that has not moved since. @type {{x: number, y: number} | null} */
  let pressed = null;

  canvas.addEventListener('pointerdown', (event) => {
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, { x: event.clientX, y: event.clientY });
    pressed = held.size === 1 && event.button === 0 ? { x: event.clientX, y: event.clientY } : null;
  });
  canvas.addEventListener('pointermove', (event) => {
    const was = held.get(event.pointerId);
    if (!was || !body) return;
    if (pressed && Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) <= TAP_PX) return;
    pressed = null;
    const before = held.size > 1 ? between() : null;
    held.set(event.pointerId, { x: event.clientX, y: event.clientY });
    const [across, down] = [event.clientX - was.x, event.clientY - was.y];
    if (before) {
      const after = between();
      const scale = perPixel(pose, body.bounds, size());
      const next = moved(pose, body.bounds, (after.x - before.x) * scale, (after.y - before.y) * scale);
      see(sized(next, body.bounds, size(), after.apart / Math.max(1, before.apart), place(after)));
    } else if (event.shiftKey) {
      const scale = perPixel(pose, body.bounds, size());
      see(moved(pose, body.bounds, across * scale, down * scale));
    } else see(turned(pose, -across * A_PIXEL, down * A_PIXEL));
  });
  canvas.addEventListener('pointerup', () => {
    if (!pressed || !body) return;
    const roles = rolesAt(body.shapes, ray(pose, body.bounds, size(), place(pressed)));
    canvas.dispatchEvent(new CustomEvent('turned:tapped', { bubbles: true, detail: { roles } }));
  });
  for (const name of ['pointerup', 'pointercancel']) canvas.addEventListener(name, (event) => held.delete(/** @type {PointerEvent} */ (event).pointerId));
  canvas.addEventListener('wheel', (event) => {
    if (!body || (document.activeElement !== canvas && !event.ctrlKey)) return; // else the page scrolls past it
    event.preventDefault();
    see(sized(pose, body.bounds, size(), Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), place({ x: event.clientX, y: event.clientY })));
  }, { passive: false });
  canvas.addEventListener('keydown', (event) => {
    if (!body || event.ctrlKey || event.metaKey || event.altKey) return;
    const [across, down] = TURNS[event.key] ?? [0, 0];
    if (TURNS[event.key] && event.shiftKey) {
      const step = size().high * SHIFT * perPixel(pose, body.bounds, size());
      see(moved(pose, body.bounds, across * step, -down * step));
    } else if (TURNS[event.key]) see(turned(pose, -across * A_KEY, down * A_KEY));
    else if (event.key === '+' || event.key === '=') wish('larger');
    else if (event.key === '-' || event.key === '_') wish('smaller');
    else if (event.key === 'Home') wish('whole');
    else return;
    event.preventDefault();
  });
  canvas.addEventListener('webglcontextlost', (event) => {
    event.preventDefault(); // it may come back
    say('The graphics card let go of the turned picture. It comes back by itself; until then use the flat views.');
  });
  canvas.addEventListener('webglcontextrestored', () => {
    paints = painter(gl);
    if (body) paints.take(body.shapes, pictures);
    tried = '';
    say('The turned picture is back.');
    ask();
  });
  new ResizeObserver(ask).observe(canvas);

  return { canvas, bring, wish, ask };
}
