/**
 * What to take care of with the piece that is chosen in a select box, before it is kept:
 *
 *   <select data-care-in="ID"> … <option data-care="wood dust" data-papers="on no list"> … </select>
 *   <div id="ID" aria-live="polite"></div>
 *
 * Nothing is said of what was chosen already: that stands beside the part.
 */

/** @param {HTMLSelectElement} select */
function tell(select) {
  const place = document.getElementById(select.dataset.careIn ?? '');
  const chosen = select.selectedOptions[0];
  if (!place || !chosen) return;
  const told = chosen.defaultSelected ? [] : [['Take care', chosen.dataset.care], ['Papers', chosen.dataset.papers]];
  place.replaceChildren(...told.filter(([, words]) => words).map(([head, words]) => {
    const line = document.createElement('p');
    const name = document.createElement('b');
    name.textContent = `${head}:`;
    line.append(name, ` ${words}`);
    return line;
  }));
}

export function wireCare() {
  for (const kind of ['input', 'change']) {
    document.addEventListener(kind, ({ target }) => {
      if (target instanceof HTMLSelectElement && target.dataset.careIn) tell(target);
    });
  }
  // What was chosen is carried over to a part that was refreshed.
  document.addEventListener('brief:refreshed', () => {
    for (const select of document.querySelectorAll('select[data-care-in]')) tell(/** @type {HTMLSelectElement} */ (select));
  });
}
