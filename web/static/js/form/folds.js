/**
 * Forms that wait in a `<template>` until their fold is first opened: a page of sixty pictures has
 * hundreds of them, of which one or two are ever used.
 *
 *   <details class="fold" id="change-…"><summary>Change</summary><template><form …></template></details>
 *
 * What is there to be read is never put into a template.
 */
import { bringIntoView } from '../page/view.js';

/** @param {Element} details @returns {HTMLTemplateElement[]} its own, not those of a fold within it */
const waiting = (details) => [...details.querySelectorAll('template')].filter((template) => template.closest('details') === details);

/**
 * Put what waits in a fold into its place.
 * @param {Element} details
 */
export function fill(details) {
  const templates = waiting(details);
  for (const template of templates) template.replaceWith(template.content);
  if (templates.length && details.isConnected) document.dispatchEvent(new CustomEvent('brief:filled'));
}

/**
 * Put the form of that id into its place, with the folds it lies in, if it waits in any.
 * @param {string} id
 * @returns {boolean} whether it is being fetched, so that it comes with the next refresh
 */
export function fillFor(id) {
  const named = `#${CSS.escape(id)}`;
  const holder = [...document.querySelectorAll('template')].find(({ content }) => content.querySelector(named));
  const fold = holder?.closest('details');
  if (!fold) {
    // Perhaps it is in a part of the page that is fetched when it is wanted.
    const wanted = new CustomEvent('brief:wanted', { cancelable: true, detail: { id } });
    return !document.querySelector(named) && !document.dispatchEvent(wanted);
  }
  fill(fold);
  return fillFor(id); // where it lay in a fold of that fold
}

/**
 * Open all folds that an element lies in.
 * @param {Element} element
 */
export function unfold(element) {
  for (let fold = element.closest('details'); fold; fold = fold.parentElement?.closest('details') ?? null) fold.open = true;
}

/**
 * Tell of what is done with: a form that has been accepted, a fold that has been closed.
 * @param {(element: Element) => void} run
 */
export function whenDone(run) {
  document.addEventListener('brief:accepted', (event) => run(/** @type {CustomEvent} */ (event).detail.form));
  document.addEventListener('toggle', (event) => {
    const details = /** @type {HTMLDetailsElement} */ (event.target);
    if (!details.open) run(details);
  }, true); // it does not bubble, but is seen on its way down
}

/** Open the fold that the address names, by itself or by what is in it: a link from another sheet leads there. */
function openNamed() {
  const id = decodeURIComponent(location.hash.slice(1));
  if (!id) return;
  if (fillFor(id)) document.addEventListener('brief:refreshed', openNamed, { once: true });
  const named = document.getElementById(id);
  if (!named?.closest('details')) return;
  unfold(named);
  bringIntoView(named);
  if (!named.matches('input, textarea, select')) return;
  named.focus({ preventScroll: true });
  if (named instanceof HTMLInputElement) named.select(); // to be written over
}

export function wireFolds() {
  for (const open of document.querySelectorAll('details[open]')) fill(open);
  document.addEventListener('toggle', (event) => {
    const details = /** @type {HTMLDetailsElement} */ (event.target);
    if (details.open) fill(details);
  }, true);
  window.addEventListener('hashchange', openNamed);
  document.addEventListener('click', (event) => {
    // A link pressed a second time changes no address.
    const link = /** @type {HTMLAnchorElement | null} */ (/** @type {Element} */ (event.target).closest?.('a[href*="#"]'));
    if (link?.href === location.href) openNamed();
  });
  openNamed();
}
