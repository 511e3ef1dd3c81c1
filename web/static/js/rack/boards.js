/**
 * Choosing a piece by eye: the rack as boards in `<dialog id="boards">` (boards.html says which
 * buttons open it). The select box that it chooses for stays the plain way.
 *
 * Up and down, Home and End move along the boards, Enter chooses, Escape leaves things as they are.
 */
import { answers, countInWords, inOrder } from './boards-order.js';

const SVG = 'http://www.w3.org/2000/svg';
const OPENER = '[data-boards-for]';
// Of the board it is drawn on, in mm: what is seen, what the ground's photograph shows from side to
// side (the samples of the pairings take it for 150 mm, too), and the width of the line.
const [SEEN_WIDE, SEEN_HIGH, PHOTOGRAPH_WIDE, LINE] = [100, 9, 150, 1];
const CURVE = 'M-4 7.5C20 8 28 1.5 42 3.2S60 8.2 74 5 96 1.5 104 2';
const STEPS = /** @type {Record<string, number>} */ ({ ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1, Home: -Infinity, End: Infinity });

/** @typedef {{find: string, stuff: string, lab: number[] | null, plank: HTMLButtonElement}} Hung */

/** The button that the dialog was opened by; null while it is closed. */
let opener = /** @type {HTMLElement | null} */ (null);
/** The boards as on the rack. */
let boards = /** @type {Hung[]} */ ([]);

/** @returns {HTMLDialogElement | null} */
const dialog = () => /** @type {HTMLDialogElement | null} */ (document.querySelector('dialog#boards'));
/** @param {string | undefined} id @returns {string} what is chosen in a select box */
const chosenIn = (id) => /** @type {HTMLSelectElement | null} */ (id && document.getElementById(id))?.value ?? '';
const labOf = (/** @type {string | undefined} */ text) => (text ? text.split(',').map(Number) : null);

/**
 * @param {string} name
 * @param {Record<string, string | number>} [attributes]
 * @param {Element[]} [children]
 */
function drawn(name, attributes = {}, children = []) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.append(...children);
  return made;
}

/**
 * A line of a piece's colour in the photograph of its ground.
 * @param {HTMLElement} ground the ground's own board
 * @param {string} hex
 */
function lineOn(ground, hex) {
  const { texture, hex: plain = 'none' } = ground.dataset;
  const size = { width: PHOTOGRAPH_WIDE, height: SEEN_HIGH, x: (SEEN_WIDE - PHOTOGRAPH_WIDE) / 2 };
  const wood = texture
    ? drawn('image', { ...size, href: texture, preserveAspectRatio: 'xMidYMid slice' })
    : drawn('rect', { ...size, fill: plain });
  const line = drawn('path', { d: CURVE, fill: 'none', stroke: hex, 'stroke-width': LINE });
  const view = { viewBox: `0 0 ${SEEN_WIDE} ${SEEN_HIGH}`, preserveAspectRatio: 'xMidYMid slice', 'aria-hidden': 'true' };
  return drawn('svg', view, [wood, line]);
}

/**
 * Hang the boards: made anew at each opening, since the ground may be another.
 * @param {HTMLDialogElement} shown
 * @param {HTMLElement} button
 */
function hang(shown, button) {
  const template = /** @type {HTMLTemplateElement | null} */ (shown.querySelector('template'));
  const all = /** @type {HTMLButtonElement[]} */ ([...(template?.content.querySelectorAll('.plank') ?? [])]);
  const groundId = chosenIn(button.dataset.boardsOn);
  const ground = groundId && all.find((plank) => plank.dataset.piece === groundId);
  const now = chosenIn(button.dataset.boardsFor);
  boards = [];
  for (const kept of all) {
    // Nothing is set into itself.
    if (kept === ground) continue;
    const item = /** @type {HTMLElement} */ (document.importNode(/** @type {HTMLElement} */ (kept.parentElement), true));
    const plank = /** @type {HTMLButtonElement} */ (item.querySelector('.plank'));
    const { find = '', stuff = '', lab, hex, piece } = plank.dataset;
    if (ground && hex) plank.querySelector('.mat')?.append(lineOn(ground, hex));
    if (piece === now) {
      plank.setAttribute('aria-current', 'true');
      /** @type {HTMLElement} */ (plank.querySelector('.plank-now')).hidden = false;
    }
    boards.push({ find, stuff, lab: labOf(lab), plank });
  }
}

