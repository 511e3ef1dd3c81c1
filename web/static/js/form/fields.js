/**
 * From the fields of a form to the JSON that the API reads, and from its faults back to the fields.
 * Pure: works on anything that has the properties of a form control.
 *
 * @typedef {object} Control
 * @property {string} name
 * @property {string} type
 * @property {string} value
 * @property {boolean} [checked]
 * @property {{as?: string}} dataset
 * @property {Iterable<{value: string, selected: boolean}>} [options]
 */
import { format as formatRectangle, readPlain } from '../marking/rectangle.js';

// These appear in form.elements but carry nothing that was typed; files travel by drop.js.
const NOT_FIELDS = new Set(['submit', 'button', 'reset', 'image', 'file', 'fieldset', 'output', 'object']);

/**
 * One control's value, as its data-as says.
 * @param {Control} control
 * @returns {unknown}
 */
function valueOf(control) {
  const { value } = control;
  switch (control.dataset.as) {
    case 'optional': // numbers, too: the API reads them as they are typed
      return value.trim() === '' ? null : value;
    case 'region': {
      const rectangle = readPlain(value);
      if (rectangle) return formatRectangle(rectangle);
      return value.trim() === '' ? null : value; // the API says what is wrong with it
    }
    case 'json':
      return value.trim() === '' ? null : JSON.parse(value);
    default:
      return value;
  }
}

/**
 * Put a value under its name; "laying.centre" is "centre" within "laying".
 * @param {Record<string, any>} body
 * @param {string} name
 * @param {unknown} value
 */
function put(body, name, value) {
  const [first, ...rest] = name.split('.');
  if (rest.length) put((body[first] ??= {}), rest.join('.'), value);
  else body[first] = value;
}

/**
 * The JSON body of a form. A dot in a name leads into an object.
 * @param {Iterable<Control>} controls the enabled ones, in document order
 * @param {{name: string, value: string} | null} [submitter] the button pressed; counts if it has a name
 * @returns {Record<string, unknown>}
 */
export function collect(controls, submitter = null) {
  /** @type {Record<string, any>} */
  const body = {};
  for (const control of controls) {
    const { name, type } = control;
    if (!name || NOT_FIELDS.has(type)) continue;
    if (type === 'select-multiple') {
      put(body, name, Array.from(control.options ?? []).filter((o) => o.selected).map((o) => o.value));
    } else if (control.dataset.as === 'list') {
      body[name] ??= []; // none ticked is an empty list, not a missing field
      const counts = type === 'checkbox' ? control.checked : control.value.trim() !== '';
      if (counts) body[name].push(control.value);
    } else if (type === 'checkbox' && control.dataset.as === 'value') {
      if (control.checked) put(body, name, control.value);
    } else if (type === 'checkbox') {
      put(body, name, Boolean(control.checked));
    } else if (type === 'radio') {
      if (control.checked) put(body, name, valueOf(control));
    } else {
      put(body, name, valueOf(control));
    }
  }
  if (submitter?.name) body[submitter.name] = submitter.value;
  return body;
}

/**
 * The field that a JSON pointer names (RFC 6901; RFC 9457 writes it as a fragment, "#/title"): the
 * one of all its segments, if there is such a one, else that of the first.
 * @param {string} pointer
 * @param {Set<string>} [names] of the fields that there are
 * @returns {string}
 */
export function fieldOf(pointer, names = new Set()) {
  const [, ...segments] = pointer.replace(/^#/, '').split('/').map((one) => one.replaceAll('~1', '/').replaceAll('~0', '~'));
  const whole = segments.join('.');
  return names.has(whole) ? whole : segments[0] ?? '';
}

/**
 * Sort the faults of a problem to the fields they belong to.
 * @param {{errors?: {pointer?: string, detail: string}[]}} problem RFC 9457 problem details
 * @param {Set<string>} names the fields where a fault can be shown
 * @returns {{beside: Map<string, string[]>, rest: string[]}} rest: faults that have no field here
 */
export function sortFaults(problem, names) {
  /** @type {Map<string, string[]>} */
  const beside = new Map();
  const rest = [];
  for (const { pointer = '', detail } of problem.errors ?? []) {
    const name = fieldOf(pointer, names);
    if (!names.has(name)) rest.push(detail);
    else beside.set(name, [...(beside.get(name) ?? []), detail]);
  }
  return { beside, rest };
}

/**
 * @param {unknown} answer
 * @param {string} path such as "verdict.sentence"
 * @returns {unknown} undefined where the answer has nothing there
 */
const at = (answer, path) => path.split('.').reduce((/** @type {any} */ found, name) => found?.[name], answer) ?? undefined;

/**
 * An address or a name with its places filled from the answer: "/briefs/{id}/theme".
 * @param {string} address
 * @param {unknown} answer
 * @returns {string}
 * @throws {Error} where the answer lacks a value, rather than going to a page that is not there
 */
export function fillAddress(address, answer) {
  return address.replace(/\{([\w.]+)\}/g, (_, path) => {
    const value = at(answer, path);
    if (value === undefined) throw new Error(`the answer has no "${path}" to fill ${address}`);
    return encodeURIComponent(String(value));
  });
}

/**
 * A sentence with its places filled from the answer; what stands behind a bar is said where the
 * answer has nothing: "{name}: {material.label|still open}".
 * @param {string} text
 * @param {unknown} answer
 * @returns {string} begins with a capital
 */
export function fillText(text, answer) {
  const filled = text.replace(/\{([\w.]+)(?:\|([^}]*))?\}/g, (_, path, otherwise = '') => String(at(answer, path) ?? '') || otherwise);
  return filled.charAt(0).toUpperCase() + filled.slice(1);
}
