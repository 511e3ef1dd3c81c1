/** Several fields with the same thousand choices: the first has them, and lends them to the others. */
export function wireLentChoices() {
  for (const field of /** @type {NodeListOf<HTMLSelectElement>} */ (document.querySelectorAll('select[data-choices-of]'))) {
    const lender = document.getElementById(field.dataset.choicesOf ?? '');
    field.append(...[...(lender?.querySelectorAll('optgroup') ?? [])].map((group) => group.cloneNode(true)));
  }
}
