/** The instrument that a guest may turn; without this script there is no button for it. */
import { offer } from './offer.js';
import { wireTurning } from './turning.js';

wireTurning(offer());
