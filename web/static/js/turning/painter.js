/**
 * Paint a body by WebGL 2: the wood by its own photograph, lit by a room from above and one window
 * that stands still while the instrument is turned, and a clear coat in which the window is seen.
 *
 * Light is added up linear; a photograph comes linear out of its texture (SRGB8_ALPHA8). Wood that
 * faces the eye keeps about the colour of its photograph. Reflections: GGX as glTF 2.0 has it (B.3).
 */
import { ALL, bundles, facing } from './facing.js';

const BY_VERTEX = `#version 300 es
layout(location = 0) in vec3 point;
layout(location = 1) in vec3 normal;
layout(location = 2) in vec2 place;
uniform mat4 whole;
uniform mat3 turn;
uniform vec3 eye;
out vec3 n;
out vec3 v;
out vec2 uv;
void main() {
  n = turn * normal;
  v = turn * (eye - point);
  uv = place;
  gl_Position = whole * vec4(point, 1.0);
}`;

const BY_PIXEL = `#version 300 es
precision highp float;
in vec3 n;
in vec3 v;
in vec2 uv;
uniform sampler2D picture;
uniform vec3 colour;
uniform vec4 look; // rough, metal, coat, coat's rough
out vec4 shown;
const vec3 KEY = vec3(-0.45, 0.62, 0.643);
float room(vec3 way, float rough) {
  float sky = mix(0.16, 0.72, smoothstep(-0.6 - rough, 0.6 + rough, way.y));
  float edge = 0.05 + 0.5 * rough;
  vec2 off = abs(way.xy - vec2(-0.42, 0.5)) - vec2(0.2, 0.24);
  float window = (1.0 - smoothstep(-edge, edge, off.x)) * (1.0 - smoothstep(-edge, edge, off.y)) * step(0.0, way.z);
  return sky + 6.0 * window * (1.0 - 0.75 * rough);
}
float ggx(float nh, float rough) {
  float a2 = rough * rough * rough * rough;
  float d = nh * nh * (a2 - 1.0) + 1.0;
  return a2 / (3.14159 * d * d);
}
void main() {
  vec3 N = normalize(n);
  vec3 V = normalize(v);
  vec3 base = colour * texture(picture, uv).rgb;
  float nv = max(dot(N, V), 0.001);
  float nl = max(dot(N, KEY), 0.0);
  vec3 H = normalize(V + KEY);
  float nh = max(dot(N, H), 0.0);
  vec3 way = reflect(-V, N);
  float off = 1.0 - nv;
  float grazing = off * off * off * off * off; // Schlick; powers cost more where there is no graphics card
  vec3 light = base * (1.0 - look.y) * (0.56 + 0.14 * N.y + 0.62 * nl);
  vec3 f0 = mix(vec3(0.04), base, look.y);
  vec3 shine = f0 + (max(vec3(1.0 - look.x), f0) - f0) * grazing;
  light += shine * (room(way, look.x) * mix(0.35, 1.0, look.y) + 0.25 * nl * ggx(nh, max(look.x, 0.12)));
  float coat = look.z * (0.04 + 0.96 * grazing);
  light = light * (1.0 - coat) + coat * room(way, look.w) + look.z * 0.04 * 0.2 * nl * ggx(nh, max(look.w, 0.1));
  vec3 safe = clamp(light, 0.0, 1.0);
  vec3 root = sqrt(safe);
  vec3 fourth = sqrt(root);
  // sRGB within 0.3 of its 255 levels, by roots, for the same reason.
  shown = vec4(0.662 * root + 0.6841 * fourth - 0.3236 * sqrt(fourth) - 0.0225 * safe, 1.0);
}`;

/** How a picture is painted: its pixels to one of the screen, and looks at each. From fine to quick. */
export const WAYS = [{ share: 1, looks: 4 }, { share: 1, looks: 0 }, { share: 0.7, looks: 0 }, { share: 0.45, looks: 0 }];

/** @param {WebGL2RenderingContext} gl @returns {WebGLProgram} */
function program(gl) {
  const made = /** @type {WebGLProgram} */ (gl.createProgram());
  for (const [kind, text] of /** @type {[number, string][]} */ ([[gl.VERTEX_SHADER, BY_VERTEX], [gl.FRAGMENT_SHADER, BY_PIXEL]])) {
    const shader = /** @type {WebGLShader} */ (gl.createShader(kind));
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS) && !gl.isContextLost()) throw new Error(gl.getProgramInfoLog(made) ?? 'no program');
  return made;
}

/** @param {WebGL2RenderingContext} gl @param {TexImageSource | null} picture nothing for plain colour */
function texture(gl, picture) {
  const made = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, made);
  if (!picture) {
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, 1, 1, 0, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array([255, 255, 255, 255]));
    return made;
  }
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.SRGB8_ALPHA8, gl.RGBA, gl.UNSIGNED_BYTE, picture);
  gl.generateMipmap(gl.TEXTURE_2D);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.MIRRORED_REPEAT);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.MIRRORED_REPEAT);
  return made;
}

