import assert from 'node:assert/strict';
import { test } from 'node:test';
import { readGlb } from '../../web/static/js/turning/glb-file.js';

/** A GLB of one triangle, put together by hand (glTF 2.0, 4.4). */
function triangle() {
  const points = new Float32Array([0, 0, 0, 1, 0, 0, 0, 2, 0]);
  const faces = new Uint16Array([0, 1, 2, 0]); // the last fills up four bytes
  const said = JSON.stringify({
    asset: { version: '2.0' },
    meshes: [{ primitives: [{ attributes: { POSITION: 0, NORMAL: 0 }, indices: 1, material: 0 }], extras: { role: 'top' } }],
    materials: [{ pbrMetallicRoughness: { baseColorFactor: [0.5, 0.25, 0.125, 1], roughnessFactor: 0.6, metallicFactor: 0 }, extensions: { KHR_materials_clearcoat: { clearcoatFactor: 1, clearcoatRoughnessFactor: 0.1 } } }],
    accessors: [
      { bufferView: 0, componentType: 5126, count: 3, type: 'VEC3', min: [0, 0, 0], max: [1, 2, 0] },
      { bufferView: 1, componentType: 5123, count: 3, type: 'SCALAR' },
    ],
    bufferViews: [{ buffer: 0, byteLength: 36 }, { buffer: 0, byteOffset: 36, byteLength: 8 }],
    buffers: [{ byteLength: 44 }],
  });
  const text = new TextEncoder().encode(said.padEnd(Math.ceil(said.length / 4) * 4));
  const made = new Uint8Array(12 + 8 + text.length + 8 + 44);
  const head = new DataView(made.buffer);
  [0x46546c67, 2, made.length, text.length, 0x4e4f534a].forEach((value, place) => head.setUint32(4 * place, value, true));
  made.set(text, 20);
  head.setUint32(20 + text.length, 44, true);
  head.setUint32(24 + text.length, 0x004e4942, true);
  made.set(new Uint8Array(points.buffer), 28 + text.length);
  made.set(new Uint8Array(faces.buffer), 64 + text.length);
  return made.buffer;
}

test('a body is read: its points, faces, and how it shows', () => {
  const { shapes, bounds } = readGlb(triangle());
  assert.equal(shapes.length, 1);
  assert.deepEqual([...shapes[0].points], [0, 0, 0, 1, 0, 0, 0, 2, 0]);
  assert.deepEqual([...shapes[0].faces], [0, 1, 2]);
  assert.equal(shapes[0].uv, null);
  assert.equal(shapes[0].role, 'top');
  assert.deepEqual(bounds, { low: [0, 0, 0], high: [1, 2, 0] });
  assert.deepEqual(shapes[0].look, { colour: [0.5, 0.25, 0.125], picture: null, rough: 0.6, metal: 0, coat: 1, coatRough: 0.1 });
});

test('half a file is refused', () => {
  assert.throws(() => readGlb(triangle().slice(0, -8)), /no whole GLB/);
  assert.throws(() => readGlb(new ArrayBuffer(4)), /no whole GLB/);
});
