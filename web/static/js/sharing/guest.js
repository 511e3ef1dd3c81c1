/**
 * What a guest does on a shared brief: speak of the whole, of one thing, of a spot on a picture, of
 * some words in a text. One plain script without imports, because it is also written into the file
 * that goes by mail, and a browser lets no page from the disk load modules.
 *
 * <main data-guest data-post="/s/…">            by a link: each comment is sent at once
 * <main data-guest data-save="brief IRI">       from a file: comments are kept here, and saved as a
 *                                               file of W3C Web Annotations to be mailed back
 */
'use strict';
(() => {
  const page = /** @type {HTMLElement | null} */ (document.querySelector('[data-guest]'));
  const pattern = /** @type {HTMLTemplateElement | null} */ (document.getElementById('speak-form'));
  if (!page || !pattern) return;
  const { post, save, title = '', exported = '' } = page.dataset;
  const SPOT = 8; // percent of the picture: what a finger can point at
  const FINGER = 12; // CSS px from its middle to its edge: half of WCAG 2.2, 2.5.8
  const AROUND = 32; // characters kept before and after some words, to find them again by
  const CONTEXT = 'http://www.w3.org/ns/anno.jsonld';
  const MEDIA_FRAGMENTS = 'http://www.w3.org/TR/media-frags/';

  /** @typedef {{id: string, kind: string, about: string, iri: string, label: string, region: string, quote: {exact: string, prefix: string, suffix: string} | null, author: string, text: string, created: string, chosen?: string, choice?: number}} Said */

  // What is kept in this browser: the first name, what is half written, and, in a file, what was
  // said. Where nothing can be kept (a private window), all of it lasts as long as the page.
  const place = `guest:${save ?? location.pathname}:`;
  const memory = new Map();
  /** @param {string} key @param {string} [value] undefined forgets it */
  function keep(key, value) {
    try {
      if (value === undefined) localStorage.removeItem(place + key);
      else localStorage.setItem(place + key, value);
      memory.delete(key);
    } catch {
      memory.set(key, value);
    }
  }
  /** @param {string} key @returns {string} */
  function kept(key) {
    if (memory.has(key)) return memory.get(key) ?? '';
    try {
      return localStorage.getItem(place + key) ?? '';
    } catch {
      return '';
    }
  }

  /** Read afresh each time: the same file may be open a second time. @returns {Said[]} */
  const keptSaid = () => (save ? JSON.parse(kept('said') || '[]') : []);
  let said = keptSaid();

  /** @param {(before: Said[]) => Said[]} how */
  function changeSaid(how) {
    said = how(keptSaid());
    keep('said', JSON.stringify(said));
  }

  /** @param {Element} inner @returns {HTMLElement | null} */
  const thingOf = (inner) => inner.closest('[data-thing]');
  const one = (/** @type {ParentNode} */ within, /** @type {string} */ selector) => /** @type {any} */ (within.querySelector(selector));

  // The form, in the place where it was asked for; one at a time.

  /** @type {HTMLFormElement | null} */
  let form = null;
  /** @type {{thing: HTMLElement, quote: Said['quote'], region: string, layer: HTMLElement | null}} */
  let about;

  function close() {
    if (!form) return;
    about.layer?.remove();
    form.closest('[data-thing]')?.removeAttribute('data-speaking');
    form.remove();
    form = null;
  }

  /** @param {HTMLElement} thing @param {Said['quote']} [quote] */
  function open(thing, quote = null) {
    close();
    const speaking = /** @type {HTMLFormElement} */ (one(/** @type {any} */ (pattern).content.cloneNode(true), 'form'));
    form = speaking;
    about = { thing, quote, region: '', layer: null };
    one(speaking, '[data-about]').textContent = thing.dataset.label;
    const words = one(speaking, '[data-words]');
    words.hidden = !quote;
    words.textContent = quote ? `“${quote.exact}”` : '';
    one(speaking, '[name=author]').value = kept('author');
    one(speaking, '[name=text]').value = kept(`draft:${thing.dataset.id}`);
    one(speaking, '[data-point]').hidden = !pictureOf(thing);
    one(thing, '[data-speak-here]').append(speaking);
    thing.setAttribute('data-speaking', '');
    one(speaking, '[name=text]').focus();
  }

  // A spot: a small rectangle after a tap, or as large as it is dragged; moved by the arrow keys.

  /** @param {HTMLElement} thing @returns {HTMLElement | null} */
  const pictureOf = (thing) => one(thing, '[data-spot]');

  /** @param {string} region as the API has it @returns {{x: number, y: number, w: number, h: number}} percent */
  function boxOf(region) {
    const [x, y, w, h] = region.replace('xywh=percent:', '').split(',').map(Number);
    return { x, y, w, h };
  }

  /** @param {HTMLElement} element on a picture @param {{x: number, y: number, w: number, h: number}} box percent of it */
  function lie(element, { x, y, w, h }) {
    Object.assign(element.style, { left: `${x}%`, top: `${y}%`, width: `${w}%`, height: `${h}%` });
  }

  /** @param {{x: number, y: number, w: number, h: number}} box percent */
  function putSpot({ x, y, w, h }) {
    const width = Math.min(Math.max(w, 2), 100);
    const height = Math.min(Math.max(h, 2), 100);
    const at = { x: Math.min(Math.max(x, 0), 100 - width), y: Math.min(Math.max(y, 0), 100 - height), w: width, h: height };
    const ring = one(/** @type {HTMLElement} */ (about.layer), '.spot-ring');
    ring.hidden = false;
    lie(ring, at);
    const plain = (/** @type {number} */ value) => String(Math.round(value * 10) / 10);
    about.region = `xywh=percent:${[at.x, at.y, at.w, at.h].map(plain).join(',')}`;
    ring.setAttribute('aria-label', `The spot: ${plain(at.x)} % from the left, ${plain(at.y)} % from the top`);
    if (form) one(form, '[data-no-point]').hidden = false;
    return at;
  }

  /** @param {boolean} byKey */
  function startPointing(byKey) {
    const picture = pictureOf(about.thing);
    if (!picture || !form) return;
    if (!about.layer) {
      const layer = document.createElement('div');
      layer.className = 'spot-layer';
      layer.innerHTML = '<div class="spot-ring" tabindex="0" role="group" hidden></div>';
      picture.append(layer);
      about.layer = layer;
      wireLayer(layer);
    }
    one(form, '[data-point]').setAttribute('aria-pressed', 'true');
    one(form, '[data-point-how]').hidden = false;
    picture.scrollIntoView({ block: 'nearest' });
    if (!byKey) return;
    putSpot({ x: 46, y: 46, w: SPOT, h: SPOT });
    one(about.layer, '.spot-ring').focus();
  }

  function stopPointing() {
    about.layer?.remove();
    about.layer = null;
    about.region = '';
    if (!form) return;
    one(form, '[data-point]').setAttribute('aria-pressed', 'false');
    one(form, '[data-no-point]').hidden = true;
    one(form, '[data-point-how]').hidden = true;
    one(form, '[data-point]').focus();
  }

  /** @param {HTMLElement} layer */
  function wireLayer(layer) {
    /** @type {{x: number, y: number} | null} */
    let from = null;
    const at = (/** @type {PointerEvent} */ event) => {
      const box = layer.getBoundingClientRect();
      return { x: ((event.clientX - box.left) / box.width) * 100, y: ((event.clientY - box.top) / box.height) * 100 };
    };
    layer.addEventListener('pointerdown', (event) => {
      from = at(event);
      layer.setPointerCapture(event.pointerId);
      putSpot({ x: from.x - SPOT / 2, y: from.y - SPOT / 2, w: SPOT, h: SPOT });
      event.preventDefault();
    });
    layer.addEventListener('pointermove', (event) => {
      if (!from) return;
      const to = at(event);
      const [w, h] = [Math.abs(to.x - from.x), Math.abs(to.y - from.y)];
      if (w > 2 || h > 2) putSpot({ x: Math.min(from.x, to.x), y: Math.min(from.y, to.y), w, h });
    });
    for (const end of ['pointerup', 'pointercancel']) layer.addEventListener(end, () => { from = null; });
    layer.addEventListener('keydown', (event) => {
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (!step || !about.region) return;
      event.preventDefault();
      const { x, y, w, h } = boxOf(about.region);
      if (event.shiftKey) putSpot({ x, y, w: w + step[0] * 2, h: h + step[1] * 2 });
      else putSpot({ x: x + step[0] * 2, y: y + step[1] * 2, w, h });
    });
  }

  // Some words of a text.

  /** @param {HTMLElement} thing @returns {Said['quote']} */
  function markedIn(thing) {
    const text = one(thing, '[data-quotable]');
    const marked = getSelection();
    if (!text || !marked?.rangeCount || marked.isCollapsed) return null;
    const range = marked.getRangeAt(0);
    if (!text.contains(range.startContainer) || !text.contains(range.endContainer)) return null;
    const before = document.createRange();
    before.setStart(text, 0);
    before.setEnd(range.startContainer, range.startOffset);
    const start = before.toString().length;
    const exact = range.toString();
    const whole = text.textContent ?? '';
    if (!exact.trim()) return null;
    return { exact, prefix: whole.slice(Math.max(0, start - AROUND), start), suffix: whole.slice(start + exact.length, start + exact.length + AROUND) };
  }

  document.addEventListener('selectionchange', () => {
    for (const button of document.querySelectorAll('[data-speak-words]')) {
      const thing = thingOf(button);
      /** @type {HTMLElement} */ (button).hidden = !thing || !markedIn(thing);
    }
  });

  // Sending, or keeping until it is saved.

  /** @param {string} words @param {string} [field] */
  function fault(words, field) {
    if (!form) return;
    const box = one(form, '.problem');
    box.textContent = words;
    for (const control of form.querySelectorAll('[name]')) control.removeAttribute('aria-invalid');
    const wrong = field && one(form, `[name=${field}]`);
    if (!wrong) return;
    wrong.setAttribute('aria-invalid', 'true');
    wrong.focus();
  }

  /** @param {Said} item @returns {Promise<{words: string, field?: string} | null>} what went wrong */
  async function deliver(item) {
    if (save) {
      const replaced = (/** @type {Said} */ other) => item.kind === 'question' && other.about === item.about && other.author === item.author;
      changeSaid((before) => [...before.filter((other) => !replaced(other)), item]); // of choices the newest counts
      return null;
    }
    let to = `${post}/comments`;
    /** @type {Record<string, unknown>} */
    let body = { about_kind: item.kind, about_id: item.about, author: item.author, text: item.text };
    if (item.region) body.region = item.region;
    if (item.quote) Object.assign(body, { quote: item.quote.exact, quote_prefix: item.quote.prefix, quote_suffix: item.quote.suffix });
    if (item.kind === 'question') {
      to = `${post}/answers`;
      body = { question_id: item.about, choice: item.choice, author: item.author, why: item.text };
    }
    try {
      const answer = await fetch(to, { method: 'POST', headers: { 'Content-Type': 'application/json', Accept: 'application/json' }, body: JSON.stringify(body) });
      if (answer.ok) return null;
      const problem = await answer.json().catch(() => ({}));
      return { words: problem.detail ?? `It was not saved (${answer.status}). Try again.`, field: problem.errors?.[0]?.pointer.slice(1).split('/')[0] };
    } catch {
      return { words: 'It did not get through. What you wrote is still here; try again.' };
    }
  }

  /** @param {SubmitEvent} event */
  async function submit(event) {
    event.preventDefault();
    const sending = form;
    if (!sending) return;
    const text = one(sending, '[name=text]').value.trim();
    const author = one(sending, '[name=author]').value.trim();
    if (!text) return fault('Write your comment first.', 'text');
    if (!author) return fault('Add your first name, so that the maker knows who you are.', 'author');
    const { thing } = about;
    const { id = '', kind = '', iri = '', label = '' } = thing.dataset;
    const button = one(sending, '[type=submit]');
    button.disabled = true;
    /** @type {Said} */
    const item = { id: `urn:uuid:${uuid()}`, kind: thing.dataset.thing ?? kind, about: id, iri, label, region: about.region, quote: about.quote, author, text, created: new Date().toISOString() };
    const wrong = await deliver(item);
    button.disabled = false;
    const still = form === sending; // another one may have been opened meanwhile
    if (wrong) return still ? fault(wrong.words, wrong.field) : tell(wrong.words);
    keepName(author);
    keep(`draft:${id}`);
    show(item, thing);
    if (still) {
      close();
      one(thing, '[data-speak]')?.focus();
    }
    tell(save ? 'Saved in this page. Save the file when you are done.' : 'Thank you. The maker has it now.');
  }

  /** A choice of this or that. @param {HTMLFormElement} asking */
  async function choose(asking) {
    const box = one(asking, '.problem');
    box.textContent = '';
    const picked = one(asking, '[name=choice]:checked');
    const name = one(asking, '[name=author]');
    const author = name.value.trim();
    if (!picked) {
      box.textContent = 'Choose one of them first.';
      return one(asking, '[name=choice]').focus();
    }
    if (!author) {
      box.textContent = 'Add your first name, so that the maker knows who you are.';
      return name.focus();
    }
    const { question = '', iri = '', label = '' } = asking.dataset;
    /** @type {Said} */
    const item = { id: `urn:uuid:${uuid()}`, kind: 'question', about: question, iri, label, region: '', quote: null, author, text: one(asking, '[name=why]').value.trim(), created: new Date().toISOString(), chosen: picked.dataset.iri, choice: Number(picked.value) };
    const button = one(asking, '[type=submit]');
    button.disabled = true;
    const wrong = await deliver(item);
    button.disabled = false;
    if (wrong) {
      box.textContent = wrong.words;
      return;
    }
    keepName(author);
    show(item, asking);
    tell(save ? 'Your choice is saved in this page. Save the file when you are done.' : 'Thank you. Your choice is saved; you can still change it.');
  }

  /** The first name is asked for once. @param {string} author */
  function keepName(author) {
    keep('author', author);
    for (const field of document.querySelectorAll('[data-question] [name=author]')) {
      const name = /** @type {HTMLInputElement} */ (field);
      name.value ||= author;
    }
  }

  /** A random UUID; `crypto.randomUUID` is missing on pages that came without TLS. */
  function uuid() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40; // RFC 9562, version 4
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, '$1-$2-$3-$4-');
  }

  /** Where the comment is, on the picture. @param {string} region @param {HTMLElement} thing @returns {HTMLElement} */
  function spotMark(region, thing) {
    const mark = document.createElement('div');
    mark.className = 'spot-mark';
    lie(mark, boxOf(region));
    pictureOf(thing)?.append(mark);
    return mark;
  }

  /** @param {Said} item @param {HTMLElement} thing */
  function show(item, thing) {
    const list = one(thing, '[data-said]');
    const row = document.createElement('div');
    row.className = 'said own';
    row.dataset.author = item.author;
    const who = document.createElement('p');
    who.className = 'small soft';
    const name = document.createElement('bdi');
    name.textContent = item.author;
    who.append(name, `${save ? '' : ', just now'}${item.region ? ' · on a spot' : ''}`);
    const words = document.createElement('p');
    words.dir = 'auto';
    words.textContent = (item.quote ? `On “${item.quote.exact}”: ` : '') + item.text;
    if (item.kind === 'question') {
      const radio = one(thing, `[name=choice][value="${Number(item.choice)}"]`);
      words.textContent = [radio?.parentElement.textContent.trim(), item.text].filter(Boolean).join(': ');
      for (const before of list.querySelectorAll('.own')) if (before.dataset.author === item.author) before.remove();
    }
    row.append(who, words);
    const mark = item.region ? spotMark(item.region, thing) : null;
    if (save) {
      const away = document.createElement('button');
      away.type = 'button';
      away.className = 'as-link';
      away.textContent = 'Remove';
      away.addEventListener('click', () => {
        changeSaid((before) => before.filter((other) => other.id !== item.id));
        row.remove();
        mark?.remove();
        count();
      });
      row.append(away);
    }
    list.append(row);
    count();
  }

  /** @param {string} words @param {boolean} [inBar] beside the button that was pressed, too */
  function tell(words, inBar = false) {
    const line = document.getElementById('told');
    if (line) line.textContent = words;
    if (inBar) one(document, '[data-next]').textContent = words;
  }

  // The file to mail back: https://www.w3.org/TR/annotation-model/

  function count() {
    const bar = document.getElementById('to-save');
    if (!bar) return;
    bar.hidden = !said.length;
    one(bar, '[data-count]').textContent = said.length === 1 ? '1 comment' : `${said.length} comments`;
  }

  /** @param {Said} item */
  function annotation(item) {
    const words = { type: 'TextualBody', value: item.text, format: 'text/plain' };
    const who = { id: item.id, type: 'Annotation', creator: { type: 'Person', name: item.author }, created: item.created };
    if (item.kind === 'question') {
      const chosen = { type: 'SpecificResource', source: item.chosen, purpose: 'classifying' };
      return { ...who, motivation: 'assessing', body: item.text ? [chosen, words] : [chosen], target: item.iri };
    }
    const target = item.region
      ? { source: item.iri, selector: { type: 'FragmentSelector', conformsTo: MEDIA_FRAGMENTS, value: item.region } }
      : item.quote ? { source: item.iri, selector: { type: 'TextQuoteSelector', ...item.quote } } : item.iri;
    return { ...who, motivation: 'commenting', body: words, target };
  }

  function asFile() {
    const head = JSON.parse(document.getElementById('file-head')?.textContent ?? '{}');
    return JSON.stringify({ '@context': CONTEXT, ...head, id: `urn:uuid:${uuid()}`, type: 'AnnotationPage', items: said.map(annotation) }, null, 1);
  }

  const idsOfSaid = () => said.map((item) => item.id).join(' ');

  function saveFile() {
    said = keptSaid();
    const link = document.createElement('a');
    const who = said[said.length - 1]?.author ?? '';
    const name = `comments on ${title} by ${who}`.replace(/[^\p{L}\p{N} -]/gu, '').replace(/ +/g, ' ').trim().slice(0, 80);
    link.href = URL.createObjectURL(new Blob([asFile()], { type: 'application/ld+json' }));
    link.download = `${name}.jsonld`;
    document.body.append(link);
    link.click();
    link.remove();
    keep('saved', idsOfSaid());
    tell(`Saved as “${name}.jsonld”. Now send that file back to the person who sent you this one.`, true);
  }

  async function copyFile() {
    said = keptSaid();
    try {
      await navigator.clipboard.writeText(asFile());
      tell('Copied. Paste it into your reply.', true);
    } catch {
      const box = one(document, '[data-copied]');
      box.hidden = false;
      box.value = asFile();
      box.select();
      tell('Copy the selected text and paste it into your reply.', true);
    }
  }

  document.addEventListener('click', (event) => {
    const target = /** @type {HTMLElement} */ (event.target);
    const byKey = event.detail === 0;
    const part = target.closest('[data-front] [data-role]');
    const thing = thingOf(target);
    if (target.closest('[data-speak-words]') && thing) open(thing, markedIn(thing));
    else if (target.closest('[data-speak]') && thing) open(thing);
    else if (target.closest('[data-point]')) startPointing(byKey);
    else if (target.closest('[data-no-point]')) stopPointing();
    else if (target.closest('[data-leave]')) {
      const from = form && thingOf(form);
      close();
      if (from) one(from, '[data-speak]')?.focus();
    }
    else if (about?.layer && target.closest('[data-spot]') && !about.thing.contains(target)) tell('That is another picture. Point on the one that you comment on, or close this comment first.', true);
    else if (target.closest('[data-save-file]')) saveFile();
    else if (target.closest('[data-copy-file]')) copyFile();
    else if (target.closest('[data-part-near]')) speakOf(/** @type {any} */ (target).dataset.partNear);
    else if (target.closest('[data-front]') && !target.closest('.spot-layer')) {
      const near = /** @type {PointerEvent} */ (event).pointerType === 'touch' ? under(event.clientX, event.clientY) : [];
      if (near.length > 1) offer(near);
      else if (near.length || part) speakOf(near[0] ?? /** @type {any} */ (part).dataset.role);
    }
  });

  // A part, tapped on the instrument. A finger covers several of the small ones: it is asked which.

  /** @param {string} role @returns {HTMLElement | null} */
  const rowOf = (role) => document.querySelector(`[data-part-role="${CSS.escape(role)}"]`);

  /** @param {string} role */
  function speakOf(role) {
    offer([]);
    const row = rowOf(role);
    const button = row && one(row, '[data-speak]');
    if (!button) return;
    row.scrollIntoView({ block: 'center' });
    button.click();
  }

  /** The parts under a finger, the one in the middle first. @param {number} x @param {number} y @returns {string[]} */
  function under(x, y) {
    const found = new Set();
    for (const far of [0, FINGER / 2, FINGER]) {
      for (let turn = 0; turn < (far ? 8 : 1); turn += 1) {
        const angle = (turn * Math.PI) / 4;
        const there = document.elementFromPoint(x + far * Math.cos(angle), y + far * Math.sin(angle));
        const part = /** @type {any} */ (there?.closest('[data-front] [data-role]'));
        if (part && rowOf(part.dataset.role)) found.add(part.dataset.role);
      }
    }
    return [...found];
  }

  /** @param {string[]} roles none takes the offer away */
  function offer(roles) {
    const box = document.querySelector('[data-parts-near]');
    if (!box) return;
    box.replaceChildren(...roles.map((role) => {
      const button = document.createElement('button');
      button.type = 'button';
      button.dataset.partNear = role;
      button.textContent = rowOf(role)?.dataset.label ?? role;
      return button;
    }));
    /** @type {HTMLElement} */ (box).hidden = !roles.length;
    box.querySelector('button')?.focus();
  }
  document.addEventListener('submit', (event) => {
    const sent = /** @type {HTMLFormElement} */ (event.target);
    if (sent === form) submit(event);
    else if (sent.matches('[data-question]')) {
      event.preventDefault();
      choose(sent);
    }
  });
  document.addEventListener('input', (event) => {
    const field = /** @type {HTMLTextAreaElement} */ (event.target);
    if (form?.contains(field) && field.name === 'text') keep(`draft:${about.thing.dataset.id}`, field.value);
  });
  document.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || !form) return;
    const from = thingOf(form);
    close();
    if (from) one(from, '[data-speak]')?.focus();
  });
  addEventListener('beforeunload', (event) => {
    if (save && said.length && kept('saved') !== idsOfSaid()) event.preventDefault();
  });

  addEventListener('storage', () => {
    said = keptSaid();
    count();
  });

  keepName(kept('author'));
  for (const item of said) {
    if (item.kind === 'question') {
      const asking = document.querySelector(`[data-question="${CSS.escape(item.about)}"]`);
      const radio = asking && one(asking, `[name=choice][value="${Number(item.choice)}"]`);
      if (radio) radio.checked = true;
      if (asking) {
        one(asking, '[name=why]').value = item.text;
        show(item, /** @type {HTMLElement} */ (asking));
      }
      continue;
    }
    // What has two places on the page was quoted in that which has words.
    const places = `[data-thing][data-id="${CSS.escape(item.about)}"]`;
    const thing = (item.quote && document.querySelector(`${places}:has([data-quotable])`)) || document.querySelector(places);
    if (thing) show(item, /** @type {HTMLElement} */ (thing));
  }
  for (const control of document.querySelectorAll('[data-needs-script]')) /** @type {HTMLElement} */ (control).hidden = false;
  count();
})();
