// A judge's sheet on a phone: points by steps, a running total, and what is typed kept through a lost connection or a flat battery.
// It is kept under the entry's code alone, encrypted by a key that the server gives to this session only, and forgotten as soon as
// the server has it, at sign-off, and at sign-out. Without this script the form is saved and signed as any other.
(() => {
  const form = document.querySelector('form[data-sheet]'), settled = document.querySelector('[data-settled]');
  const name = form?.dataset.sheet ?? settled?.dataset.settled;
  if (!name) return;
  const QUIET = 900, AGAIN = 15_000, LETTERS = 'abcdefghijklmnopqrstuvwxyz234567', PLACE = 'kept';
  const AWAY = [408, 429, 500, 502, 503, 504];

  // The phone's own place for it: one record for each sheet. A phone without one keeps nothing, and says so.
  const asked = request => new Promise((done, fail) => { request.onsuccess = () => done(request.result); request.onerror = () => fail(request.error); });
  async function at(mode, work) {
    const opening = indexedDB.open('sheets', 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore(PLACE);
    const place = await asked(opening);
    try { return await asked(work(place.transaction(PLACE, mode, { durability: 'strict' }).objectStore(PLACE))); } finally { place.close(); }
  }
  const drop = () => at('readwrite', store => store.delete(name)).catch(() => {});
  if (!form) { drop(); return; }

  const { elements } = form, state = document.querySelector('[data-state]'), total = document.querySelector('[data-total]');
  const say = words => { if (state.textContent !== words) state.textContent = words; };
  // Where two texts stand beside each other, nothing is sent before somebody has chosen.
  const waits = document.querySelector('#meanwhile');
  let key = null, timer = null, sending = null, unsent = false, writing = null, stale = false, leaves = false;
  elements.hand.value = Array.from(crypto.getRandomValues(new Uint8Array(26)), byte => LETTERS[byte % 32]).join('');

  const fields = () => [...new FormData(form)].filter(([field, text]) => typeof text === 'string' && field !== 'once');
  const words = all => JSON.stringify(all.filter(([field]) => !['version', 'hand', 'sequence'].includes(field)));
  const typed = () => words(fields());
  const before = typed();
  const points = () => [...form.querySelectorAll('[data-points]')];

  function count() {
    total.textContent = points().reduce((sum, field) => sum + (/^\d+$/.test(field.value.trim()) ? Number(field.value) : 0), 0);
  }

  // The newest words are written; those that come while one writing goes on are the next one's.
  function keep() {
    if (!key) return null;
    stale = true;
    form.setAttribute('data-unkept', '');
    writing ??= (async () => {
      try {
        while (stale) {
          stale = false;
          const iv = crypto.getRandomValues(new Uint8Array(12)), text = JSON.stringify({ at: Date.now(), fields: fields() });
          const secret = await crypto.subtle.encrypt({ name: 'AES-GCM', iv }, key, new TextEncoder().encode(text));
          await at('readwrite', store => store.put({ iv, secret }, name));
        }
        form.removeAttribute('data-unkept');
      } catch {
        key = null;
      }
      writing = null;
    })();
    return writing;
  }
  async function kept() {
    const record = await at('readonly', store => store.get(name)).catch(() => null);
    if (!record) return null;
    try {
      return JSON.parse(new TextDecoder().decode(await crypto.subtle.decrypt({ name: 'AES-GCM', iv: record.iv }, key, record.secret)));
    } catch {
      // Of a session that has ended: nobody reads it any more.
      await drop();
      return null;
    }
  }
  async function fetchKey() {
    if (!window.crypto?.subtle || !window.indexedDB) return null;
    try {
      const answer = await fetch(form.dataset.key, { method: 'POST', signal: AbortSignal.timeout(20_000) });
      const bytes = (await answer.text()).match(/^[0-9a-f]{64}$/)?.[0].match(/../g).map(two => parseInt(two, 16));
      return answer.ok && bytes ? await crypto.subtle.importKey('raw', new Uint8Array(bytes), 'AES-GCM', false, ['encrypt', 'decrypt']) : null;
    } catch {
      return null;
    }
  }

  const away = () => say(key ? 'No connection. It is kept on this phone, and sent by itself.' : 'No connection. Leave this page open: it is sent by itself.');
  function body() {
    elements.sequence.value = Math.max(Number(elements.sequence.value) + 1, Date.now());
    return new URLSearchParams([['once', elements.once.value], ...fields()]);
  }
  async function send(more = {}) {
    clearTimeout(timer);
    timer = null;
    if (sending || leaves || waits) return;
    const was = typed();
    sending = fetch(form.dataset.keepAt, { method: 'POST', body: body(), redirect: 'manual', signal: AbortSignal.timeout(20_000), ...more });
    try {
      const answer = await sending, text = await answer.text();
      if (answer.status === 200 && /^\d+$/.test(text)) {
        elements.version.value = text;
        unsent = was !== typed();
        // What came since is on its way too; only then is the phone's own copy of no use.
        if (unsent) { timer = setTimeout(send, QUIET); await keep(); } else {
          await writing;
          if (!unsent) await drop();
          // Typed while that went on: it is kept anew.
          if (unsent) keep(); else say('Saved.');
        }
      } else if (answer.status === 409) say('Not saved: press Save, and the page says why and shows both texts.');
      else if (answer.status === 422) say('Not saved yet: one of the fields cannot be read.');
      else if (AWAY.includes(answer.status)) away();
      else say('You have been signed out. Press Save, and sign in when asked.');
    } catch {
      away();
    }
    sending = null;
  }
  function edited() {
    unsent = true;
    form.setAttribute('data-dirty', '');
    count();
    keep();
    if (state.textContent === 'Saved.') say('');
    clearTimeout(timer);
    timer = setTimeout(send, QUIET);
  }

  for (const button of form.querySelectorAll('[data-step]')) {
    button.hidden = false;
    button.addEventListener('click', () => {
      const field = elements[button.dataset.for], most = Number(field.dataset.most), now = field.value.trim();
      // The first tap begins in the middle, the next ones go from there.
      const next = /^\d+$/.test(now) ? Number(now) + Number(button.dataset.step) : Math.ceil(most / 2);
      field.value = Math.min(most, Math.max(0, next));
      edited();
    });
  }
  form.addEventListener('input', edited);
  addEventListener('online', () => unsent && send());
  setInterval(() => unsent && !timer && send(), AGAIN);
  document.addEventListener('visibilitychange', () => document.hidden && unsent && send({ keepalive: true }));
  addEventListener('beforeunload', event => unsent && !key && !leaves && event.preventDefault());

  // Save and Sign go as a page, which says beside each field what is wrong; without a connection the page stays.
  form.addEventListener('submit', async event => {
    if (leaves) return;
    event.preventDefault();
    const { submitter } = event;
    leaves = true;
    clearTimeout(timer);
    try {
      await sending?.catch(() => {});
      const answer = await fetch(submitter?.getAttribute('formaction') ?? form.action, { method: 'POST', body: body(), signal: AbortSignal.timeout(20_000) });
      if (AWAY.includes(answer.status)) throw answer;
      if (answer.ok && answer.redirected) {
        await writing;
        await drop();
        location.assign(answer.url);
      } else form.requestSubmit(submitter);
    } catch {
      leaves = false;
      unsent = true;
      await keep();
      say(key ? 'No connection, so this is not done yet. It is kept on this phone: press again when there is one.' : 'No connection, so this is not done yet. Leave this page open, and press again.');
    }
  });

  function put(all) {
    for (const box of form.querySelectorAll('input[type=checkbox]')) box.checked = false;
    for (const [field, text] of all) {
      const control = elements[field];
      if (!control || ['version', 'once'].includes(field)) continue;
      if (control.type === 'checkbox') control.checked = true; else control.value = text;
    }
    count();
  }
  const value = (all, field) => all.find(([found]) => found === field)?.[1] ?? '';
  function both(record) {
    const place = document.querySelector('[data-two]');
    place.querySelector('[data-two-at]').textContent = `at ${new Date(record.at).toLocaleTimeString('en-GB', { timeStyle: 'short' })}`;
    place.hidden = false;
    // The server shows both beside each other: what the phone keeps goes there under the row that it was made from.
    place.querySelector('[data-two-show]').addEventListener('click', async () => {
      put(record.fields);
      elements.version.value = value(record.fields, 'version');
      leaves = true;
      await drop();
      form.submit();
    });
    place.querySelector('[data-two-drop]').addEventListener('click', async () => { await drop(); place.hidden = true; });
  }

  async function begin() {
    key = await fetchKey();
    // Typed while the key was on its way, or come back with a fault: that is newer than whatever the phone keeps.
    const fresh = 'typed' in form.dataset || typed() !== before, record = key && !fresh ? await kept() : null;
    if (!record || words(record.fields) === before) {
      if (record) await drop();
      if (fresh) keep();
      return;
    }
    const hand = value(record.fields, 'hand');
    if (value(record.fields, 'version') === elements.version.value || hand === form.dataset.hand) {
      put(record.fields);
      // Whatever this phone's clock says by now, the next sending is newer than what the server has.
      elements.sequence.value = Math.max(Number(elements.sequence.value), Number(form.dataset.sequence));
      unsent = true;
      form.setAttribute('data-dirty', '');
      say('What this phone kept is back.');
      send();
    } else both(record);
  }
  count();
  begin();
})();
