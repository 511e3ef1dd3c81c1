/**
 * Choosing a piece by eye: the rack as boards in `<dialog id="boards">` (boards.html says which
 * buttons open it), looked for and put in order by the server, a page at a time. The select box that
 * it chooses for stays the plain way.
 *
 * Up and down, Home and End move along the boards, Enter chooses, Escape leaves things as they are.
 */
const SVG = 'http://www.w3.org/2000/svg';
const OPENER = '[data-boards-for]';
// Of the board it is drawn on, in mm: what is seen, what the ground's photograph shows from side to
// side (the samples of the pairings take it for 150 mm, too), and the width of the line.
const [SEEN_WIDE, SEEN_HIGH, PHOTOGRAPH_WIDE, LINE] = [100, 9, 150, 1];
const CURVE = 'M-4 7.5C20 8 28 1.5 42 3.2S60 8.2 74 5 96 1.5 104 2';
const STEPS = /** @type {Record<string, number>} */ ({ ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1, Home: -Infinity, End: Infinity });

/** The button that the dialog was opened by; null while it is closed. */
let opener = /** @type {HTMLElement | null} */ (null);

/** @returns {HTMLDialogElement | null} */
const dialog = () => /** @type {HTMLDialogElement | null} */ (document.querySelector('dialog#boards'));
/** @param {string | undefined} id @returns {string} what is chosen in a select box */
const chosenIn = (id) => /** @type {HTMLSelectElement | null} */ (id && document.getElementById(id))?.value ?? '';

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
 * @param {{hex?: string, texture?: string}} ground its colour and its photograph
 * @param {string} hex
 */
function lineOn({ texture, hex: plain = 'none' }, hex) {
  const size = { width: PHOTOGRAPH_WIDE, height: SEEN_HIGH, x: (SEEN_WIDE - PHOTOGRAPH_WIDE) / 2 };
  const wood = texture
    ? drawn('image', { ...size, href: texture, preserveAspectRatio: 'xMidYMid slice' })
    : drawn('rect', { ...size, fill: plain });
  const line = drawn('path', { d: CURVE, fill: 'none', stroke: hex, 'stroke-width': LINE });
  const view = { viewBox: `0 0 ${SEEN_WIDE} ${SEEN_HIGH}`, preserveAspectRatio: 'xMidYMid slice', 'aria-hidden': 'true' };
  return drawn('svg', view, [wood, line]);
}

/**
 * Hang boards that have come: drawn on their ground, and the one that is chosen now marked.
 * @param {Element} rack the list of them, as the server has it
 * @returns {Element[]} its lines
 */
function hang(rack) {
  const { on, onHex, onTexture } = /** @type {HTMLElement} */ (rack).dataset;
  const now = chosenIn(opener?.dataset.boardsFor);
  for (const plank of /** @type {NodeListOf<HTMLButtonElement>} */ (rack.querySelectorAll('.plank'))) {
    const { hex, piece } = plank.dataset;
    if (on && hex) plank.querySelector('.mat')?.append(lineOn({ hex: onHex, texture: onTexture }, hex));
    if (piece !== now) continue;
    plank.setAttribute('aria-current', 'true');
    /** @type {HTMLElement} */ (plank.querySelector('.plank-now')).hidden = false;
  }
  return [...rack.children];
}

/** @returns {HTMLButtonElement[]} the boards that are shown, from top to bottom */
const standing = () => Array.from(/** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll('#boards .plank')));

/** One board is reached by Tab, the others from it by the arrows. @param {HTMLButtonElement | undefined} reached */
function reach(reached) {
  for (const plank of standing()) plank.tabIndex = plank === reached ? 0 : -1;
}

/** @param {HTMLElement} shown the dialog @param {string} page @returns {string} where the boards are that it asks for */
function address(shown, page) {
  const asked = new URLSearchParams({ page, on: chosenIn(opener?.dataset.boardsOn) });
  for (const { name, value, type, checked } of /** @type {NodeListOf<HTMLInputElement>} */ (shown.querySelectorAll('input[name]'))) {
    if (type !== 'radio' || checked) asked.set(name, value);
  }
  return `${shown.dataset.boardsAt}?${asked}`;
}

let latest = 0; // the last that was asked for counts, in whatever order they come

/**
 * Show the boards that are asked for; those of a further page below those that are there.
 * @param {HTMLDialogElement} shown
 * @param {string} [page]
 */
async function arrange(shown, page = '1') {
  const turn = ++latest;
  const status = /** @type {HTMLElement} */ (shown.querySelector('[role=status]'));
  let fresh;
  try {
    const response = await fetch(address(shown, page), { headers: { Accept: 'text/html' }, cache: 'no-store' });
    if (!response.ok) throw new Error(`the boards answered ${response.status}`);
    fresh = new DOMParser().parseFromString(await response.text(), 'text/html');
  } catch (fault) {
    console.warn(fault);
    if (turn === latest) status.textContent = 'The boards could not be fetched; close this and try again.';
    return;
  }
  const [list, found] = [shown.querySelector('.boards-rack'), fresh.querySelector('.boards-rack')];
  if (turn !== latest || !list || !found || !opener) return;
  const items = hang(found);
  if (page === '1') list.replaceChildren(...items);
  else list.append(...items);
  const first = /** @type {HTMLButtonElement | null | undefined} */ (items[0]?.querySelector('.plank'));
  if (page !== '1') first?.focus();
  reach(first ?? undefined);
  status.textContent = fresh.querySelector('[role=status]')?.textContent ?? '';
  shown.querySelector('[data-boards-more]')?.replaceChildren(...fresh.querySelectorAll('[data-boards-page]'));
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
async function open(shown, button, afresh) {
  opener = button;
  /** @type {HTMLElement} */ (shown.querySelector('h2')).textContent = button.getAttribute('aria-label') ?? button.textContent;
  if (afresh) clear(shown);
  shown.showModal();
  // Not the search field, which would bring a phone's keys up over the boards.
  /** @type {HTMLElement | null} */ (shown.querySelector('[type=submit]'))?.focus({ preventScroll: true });
  await arrange(shown);
  const cursor = document.activeElement;
  if (!shown.open || (cursor !== document.body && cursor?.getAttribute('type') !== 'submit')) return;
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
    const more = within(event, '[data-boards-page]');
    if (shown && button) open(shown, button, true);
    else if (shown && plank) choose(shown, plank.dataset.piece ?? '');
    else if (shown && more) arrange(shown, more.dataset.boardsPage);
  });
  document.addEventListener('input', (event) => {
    const shown = dialog();
    if (shown && within(event, '#boards')) arrange(shown);
  });
  document.addEventListener('keydown', (event) => {
    if (within(event, '#boards')) moveAlong(event);
  });
  // It does not bubble. It comes a moment late: the dialog may be open again.
  document.addEventListener('close', (event) => {
    const shut = dialog();
    if (!shut || event.target !== shut || shut.open) return;
    opener?.focus();
    opener = null;
    shut.querySelector('.boards-rack')?.replaceChildren();
  }, true);
  document.addEventListener('brief:refreshed', () => {
    // Brought up to date under the open dialog, button and dialog may each have a successor.
    const [shown, id] = [dialog(), opener?.dataset.boardsFor];
    if (!shown || !id) return;
    opener = document.querySelector(`[data-boards-for="${CSS.escape(id)}"]`);
    if (opener && !shown.open) open(shown, opener, false);
  });
}
