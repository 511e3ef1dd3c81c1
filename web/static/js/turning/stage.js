/**
 * The turned instrument: a canvas of its own that finger, mouse, wheel and keys turn. It is fetched
 * only once somebody asks for it (`turning.js`), and painted only when something has changed.
 */
import { firstPose, matrices, moved, perPixel, sized, turned } from './camera.js';
import { readGlb } from './glb-file.js';
import { painter } from './painter.js';

const A_PIXEL = 0.009; // radians
const A_KEY = Math.PI / 18;
const STEP = 1.25;
const SHIFT = 0.08; // of the picture's height
const FINEST = 2; // pixels of the screen to a CSS pixel
const TURNS = /** @type {Record<string, number[]>} */ ({ ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });

/** @typedef {'larger' | 'smaller' | 'whole'} Wish */

/** What it cannot do, in words for whoever asked for it. */
export class Unable extends Error {}

/**
 * @param {(words: string) => void} say what is to be told while it is shown; nothing once it is over
 */
export function stage(say) {
  const canvas = document.createElement('canvas');
  canvas.className = 'turned';
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'application');
  canvas.setAttribute('aria-label', 'The instrument, computed. Arrow keys turn it, plus and minus change its size, with Shift arrow keys move it, Home shows all of it.');
  const gl = canvas.getContext('webgl2', { antialias: true, alpha: true });
  if (!gl) throw new Unable('This browser cannot turn the instrument: it has no WebGL 2. The flat views show all of it.');

  let paints = painter(gl);
  /** @type {ReturnType<typeof readGlb> | null} */
  let body = null;
  let pictures = new Map();
  /** @type {import('./camera.js').Pose} */
  let pose = { yaw: 0, pitch: 0, away: 1, at: [0, 0, 0] };
  let tag = '';
  let asked = 0;

  /** In CSS pixels. */
  const size = () => ({ wide: Math.max(1, canvas.clientWidth), high: Math.max(1, canvas.clientHeight) });

  function paint() {
    asked = 0;
    if (!body || !gl || gl.isContextLost() || !canvas.isConnected) return;
    const fine = Math.min(FINEST, window.devicePixelRatio);
    const [wide, high] = [Math.round(size().wide * fine), Math.round(size().high * fine)];
    if (canvas.width !== wide || canvas.height !== high) Object.assign(canvas, { width: wide, height: high });
    paints.paint(matrices(pose, body.bounds, { wide, high }), { wide, high });
  }

  function ask() {
    if (!asked) asked = requestAnimationFrame(paint);
  }

  /** @param {import('./camera.js').Pose} next */
  function see(next) {
    pose = next;
    ask();
  }

  /** @param {string} address of the GLB; nothing is done where it is the one that is shown */
  async function bring(address) {
    const answer = await fetch(address, { cache: 'no-cache' });
    if (!answer.ok) throw new Error(`the instrument answered ${answer.status}`);
    const now = answer.headers.get('ETag') ?? '';
    if (body && now && now === tag) return;
    const came = readGlb(await answer.arrayBuffer());
    const looks = [...new Set(came.shapes.map(({ look }) => look))].filter(({ picture }) => picture);
    const decoded = await Promise.all(looks.map((look) => createImageBitmap(/** @type {Blob} */ (look.picture), { premultiplyAlpha: 'none' })));
    if (!body) pose = firstPose(came.bounds);
    [body, tag, pictures] = [came, now, new Map(looks.map((look, place) => [look, decoded[place]]))];
    paints.take(body.shapes, pictures);
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

  canvas.addEventListener('pointerdown', (event) => {
    canvas.setPointerCapture(event.pointerId);
    held.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  canvas.addEventListener('pointermove', (event) => {
    const was = held.get(event.pointerId);
    if (!was || !body) return;
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
    say('The graphics card let go of the picture. It comes back by itself; the flat views are there meanwhile.');
  });
  canvas.addEventListener('webglcontextrestored', () => {
    paints = painter(gl);
    if (body) paints.take(body.shapes, pictures);
    say('');
    ask();
  });
  new ResizeObserver(ask).observe(canvas);

  return { canvas, bring, wish, ask };
}
