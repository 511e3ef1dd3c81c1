/**
 * Bring parts of the page up to date: fetch the page again and replace the named regions.
 *
 * The server renders a region in one way only; nothing is drawn a second time in the browser.
 */
import { carry } from './carry.js';
import { coalesce } from './turns.js';
import { listInWords, quoted } from './words.js';

/**
 * @param {string} selectors such as "#motifs #panel"
 * @returns {string[]}
 */
export function split(selectors) {
  return selectors.split(/\s+/).filter(Boolean);
}

/**
 * @param {string[]} selectors
 * @returns {Promise<string>} as `refresh`
 */
async function bring(selectors) {
  const response = await fetch(location.href, { headers: { Accept: 'text/html' }, cache: 'no-store' });
  if (!response.ok) throw new Error(`the page answered ${response.status}`);
  const fresh = new DOMParser().parseFromString(await response.text(), 'text/html');
  document.title = fresh.title;
  const pairs = selectors.flatMap((selector) => {
    const [old, now] = [document.querySelector(selector), fresh.querySelector(selector)];
    if (!old || !now) console.warn(`${selector} is not on ${old ? 'the fresh' : 'this'} page, so it was not refreshed`);
    return old && now ? [{ old, now: /** @type {HTMLElement} */ (now) }] : [];
  });
  // A region within another comes along with it.
  const outer = pairs.filter(({ old }) => !pairs.some((other) => other.old !== old && other.old.contains(old)));
  const homeless = outer.flatMap(({ old, now }) => carry(old, now));
  document.dispatchEvent(new CustomEvent('brief:refreshed', { detail: { regions: selectors } }));
  if (!homeless.length) return '';
  return `A field you were typing in is no longer on the page. You had typed ${listInWords(homeless.map((text) => quoted(text, 2000)))}.`;
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
