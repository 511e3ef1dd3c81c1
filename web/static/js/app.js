/**
 * The one script that every page loads (`<script type="module" src=".../js/app.js">`).
 *
 * Pages are complete without it for reading; it makes the forms send, the pictures answer and the
 * panel fold. Each module listens on the document, so a region that is refreshed needs no re-wiring.
 */
import { wireBench } from './bench.js';
import { wireBoards } from './boards.js';
import { wireCare } from './care.js';
import { wireCloseup } from './closeup.js';
import { wireCopy } from './copy.js';
import { wireDrop } from './drop.js';
import { wireFilter } from './filter.js';
import { wireFolds } from './folds.js';
import { wireLaying } from './laying.js';
import { wireLoupe } from './loupe.js';
import { wireMarks } from './marks.js';
import { wireMunsell } from './munsell.js';
import { wirePanel } from './panel.js';
import { wireQuoting } from './quoting.js';
import { wireRegion } from './region.js';
import { wireReveal } from './reveal.js';
import { wireSend } from './send.js';
import { wireShares } from './shares.js';
import { wireSpots } from './spots.js';
import { wireSwitches } from './switches.js';
import { wireTextFile } from './textfile.js';
import { wireTicks } from './ticks.js';
import { wireUnsaved } from './unsaved.js';
import { enableWired } from './wired.js';

// What the scripts draw over pictures is styled beside them; a linked sheet satisfies the
// Content-Security-Policy where a style element would not.
const sheet = document.createElement('link');
sheet.rel = 'stylesheet';
sheet.href = new URL('overlays.css', import.meta.url).href;
document.head.prepend(sheet);

wireFolds();
wireUnsaved();
wireSend();
wireReveal();
wireDrop();
wireFilter();
wireRegion();
wireQuoting();
wireMarks();
wireSpots();
wireCopy();
wireLoupe();
wireLaying();
wireMunsell();
wirePanel();
wireCloseup();
wireTextFile();
wireTicks();
wireSwitches();
wireBoards();
wireCare();
wireBench();
wireShares();

enableWired(document);
