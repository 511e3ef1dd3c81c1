/**
 * Problem details (RFC 9457) shown where they belong: each fault beside its field, the sentence
 * for the whole at the head of the form.
 *
 * @typedef {{title?: string, detail?: string, status?: number, errors?: {pointer?: string, detail: string}[]}} Problem
 */
import { sortFaults } from './fields.js';
import { unfold } from './folds.js';

let counter = 0;

/** What a form says that it was refused for, with the way out. @type {WeakMap<HTMLFormElement, [Problem, {label: string, run: () => void} | undefined]>} */
const told = new WeakMap();

/**
 * The problem in an answer that is not a success.
 * @param {number} status
 * @param {string} text the body
 * @returns {Problem} whatever came; a body that is no problem document gets a sentence of ours
 */
export function readProblem(status, text) {
  try {
    const problem = JSON.parse(text);
    if (typeof problem?.detail === 'string' || typeof problem?.title === 'string') return { ...problem, status };
  } catch {
    // A proxy's or a crashed server's page: nothing in it that would help.
  }
  return { status, detail: `The brief answered with an error (${status}). What you typed is still here; try again.` };
}

/**
 * Controls of a form that can show a fault, by name.
 * @param {HTMLFormElement} form
 * @returns {Map<string, HTMLElement[]>}
 */
function fieldsOf(form) {
  /** @type {Map<string, HTMLElement[]>} */
  const fields = new Map();
  for (const control of /** @type {Iterable<any>} */ (form.elements)) {
    if (!control.name || ['hidden', 'submit', 'button', 'fieldset'].includes(control.type)) continue;
    fields.set(control.name, [...(fields.get(control.name) ?? []), control]);
  }
  return fields;
}

/** @param {HTMLElement} field @param {(ids: Set<string>) => void} change */
function changeDescription(field, change) {
  const ids = new Set((field.getAttribute('aria-describedby') ?? '').split(/\s+/).filter(Boolean));
  change(ids);
  if (ids.size) field.setAttribute('aria-describedby', [...ids].join(' '));
  else field.removeAttribute('aria-describedby');
}

/**
 * Take the faults of the last attempt away.
 * @param {HTMLFormElement} form
 */
export function clearProblem(form) {
  told.delete(form);
  for (const fault of form.querySelectorAll('.fault[data-made]')) {
    for (const field of /** @type {NodeListOf<HTMLElement>} */ (form.querySelectorAll(`[aria-describedby~="${fault.id}"]`))) {
      field.removeAttribute('aria-invalid');
      changeDescription(field, (ids) => ids.delete(fault.id));
    }
    fault.remove();
  }
  const box = /** @type {HTMLElement | null} */ (form.querySelector('[data-problem]'));
  if (box) {
    box.replaceChildren();
    box.hidden = true;
  }
}

/** @param {HTMLFormElement} form @returns {HTMLElement} */
function problemBox(form) {
  const there = /** @type {HTMLElement | null} */ (form.querySelector('[data-problem]'));
  const box = there ?? document.createElement('div');
  if (!there) {
    box.dataset.problem = '';
    form.prepend(box);
  }
  box.setAttribute('role', 'alert');
  box.classList.add('problem');
  box.hidden = false;
  return box;
}

/**
 * @param {HTMLElement[]} controls the field, or the boxes of one group
 * @param {string} text
 */
function showFault(controls, text) {
  const fault = document.createElement('p');
  fault.className = 'fault';
  fault.dataset.made = '';
  fault.id = `fault-${(counter += 1)}`;
  fault.textContent = text;
  const group = controls.length > 1 ? controls[0].closest('fieldset') : null;
  const last = controls[controls.length - 1];
  if (group) group.append(fault);
  else (last.closest('label') ?? last).after(fault);
  for (const control of controls) {
    control.setAttribute('aria-invalid', 'true');
    changeDescription(control, (ids) => ids.add(fault.id));
    unfold(control); // what is folded away could be neither seen nor focused
  }
}

/**
 * Write a problem into its form.
 * @param {HTMLFormElement} form
 * @param {Problem} problem
 * @param {{label: string, run: () => void}} [wayOut] a button beside the sentence
 * @returns {HTMLElement} the first control at fault, or the sentence for the whole
 */
function write(form, problem, wayOut) {
  clearProblem(form);
  told.set(form, [problem, wayOut]);
  const fields = fieldsOf(form);
  const { beside, rest } = sortFaults(problem, new Set(fields.keys()));

  const box = problemBox(form);
  for (const text of [problem.detail ?? problem.title ?? '', ...rest.filter((one) => one !== problem.detail)]) {
    const line = document.createElement('p');
    line.textContent = text;
    box.append(line);
  }
  if (wayOut) {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = wayOut.label;
    button.addEventListener('click', wayOut.run);
    box.append(button);
  }

  // Document order, so that the first to be focused is the first one reads.
  const faulty = [...fields].filter(([name]) => beside.has(name));
  for (const [name, controls] of faulty) showFault(controls, (beside.get(name) ?? []).join(' '));
  return faulty.length ? faulty[0][1][0] : box;
}

/**
 * @param {HTMLFormElement} form
 * @param {Problem} problem
 * @param {{label: string, run: () => void}} [wayOut] a button beside the sentence
 */
export function showProblem(form, problem, wayOut) {
  const first = write(form, problem, wayOut);
  if (first.matches('[data-problem]')) first.scrollIntoView({ block: 'nearest' });
  else first.focus();
}

/**
 * A region was brought up to date: its forms still say what they were refused for meanwhile.
 * @param {Element} from
 * @param {Element} to
 */
export function carryProblems(from, to) {
  for (const old of /** @type {HTMLFormElement[]} */ ([from, ...from.querySelectorAll('form[id]')])) {
    const problem = told.get(old);
    const id = old.getAttribute('id');
    const now = old === from ? to : to.querySelector(`form#${CSS.escape(id ?? '')}`);
    if (problem && now instanceof HTMLFormElement) write(now, ...problem);
  }
}
