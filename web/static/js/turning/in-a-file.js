/** The instrument that is turned in a file by mail, which has all that it needs within itself. */
import { offer } from './offer.js';
import { stage } from './stage.js';
import { wireTurning } from './turning.js';

wireTurning(offer(), async () => stage);
