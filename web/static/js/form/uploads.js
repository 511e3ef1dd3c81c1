/**
 * One file on its way to the API: its line in the list, its progress, its outcome in words.
 *
 * XMLHttpRequest, because fetch does not tell how much of a body has been sent, and photographs
 * over a workshop's wireless take long enough to want to know.
 */
import { readProblem } from './problem.js';
import { ofWorkshop } from './workshop.js';

/** @typedef {{label: string, run: () => void}} WayOut a button beside what went wrong */

const LONGEST_SOURCE = 500; // as long as the API takes one
const FEW = 6; // lines that may stand; more push what is below out of sight

/**
 * Why a file is not even sent, or null. Pure.
 * @param {{name: string, type: string, size: number}} file
 * @param {{accept: string, maxBytes: number, inWords: (bytes: number) => string}} limits maxBytes 0: no limit
 * @returns {string | null}
 */
export function refusal(file, { accept, maxBytes, inWords }) {
  const kinds = accept.toLowerCase().split(',').map((kind) => kind.trim()).filter(Boolean);
  const name = file.name.toLowerCase();
  // A file whose type the system does not know (HEIC on many) is for the server to judge.
  const fits =
    !kinds.length ||
    !file.type ||
    kinds.some((kind) => (kind.startsWith('.') ? name.endsWith(kind) : kind.endsWith('/*') ? file.type.startsWith(kind.slice(0, -1)) : file.type === kind));
  if (!fits) return 'not sent: this kind of file cannot be added here';
  if (maxBytes && file.size > maxBytes) return `not sent: ${inWords(file.size)}, more than the ${inWords(maxBytes)} allowed`;
  if (!file.size) return 'not sent: the file is empty';
  return null;
}

/**
 * The web address that dragged or copied pictures came from, or "" where the browser hands none over. Pure.
 *
 * First what the picture leads to or is (text/uri-list, RFC 2483: "#" begins a comment), else the
 * address in the piece of page that comes along. Nothing is fetched from there.
 * @param {{getData: (type: string) => string} | null} transfer
 * @returns {string}
 */
export function cameFrom(transfer) {
  const listed = transfer?.getData('text/uri-list').split(/\r?\n/) ?? [];
  const shown = /<img[^>]*\ssrc\s*=\s*["']?([^"'\s>]+)/i.exec(transfer?.getData('text/html') ?? '');
  const addresses = [...listed, (shown?.[1] ?? '').replaceAll('&amp;', '&')];
  return addresses.map((one) => one.trim()).find((one) => /^https?:\/\//i.test(one) && one.length <= LONGEST_SOURCE) ?? '';
}

/**
 * The line of a file in the list.
 * @param {string} name
 * @returns {{line: HTMLLIElement, waiting: () => void, sent: (share: number) => void, added: (id: string, words: string) => void, failed: (why: string, waysOut?: WayOut[]) => void}}
 */
export function fileLine(name) {
  const line = document.createElement('li');
  const title = document.createElement('span');
  title.className = 'file-name';
  title.textContent = name;
  const bar = document.createElement('progress');
  bar.max = 1;
  bar.setAttribute('aria-label', name);
  const outcome = document.createElement('span');
  outcome.className = 'outcome';
  const end = (/** @type {string} */ state, /** @type {string} */ words) => {
    line.dataset.state = state;
    outcome.classList.toggle('fault', state === 'failed');
    outcome.textContent = words;
  };
  return {
    line,
    waiting: () => {
      bar.value = 0;
      end('waiting', 'waiting');
      line.replaceChildren(title, ' ', bar, ' ', outcome);
    },
    sent: (share) => {
      bar.value = share;
      end('sending', share < 1 ? `${Math.floor(share * 100)} % sent` : 'sent, being read');
    },
    added: (id, words) => {
      end('added', words);
      const there = document.createElement('a');
      there.href = `#${id}`;
      there.textContent = name;
      title.replaceChildren(id ? there : name);
      line.replaceChildren(title, ' ', outcome);
    },
    failed: (why, waysOut = []) => {
      end('failed', why);
      line.replaceChildren(title, ' ', outcome);
      for (const { label, run } of waysOut) {
        const button = document.createElement('button');
        button.type = 'button';
        button.textContent = label;
        button.setAttribute('aria-label', `${label}: ${name}`);
        button.addEventListener('click', run);
        line.append(' ', button);
      }
    },
  };
}

/**
 * Fold the lines of what went well into one, where they are many.
 * @param {Element} list
 */
export function foldAdded(list) {
  const added = list.querySelectorAll(':scope > [data-state="added"]');
  if (added.length <= FEW) return;
  const fold = document.createElement('details');
  fold.className = 'fold';
  const summary = document.createElement('summary');
  summary.textContent = `${added.length} files added`;
  const lines = document.createElement('ol');
  lines.append(...added);
  fold.append(summary, lines);
  const line = document.createElement('li');
  line.dataset.state = 'added';
  line.append(fold);
  list.prepend(line);
}

/**
 * Send one file. Never rejects: the outcome is told.
 * @param {{address: string, verb?: string, etag?: string}} to the etag is sent as If-Match
 * @param {FormData} body
 * @param {(share: number) => void} onSent 0 to 1
 * @returns {Promise<{answer: any} | {wrong: string, passing: boolean, status: number}>} passing: trying again may help; status 0: not reached
 */
export function upload({ address, verb, etag }, body, onSent) {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    request.open((verb || 'post').toUpperCase(), address);
    if (etag) request.setRequestHeader('If-Match', etag);
    request.setRequestHeader('Accept', 'application/json');
    for (const [name, value] of Object.entries(ofWorkshop())) request.setRequestHeader(name, value);
    request.upload.addEventListener('progress', (event) => {
      if (event.lengthComputable) onSent(event.loaded / event.total);
    });
    request.addEventListener('load', () => {
      if (request.status >= 200 && request.status < 300) return resolve({ answer: request.responseText ? JSON.parse(request.responseText) : null });
      const problem = readProblem(request.status, request.responseText);
      const faults = (problem.errors ?? []).map((one) => one.detail).filter((one) => one !== problem.detail);
      resolve({ wrong: [problem.detail ?? problem.title, ...faults].join(' '), passing: request.status >= 500 || [401, 429].includes(request.status), status: request.status });
    });
    for (const end of ['error', 'abort', 'timeout']) {
      request.addEventListener(end, () => resolve({ wrong: 'the brief could not be reached; the file is still here', passing: true, status: 0 }));
    }
    request.send(body);
  });
}
