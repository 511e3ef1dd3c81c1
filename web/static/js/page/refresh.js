/**
 * Bring parts of the page up to date: fetch the page again and replace the named regions. One that
 * only the fresh page has is put in, one that it has no longer is taken out.
 *
 * The server renders a region in one way only; nothing is drawn a second time in the browser. A region
 * with `data-from` is fetched from that address, ahead of the rest, so that the instrument need not
 * wait for the sheet beside it.
 */
import { carry, takeOut } from '../form/carry.js';
import { coalesce } from './turns.js';
import { enableWired } from './wired.js';
import { listInWords, quoted } from './words.js';

/**
 * @param {string} selectors such as "#motifs #panel"
 * @returns {string[]}
 */
export function split(selectors) {
  return selectors.split(/\s+/).filter(Boolean);
}

/**
 * Put a region of the fresh page into this one where it stands there: behind the same sibling.
 * @param {HTMLElement} now
 * @returns {boolean} whether its list is here, too
 */
function putIn(now) {
  const list = now.parentElement?.id ? document.getElementById(now.parentElement.id) : null;
  if (!list) return false;
  let before = now.previousElementSibling;
  while (before && !(before.id && document.getElementById(before.id)?.parentElement === list)) before = before.previousElementSibling;
  if (before) /** @type {Element} */ (document.getElementById(before.id)).after(now);
  else list.prepend(now);
  return true;
}

/**
 * Fetch a page and replace those regions by what it has of them.
 * @param {string} address
 * @param {string[]} selectors
 * @returns {Promise<string[]>} texts that were typed into fields which are gone
 */
async function bringFrom(address, selectors) {
  const response = await fetch(address, { headers: { Accept: 'text/html' }, cache: 'no-store' });
  if (!response.ok || response.redirected) throw new Error(`the page answered ${response.status} at ${response.url}`);
  const fresh = new DOMParser().parseFromString(await response.text(), 'text/html');
  enableWired(fresh);
  if (address === location.href) document.title = fresh.title;
  const regions = selectors.map((selector) => ({ selector, old: document.querySelector(selector), now: /** @type {HTMLElement | null} */ (fresh.querySelector(selector)) }));
  // A region within another comes along with it.
  const outer = regions.filter(({ old }) => !regions.some((other) => other.now && other.old !== old && other.old?.contains(old)));
  return outer.flatMap(({ selector, old, now }) => {
    if (old && now) return carry(old, now);
    if (old) return takeOut(old);
    if (!now || !putIn(now)) console.warn(`${selector} has no place on this page, so it was not refreshed`);
    return [];
  });
}

/**
 * @param {string[]} selectors
 * @returns {Promise<string>} as `refresh`
 */
async function bring(selectors) {
  // What says that it is a page of its own, too, is fetched from there, and first.
  /** @type {Map<string, string[]>} */
  const own = new Map();
  for (const selector of selectors) {
    const from = /** @type {HTMLElement | null} */ (document.querySelector(selector))?.dataset.from;
    if (from) own.set(from, [...(own.get(from) ?? []), selector]);
  }
  const homeless = [];
  for (const [from, those] of own) {
    homeless.push(...await bringFrom(from, those));
    document.dispatchEvent(new CustomEvent('brief:arrived'));
  }
  const apart = new Set([...own.values()].flat());
  const rest = selectors.filter((selector) => !apart.has(selector));
  if (rest.length) homeless.push(...await bringFrom(location.href, rest));
  document.dispatchEvent(new CustomEvent('brief:refreshed', { detail: { regions: selectors } }));
  if (!homeless.length) return '';
  return `A field you were typing in is no longer on the page. You had typed ${listInWords(homeless.map((text) => quoted(text, 2000)))}.`;
}

/**
 * Run once a part of the page has come anew: as soon as it has, and when all has.
 * @param {() => void} run
 */
export function whenCome(run) {
  for (const name of ['brief:arrived', 'brief:refreshed']) document.addEventListener(name, run);
}

const inTurn = coalesce(bring);

/**
 * Refresh regions of this page, keeping whatever is typed, opened, scrolled or focused in them.
 * Calls that overlap are gathered into one further fetch.
 * @param {string | string[]} selectors "#motifs #panel" or a list
 * @returns {Promise<string>} what the reader has to be told about it; empty when all went well
 */
export async function refresh(selectors) {
  const wanted = typeof selectors === 'string' ? split(selectors) : selectors;
  if (!wanted.length) return '';
  try {
    return await inTurn(wanted);
  } catch (fault) {
    console.warn(fault);
    return 'This page could not be brought up to date; reload it to see the latest.';
  }
}
