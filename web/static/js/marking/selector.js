/**
 * An outline with holes as a W3C SVG selector (Web Annotation Data Model, 4.2.7) whose viewBox,
 * 0 0 100 100, is the whole picture; a media fragment rectangle is read as four points, and so are
 * the points alone, as somebody types them. Pure.
 *
 *   <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><polygon points="10,10 60,12 55,70"/></svg>
 */
import { format as pointsText, parse as parsePoints } from './points.js';
import { parse as parseRectangle } from './rectangle.js';

/** @typedef {import('./points.js').Point} Point */

const attribute = (/** @type {string} */ tag, /** @type {string} */ name) => new RegExp(`\\s${name}\\s*=\\s*(["'])(.*?)\\1`, 's').exec(tag)?.[2];

/**
 * @param {string} text
 * @returns {Point[][] | null} the outline, then its holes; null where it is no such selector
 */
export function parse(text) {
  const rectangle = parseRectangle(text);
  if (rectangle) {
    const { x, y, w, h } = rectangle;
    return [[{ x, y }, { x: x + w, y }, { x: x + w, y: y + h }, { x, y: y + h }]];
  }
  const typed = parsePoints(text);
  if (typed && typed.length > 2) return [typed];
  const svg = /^\s*(<svg\s[^>]*>)(.*)<\/svg>\s*$/s.exec(text);
  if (!svg || attribute(svg[1], 'viewBox')?.trim().split(/[\s,]+/).join(' ') !== '0 0 100 100') return null;
  const tags = svg[2].match(/<polygon\s[^>]*>/g) ?? [];
  const of = (/** @type {string | undefined} */ kind) => tags.filter((tag) => attribute(tag, 'class') === kind);
  if (of(undefined).length !== 1) return null;
  const rings = [...of(undefined), ...of('hole')].map((tag) => parsePoints(attribute(tag, 'points') ?? ''));
  return rings.every((ring) => ring?.length) ? /** @type {Point[][]} */ (rings) : null;
}

/** @param {Point[][]} rings the outline, then its holes @returns {string} empty where there are none */
export function format(rings) {
  if (!rings.length) return '';
  const polygons = rings.map((ring, i) => `<polygon ${i ? 'class="hole" ' : ''}points="${pointsText(ring)}"/>`);
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">${polygons.join('')}</svg>`;
}
