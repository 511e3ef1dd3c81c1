/**
 * The Studio sheet: while pictures are under way, `#under-way` is fetched again, which the server
 * draws; once one has ended, the pictures are, too.
 */
import { refresh, whenCome } from '../page/refresh.js';

const EACH_MS = 1200;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;
/** @type {string | undefined} */
let ended;

function region() {
  return document.getElementById('under-way');
}

function look() {
  const here = region();
  if (!here || here.dataset.open === undefined) return;
  const now = here.dataset.ended ?? '';
  const isNews = ended !== undefined && now !== ended;
  ended = now;
  if (isNews) void refresh('#studio-pictures #studio-earlier');
  clearTimeout(timer);
  // Looked at again also where that could not be fetched: the network of a phone comes and goes.
  if (Number(here.dataset.open)) timer = setTimeout(() => void refresh('#under-way').finally(look), EACH_MS);
}

/** Look whether anything is under way, and keep looking while it is. */
export function wireStudio() {
  whenCome(look);
  if (region()) void refresh('#under-way');
}
