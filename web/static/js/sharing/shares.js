/**
 * A link's address is told once, in the answer that made it. It stands in the element named by
 * the form's data-tells-once until the page is left, to be copied or sent on from the phone.
 */
export function wireShares() {
  document.addEventListener('brief:accepted', (event) => {
    const { form, answer } = /** @type {CustomEvent} */ (event).detail;
    const place = document.getElementById(form.dataset.tellsOnce ?? '');
    if (!place || !answer?.link) return;
    const field = /** @type {HTMLInputElement} */ (place.querySelector('input'));
    field.value = answer.link;
    const copy = /** @type {HTMLElement} */ (place.querySelector('[data-copy]'));
    copy.dataset.copy = answer.link;
    const send = /** @type {HTMLElement} */ (place.querySelector('[data-send-on]'));
    send.hidden = !navigator.share;
    send.onclick = () => navigator.share({ url: answer.link }).catch(() => {}); // left without sending
    /** @type {HTMLElement} */ (place.querySelector('[data-for]')).textContent = answer.name;
    place.hidden = false;
    field.focus();
    field.select();
  });
}
