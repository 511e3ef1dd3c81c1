/**
 * CIELAB (D65, 2° observer) from the sRGB bytes of a picture. Pure.
 *
 * Only for lighting up a colour's place in a picture; every figure that is shown or judged comes
 * from the server.
 */

// IEC 61966-2-1: decoding of a byte, kept as a table, since a picture has but 256 of them.
const LINEAR = Float64Array.from({ length: 256 }, (_, byte) => {
  const v = byte / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
});

// IEC 61966-2-1: linear RGB to XYZ. Its rows sum to the white point, so that white is exactly L = 100.
const TO_X = [0.4124, 0.3576, 0.1805];
const TO_Y = [0.2126, 0.7152, 0.0722];
const TO_Z = [0.0193, 0.1192, 0.9505];
const sum = (/** @type {number[]} */ row) => row[0] + row[1] + row[2];
const WHITE = [sum(TO_X), sum(TO_Y), sum(TO_Z)];

const EPSILON = 216 / 24389; // (6/29)³, CIE 15
const KAPPA = 24389 / 27; // (29/3)³, CIE 15
const f = (/** @type {number} */ t) => (t > EPSILON ? Math.cbrt(t) : (KAPPA * t + 16) / 116);

/**
 * @param {number} red 0 to 255, whole
 * @param {number} green
 * @param {number} blue
 * @returns {[number, number, number]} L in [0, 100], a, b
 */
export function srgbToLab(red, green, blue) {
  const [r, g, b] = [LINEAR[red], LINEAR[green], LINEAR[blue]];
  const x = f((TO_X[0] * r + TO_X[1] * g + TO_X[2] * b) / WHITE[0]);
  const y = f((TO_Y[0] * r + TO_Y[1] * g + TO_Y[2] * b) / WHITE[1]);
  const z = f((TO_Z[0] * r + TO_Z[1] * g + TO_Z[2] * b) / WHITE[2]);
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

/**
 * @param {Uint8ClampedArray} rgba pixels of a canvas
 * @returns {Float32Array} L, a, b for each; NaN where the picture is see-through
 */
export function pixelsToLab(rgba) {
  const lab = new Float32Array((rgba.length / 4) * 3);
  for (let from = 0, to = 0; from < rgba.length; from += 4, to += 3) {
    lab.set(rgba[from + 3] < 128 ? [NaN, NaN, NaN] : srgbToLab(rgba[from], rgba[from + 1], rgba[from + 2]), to);
  }
  return lab;
}

/**
 * A veil that is clear where a colour sits and neutral grey elsewhere, as light as the picture is.
 * @param {Float32Array} lab from `pixelsToLab`
 * @param {number[]} colour L, a, b
 * @param {number} reach how far, in CIE76 units, still counts as the colour
 * @returns {{rgba: Uint8ClampedArray<ArrayBuffer>, lit: number}} lit: how many pixels are clear
 */
export function veil(lab, [L, a, b], reach) {
  const rgba = new Uint8ClampedArray((lab.length / 3) * 4);
  let lit = 0;
  for (let from = 0, to = 0; from < lab.length; from += 3, to += 4) {
    const [dL, da, db] = [lab[from] - L, lab[from + 1] - a, lab[from + 2] - b];
    if (dL * dL + da * da + db * db <= reach * reach) {
      lit += 1;
    } else if (!Number.isNaN(dL)) {
      // Half as light as it is, so that the picture can still be made out under what is lit.
      rgba.fill(30 + lab[from] * 1.3, to, to + 3);
      rgba[to + 3] = 255;
    }
  }
  return { rgba, lit };
}
