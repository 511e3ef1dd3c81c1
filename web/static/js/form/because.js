/**
 * A tick that a form cannot do without: why, beside it, instead of in the browser's own bubble.
 *
 *   <input type="checkbox" name="leave_out" required data-because="Tick this to …">
 */
import { clearProblem, showProblem } from './problem.js';

export function wireBecause() {
  document.addEventListener(
    'invalid',
    (event) => {
      const box = event.target;
      if (!(box instanceof HTMLInputElement) || !box.form || !box.dataset.because) return;
      event.preventDefault();
      showProblem(box.form, { detail: '', errors: [{ pointer: `/${box.name}`, detail: box.dataset.because }] });
    },
    true, // it does not bubble
  );
  document.addEventListener('change', (event) => {
    const box = event.target;
    if (box instanceof HTMLInputElement && box.form && box.dataset.because && box.checked) clearProblem(box.form);
  });
}
