/**
 * The one script that every page loads (`<script type="module" src=".../js/app.js">`).
 *
 * Pages are complete without it for reading; it makes the forms send, the pictures answer and the
 * panel fold. Each module listens on the document, so a region that is refreshed needs no re-wiring.
 */
import { wireBecause } from './form/because.js';
import { wireBench } from './instrument/bench.js';
import { wireBoards } from './rack/boards.js';
import { wireCopy } from './page/copy.js';
import { wireDrop } from './form/drop.js';
import { wireFilter } from './form/filter.js';
import { wireFullWindow } from './instrument/full-window.js';
import { wireFolds } from './form/folds.js';
import { wireLay } from './pairing/lay.js';
import { wireLentChoices } from './form/lent-choices.js';
import { wireInlayPlace } from './instrument/inlay-place.js';
import { wireLaying } from './instrument/placement.js';
import { wireJoin } from './sharing/join.js';
import { wireLoupe } from './instrument/loupe.js';
import { wireMarks } from './marking/marks.js';
import { wireMunsell } from './rack/munsell.js';
import { wirePanel } from './instrument/panel.js';
import { wireParts } from './instrument/parts.js';
import { wireNeighbours } from './page/neighbours.js';
import { wirePickColour } from './marking/pick-colour.js';
import { wireQuoting } from './sharing/quoting.js';
import { wireRegion } from './marking/region.js';
import { wireReveal } from './form/reveal.js';
import { wireSend } from './form/send.js';
import { wireShares } from './sharing/shares.js';
import { wireSpots } from './marking/spots.js';
import { wireSwitches } from './instrument/view-settings.js';
import { wireTextFile } from './form/textfile.js';
import { wireStudio } from './instrument/studio.js';
import { wireStepBack } from './pairing/step-back.js';
import { wireTicks } from './marking/ticks.js';
import { wireTries } from './instrument/tries.js';
import { say } from './page/said.js';
import { wireTurning } from './turning/turning.js';
import { wireTwoStates } from './rack/two-states.js';
import { wireUnsaved } from './form/unsaved.js';
import { enableWired } from './page/wired.js';

wireParts(); // before what asks for a line of theirs
wireFolds();
wireLentChoices(); // before what was chosen in them is brought back
wireTwoStates();
wireUnsaved();
wireSend();
wireReveal();
wireJoin();
wireBecause();
wireDrop();
wireFilter();
wireRegion();
wireQuoting();
wireMarks();
wireSpots();
wireCopy();
wireLoupe();
wireLay();
wireLaying();
wireInlayPlace();
wireMunsell();
wirePanel();
wireTries();
wireFullWindow();
wireTurning((words) => say(words, { stays: true }));
wireTextFile();
wireStepBack();
wireTicks();
wireStudio();
wireSwitches();
wireBoards();
wireBench();
wireShares();
wireNeighbours();
wirePickColour();

enableWired(document);