/** @returns {HTMLButtonElement[]} the boards that are shown, from top to bottom */
const standing = () => Array.from(/** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll('#boards .plank')));

/** One board is reached by Tab, the others from it by the arrows. @param {HTMLButtonElement | undefined} reached */
function reach(reached) {
  for (const { plank } of boards) plank.tabIndex = plank === reached ? 0 : -1;
}

/** Show what is asked for, in the order asked for. @param {HTMLDialogElement} shown */
function arrange(shown) {
  const list = shown.querySelector('.boards-rack');
  if (!list) return;
  const picked = (/** @type {string} */ name) => /** @type {HTMLInputElement | null} */ (shown.querySelector(`[name="boards-${name}"]:checked`))?.value ?? '';
  const words = /** @type {HTMLInputElement} */ (shown.querySelector('#boards-words')).value;
  const asked = boards.filter((board) => answers(board, { words, stuff: picked('stuff') }));
  const planks = inOrder(asked, picked('order')).map(({ plank }) => plank);
  list.replaceChildren(...planks.map((plank) => /** @type {HTMLElement} */ (plank.parentElement)));
  reach(planks[0]);
  /** @type {HTMLElement} */ (shown.querySelector('[role=status]')).textContent = countInWords(planks.length, boards.length);
}

/** Nothing typed, all stuffs, as on the rack. @param {HTMLDialogElement} shown */
function clear(shown) {
  const words = /** @type {HTMLInputElement | null} */ (shown.querySelector('#boards-words'));
  if (words) words.value = '';
  for (const id of ['boards-stuff-all', 'boards-order-rack']) {
    const radio = /** @type {HTMLInputElement | null} */ (document.getElementById(id));
    if (radio) radio.checked = true;
  }
}

/** @param {HTMLDialogElement} shown @param {HTMLElement} button @param {boolean} afresh */
function open(shown, button, afresh) {
  opener = button;
  /** @type {HTMLElement} */ (shown.querySelector('h2')).textContent = button.getAttribute('aria-label') ?? button.textContent;
  if (afresh) clear(shown);
  hang(shown, button);
  arrange(shown);
  shown.showModal();
  // Not the search field, which would bring a phone's keys up over the boards.
  standing()[0]?.focus({ preventScroll: true });
  shown.scrollTop = 0;
}

/** @param {HTMLDialogElement} shown @param {string} piece */
function choose(shown, piece) {
  const select = /** @type {HTMLSelectElement | null} */ (document.getElementById(opener?.dataset.boardsFor ?? ''));
  if (select) {
    select.value = piece;
    for (const kind of ['input', 'change']) select.dispatchEvent(new Event(kind, { bubbles: true }));
  }
  shown.close();
}

/** @param {KeyboardEvent} event */
function moveAlong(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  const planks = standing();
  const at = planks.indexOf(/** @type {HTMLButtonElement} */ (target));
  const step = STEPS[event.key];
  // From the search field only downwards: its own keys are left to it, and the radio buttons theirs.
  if (step === undefined || !planks.length || (at < 0 && !(target.id === 'boards-words' && event.key === 'ArrowDown'))) return;
  event.preventDefault();
  const next = planks[at < 0 ? 0 : Math.min(planks.length - 1, Math.max(0, at + step))];
  reach(next);
  next.focus();
}

/** @param {Event} event @param {string} selector @returns {HTMLElement | null} */
const within = (event, selector) => (event.target instanceof Element ? event.target.closest(selector) : null);

export function wireBoards() {
  document.addEventListener('click', (event) => {
    const shown = dialog();
    const button = within(event, OPENER);
    const plank = within(event, '#boards .plank');
    if (shown && button) open(shown, button, true);
    else if (shown && plank) choose(shown, plank.dataset.piece ?? '');
  });
  document.addEventListener('input', (event) => {
    const shown = dialog();
    if (shown && within(event, '#boards')) arrange(shown);
  });
  document.addEventListener('keydown', (event) => {
    if (within(event, '#boards')) moveAlong(event);
  });
  // It does not bubble.
  document.addEventListener('close', (event) => {
    if (event.target !== dialog()) return;
    opener?.focus();
    opener = null;
    boards = [];
    dialog()?.querySelector('.boards-rack')?.replaceChildren();
  }, true);
  document.addEventListener('brief:refreshed', () => {
    // Brought up to date under the open dialog, button and dialog may each have a successor.
    const [shown, id] = [dialog(), opener?.dataset.boardsFor];
    if (!shown || !id) return;
    opener = document.querySelector(`[data-boards-for="${CSS.escape(id)}"]`);
    if (opener && !shown.open) open(shown, opener, false);
  });
}
