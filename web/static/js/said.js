/**
 * The live region `#said` (role=status): what has just happened, in one sentence, with at most one
 * thing to do about it.
 */

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
  document.body.append(made);
  return made;
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
  const said = region();
  const words = document.createElement('span');
  words.textContent = text;
  said.replaceChildren(words);
  if (label && run) said.append(' ', button(label, run));
  clearTimeout(timer);
  if (stays) said.append(' ', button('Close', () => said.replaceChildren()));
  else timer = setTimeout(() => said.replaceChildren(), SHOWN_MS);
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
