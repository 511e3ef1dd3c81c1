/** The instrument that a guest may turn; without this script there is no button for it. */
import { wireTurning } from './turning.js';

wireTurning();
for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-turn]'))) button.hidden = false;
