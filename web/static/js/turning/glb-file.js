/**
 * Read a glTF 2.0 binary as this program writes it: one buffer, pictures within it, nodes that are
 * not moved. What it does not know it passes over.
 *
 * @typedef {{points: Float32Array, normals: Float32Array, uv: Float32Array | null, faces: Uint16Array | Uint32Array, look: Look, role: string}} Shape role: of which part
 * @typedef {{colour: number[], picture: Blob | null, rough: number, metal: number, coat: number, coatRough: number}} Look
 */

const GLTF = 0x46546c67; // "glTF"
const ARRAYS = /** @type {Record<number, any>} */ ({ 5126: Float32Array, 5123: Uint16Array, 5125: Uint32Array });
const NUMBERS = /** @type {Record<string, number>} */ ({ SCALAR: 1, VEC2: 2, VEC3: 3 });

/**
 * @param {ArrayBuffer} buffer
 * @returns {{shapes: Shape[], bounds: import('./camera.js').Bounds}}
 */
export function readGlb(buffer) {
  const head = new DataView(buffer);
  if (buffer.byteLength < 20 || head.getUint32(0, true) !== GLTF || head.getUint32(8, true) !== buffer.byteLength) throw new Error('this is no whole GLB');
  const length = head.getUint32(12, true);
  const said = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, length)));
  const data = 28 + length;
  const array = (/** @type {number} */ number) => {
    const { bufferView, byteOffset = 0, count, componentType, type } = said.accessors[number];
    return new ARRAYS[componentType](buffer, data + (said.bufferViews[bufferView].byteOffset ?? 0) + byteOffset, count * NUMBERS[type]);
  };
  const pictures = (said.images ?? []).map((/** @type {any} */ { bufferView, mimeType }) => {
    const { byteOffset = 0, byteLength } = said.bufferViews[bufferView];
    return new Blob([new Uint8Array(buffer, data + byteOffset, byteLength)], { type: mimeType });
  });
  const looks = said.materials.map((/** @type {any} */ { pbrMetallicRoughness: base, extensions }) => {
    const coat = extensions?.KHR_materials_clearcoat ?? {};
    const texture = base.baseColorTexture;
    return {
      colour: (base.baseColorFactor ?? [1, 1, 1]).slice(0, 3),
      picture: texture ? pictures[said.textures[texture.index].source] : null,
      rough: base.roughnessFactor ?? 1,
      metal: base.metallicFactor ?? 1,
      coat: coat.clearcoatFactor ?? 0,
      coatRough: coat.clearcoatRoughnessFactor ?? 0,
    };
  });
  const bounds = { low: [Infinity, Infinity, Infinity], high: [-Infinity, -Infinity, -Infinity] };
  const shapes = said.meshes.flatMap((/** @type {any} */ { primitives, extras }) => primitives.map((/** @type {any} */ { attributes, indices, material }) => {
    const { min, max } = said.accessors[attributes.POSITION];
    for (const axis of [0, 1, 2]) {
      bounds.low[axis] = Math.min(bounds.low[axis], min[axis]);
      bounds.high[axis] = Math.max(bounds.high[axis], max[axis]);
    }
    return {
      points: array(attributes.POSITION),
      normals: array(attributes.NORMAL),
      uv: attributes.TEXCOORD_0 === undefined ? null : array(attributes.TEXCOORD_0),
      faces: array(indices),
      look: looks[material],
      role: extras?.role ?? '',
    };
  }));
  return { shapes, bounds };
}
