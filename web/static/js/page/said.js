/**
 * The live region `#said` (role=status): what has just happened, in one sentence, with at most one
 * thing to do about it. It has a strip of its own at the head of the page, which stays in sight and
 * moves the page down, so that it lies on nothing.
 */
import { bringIntoView } from './view.js';

const SHOWN_MS = 15_000;
const KEY = 'brief:said';
let timer = 0;

/** @returns {HTMLElement} */
function region() {
  const there = document.getElementById('said');
  if (there) return there;
  const made = document.createElement('div');
  made.id = 'said';
  made.setAttribute('role', 'status');
  document.body.prepend(made);
  return made;
}

/** How high the strip is, for what scrolls to below it; another in a window of another width. */
function measure() {
  document.documentElement.style.setProperty('--said', `${region().offsetHeight}px`);
}

/**
 * Fill the strip, or empty it. Where the head of the page is out of sight already, what is read
 * stays where it is.
 * @param {(Node | string)[]} [content]
 */
function fill(content = []) {
  const said = region();
  const below = /** @type {Element} */ (said.nextElementSibling);
  const before = below.getBoundingClientRect().top;
  const isScrolled = scrollY > 0;
  said.replaceChildren(...content);
  measure();
  addEventListener('resize', measure); // once, however often it is added
  if (isScrolled) scrollBy({ top: below.getBoundingClientRect().top - before, behavior: 'instant' });
  const cursor = document.activeElement;
  const under = said.getBoundingClientRect().bottom;
  if (!cursor || cursor === document.body || said.contains(cursor)) return;
  const { top, bottom } = cursor.getBoundingClientRect();
  if (top < under && bottom > 0) bringIntoView(cursor);
}

/** Leave by itself; at the head of the page, where all would move up, once that is out of sight. */
function leave() {
  if (scrollY >= region().offsetHeight) fill();
  else addEventListener('scroll', leave, { once: true, passive: true });
}

/**
 * @param {string} label
 * @param {() => void} run
 * @returns {HTMLButtonElement}
 */
function button(label, run) {
  const made = document.createElement('button');
  made.type = 'button';
  made.textContent = label;
  made.addEventListener('click', run);
  return made;
}

/**
 * Say something. A plain sentence leaves by itself; one with something to do, or one that must
 * not be missed, stays until it is used, closed or overtaken: nobody should have to hurry.
 * @param {string} text
 * @param {{label?: string, run?: () => void, stays?: boolean}} [options] a button, and whether to stay
 */
export function say(text, { label, run, stays = Boolean(label) } = {}) {
  const words = document.createElement('span');
  words.textContent = text;
  clearTimeout(timer);
  removeEventListener('scroll', leave);
  fill([
    words,
    ...(label && run ? [button(label, run)] : []),
    ...(stays ? [button('Close', () => fill())] : []),
  ]);
  timer = stays ? 0 : setTimeout(leave, SHOWN_MS);
}

/** What would leave by itself leaves now: what has happened since is another thing. */
export function overtake() {
  if (!timer) return;
  clearTimeout(timer);
  timer = 0;
  removeEventListener('scroll', leave);
  fill();
}

/**
 * Say it on the page that comes next.
 * @param {{text: string, removal?: {removed: string, take_back: string}}} message
 */
export function sayNext(message) {
  try {
    sessionStorage.setItem(KEY, JSON.stringify(message));
  } catch {
    // A browser that keeps nothing shows the next page without the sentence.
  }
}

/**
 * What the page before left to be said, once.
 * @returns {{text: string, removal?: {removed: string, take_back: string}} | null}
 */
export function leftToSay() {
  try {
    const kept = sessionStorage.getItem(KEY);
    sessionStorage.removeItem(KEY);
    return kept ? JSON.parse(kept) : null;
  } catch {
    return null;
  }
}