/** @param {WebGL2RenderingContext} gl @param {import('./glb-file.js').Shape} shape */
function upload(gl, shape) {
  const { points, normals, uv, faces, look } = shape;
  const array = gl.createVertexArray();
  const buffers = [];
  gl.bindVertexArray(array);
  for (const [place, values, each] of /** @type {[number, Float32Array | null, number][]} */ ([[0, points, 3], [1, normals, 3], [2, uv, 2]])) {
    if (!values) continue;
    buffers.push(gl.createBuffer());
    gl.bindBuffer(gl.ARRAY_BUFFER, buffers[buffers.length - 1]);
    gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
    gl.enableVertexAttribArray(place);
    gl.vertexAttribPointer(place, each, gl.FLOAT, false, 0, 0);
  }
  buffers.push(gl.createBuffer());
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, buffers[buffers.length - 1]);
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, faces, gl.STATIC_DRAW);
  gl.bindVertexArray(null);
  const isShort = faces instanceof Uint16Array;
  return { array, buffers, shape, bundles: [{ ...ALL, count: faces.length }], type: isShort ? gl.UNSIGNED_SHORT : gl.UNSIGNED_INT, bytes: isShort ? 2 : 4, look };
}

/**
 * Where a picture is painted before it is shown.
 * @param {WebGL2RenderingContext} gl
 */
function easel(gl) {
  const frame = gl.createFramebuffer();
  const [colours, depths] = [gl.createRenderbuffer(), gl.createRenderbuffer()];
  let set = '';

  /** @param {number} wide @param {number} high @param {number} looks */
  function ready(wide, high, looks) {
    gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
    if (set === `${wide} ${high} ${looks}`) return;
    set = `${wide} ${high} ${looks}`;
    for (const [buffer, kind, place] of /** @type {[WebGLRenderbuffer | null, number, number][]} */ ([[colours, gl.RGBA8, gl.COLOR_ATTACHMENT0], [depths, gl.DEPTH_COMPONENT24, gl.DEPTH_ATTACHMENT]])) {
      gl.bindRenderbuffer(gl.RENDERBUFFER, buffer);
      gl.renderbufferStorageMultisample(gl.RENDERBUFFER, looks, kind, wide, high);
      gl.framebufferRenderbuffer(gl.FRAMEBUFFER, place, gl.RENDERBUFFER, buffer);
    }
  }

  /** @param {number} wide @param {number} high */
  function show(wide, high) {
    gl.bindFramebuffer(gl.READ_FRAMEBUFFER, frame);
    gl.bindFramebuffer(gl.DRAW_FRAMEBUFFER, null);
    gl.blitFramebuffer(0, 0, wide, high, 0, 0, wide, high, gl.COLOR_BUFFER_BIT, gl.NEAREST);
    gl.bindFramebuffer(gl.READ_FRAMEBUFFER, null);
  }

  return { ready, show };
}

/**
 * A painter of one canvas.
 * @param {WebGL2RenderingContext} gl
 */
export function painter(gl) {
  const by = program(gl);
  const at = Object.fromEntries(['whole', 'turn', 'eye', 'colour', 'look', 'picture'].map((name) => [name, gl.getUniformLocation(by, name)]));
  const plain = texture(gl, null);
  const on = easel(gl);
  /** @type {ReturnType<typeof upload>[]} */
  let shapes = [];
  /** @type {Map<import('./glb-file.js').Look, WebGLTexture | null>} */
  let pictures = new Map();

  /** @param {import('./glb-file.js').Shape[]} those @param {Map<import('./glb-file.js').Look, ImageBitmap>} seen their photographs */
  function take(those, seen) {
    for (const { array, buffers } of shapes) {
      gl.deleteVertexArray(array);
      buffers.forEach((buffer) => gl.deleteBuffer(buffer));
    }
    pictures.forEach((picture) => gl.deleteTexture(picture));
    shapes = those.map((one) => upload(gl, one));
    pictures = new Map([...seen].map(([look, picture]) => [look, texture(gl, picture)]));
  }

  /**
   * @param {ReturnType<typeof import('./camera.js').matrices>} seen @param {import('./camera.js').Size} size
   * @param {number} looks at each pixel
   */
  function paint({ whole, turn, eye }, { wide, high }, looks) {
    on.ready(wide, high, looks);
    gl.viewport(0, 0, wide, high);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.CULL_FACE);
    gl.useProgram(by);
    gl.uniformMatrix4fv(at.whole, false, whole);
    gl.uniformMatrix3fv(at.turn, false, turn);
    gl.uniform3fv(at.eye, eye);
    gl.uniform1i(at.picture, 0);
    const smooth = looks ? gl.LINEAR_MIPMAP_LINEAR : gl.LINEAR_MIPMAP_NEAREST; // half the looks at a photograph
    for (const { array, bundles: those, type, bytes, look } of shapes) {
      gl.bindTexture(gl.TEXTURE_2D, pictures.get(look) ?? plain);
      gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, smooth);
      gl.uniform3fv(at.colour, look.colour);
      gl.uniform4f(at.look, look.rough, look.metal, look.coat, look.coatRough);
      gl.bindVertexArray(array);
      for (const { first, count } of facing(those, eye)) gl.drawElements(gl.TRIANGLES, count, type, first * bytes);
    }
    on.show(wide, high);
  }

  /** Find out which faces look where: half of them need not be painted then. */
  function sort() {
    for (const one of shapes) one.bundles = bundles(one.shape);
  }

  /** Wait until it is painted. */
  const done = () => gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));

  return { take, sort, paint, done };
}
