// What is logged where there is no connection is kept on the phone and sent when there is one. Each entry has its once key, so
// that it is written once however often it is sent, and is kept under its member's name: nobody else's page ever sends it.
// Without this script the form is sent as any other.
(() => {
  const place = document.querySelector('[data-kept]');
  if (!place) return;
  const { member, zone } = place.dataset, list = place.querySelector('ul'), sent = document.querySelector('[data-sent]');
  const STORE = `kept.${member}`, MINUTE = 60_000, WEEK = 6.5 * 24 * 60 * MINUTE, LETTERS = 'abcdefghijklmnopqrstuvwxyz234567';
  const AWAY = [502, 503, 504], LATER = [401, 403, 408, 429, 500];
  let sending = false;
  const read = () => { try { return JSON.parse(localStorage.getItem(STORE)) ?? []; } catch { return []; } };
  const write = kept => { try { localStorage.setItem(STORE, JSON.stringify(kept)); return true; } catch { return false; } };
  const forget = once => { write(read().filter(entry => entry.once !== once)); show(); };
  const post = (action, fields, redirect) => fetch(action, { method: 'POST', body: new URLSearchParams(fields), redirect, signal: AbortSignal.timeout(20_000) });

  const moment = at => new Intl.DateTimeFormat('en-GB', { timeZone: zone, dateStyle: 'long', timeStyle: 'short' }).format(new Date(at));

  // There is a connection again, and what was kept stands in the log.
  function tell({ name, at, words }) {
    sent.hidden = false;
    sent.append(`Sent: ${name}, ${moment(at)}: ${words}. It stands in the log now. `);
  }

  function state({ at, refused }) {
    if (refused) return 'The server does not take it so. Log it again, then forget this one.';
    return Date.now() - at > WEEK ? 'It is older than a week: look whether it stands in the log, else log it again.' : '';
  }

  function show() {
    const kept = read();
    place.hidden = kept.length === 0;
    list.replaceChildren(...kept.map(entry => {
      const item = document.createElement('li'), words = state(entry);
      item.append(`${entry.name}, ${moment(entry.at)}: ${entry.words}. ${words} `);
      if (words) {
        const button = document.createElement('button');
        button.type = 'button';
        button.className = 'link';
        button.textContent = 'Forget it';
        button.addEventListener('click', () => forget(entry.once));
        item.append(button);
      }
      return item;
    }));
  }

  // "Now" is the moment of typing, not the one of sending.
  function dated(fields) {
    const has = name => fields.some(([field]) => field === name), empty = name => !fields.some(([field, text]) => field === name && text.trim());
    if (!has('day') || !has('time') || !empty('day') || !empty('time')) return fields;
    const told = options => new Intl.DateTimeFormat('sv-SE', { timeZone: zone, ...options }).format(new Date());
    const now = { day: told({ dateStyle: 'short' }), time: told({ timeStyle: 'short' }) };
    return fields.map(([field, text]) => [field, now[field] ?? text]);
  }

  function keep(form, fields) {
    const seen = fields.filter(([field, text]) => text.trim() && ['text', 'textarea'].includes(form.elements[field]?.type));
    const once = fields.find(([field]) => field === 'once')[1];
    const entry = { once, action: form.action, name: form.dataset.keep, at: Date.now(), fields: dated(fields), words: seen.map(([, text]) => text.trim()).join(', ') };
    if (!write([...read().filter(other => other.once !== once), entry])) return false;
    form.reset();
    form.elements.once.value = `${member}.${Array.from(crypto.getRandomValues(new Uint8Array(26)), byte => LETTERS[byte % 32]).join('')}`;
    show();
    place.scrollIntoView({ block: 'nearest' });
    return true;
  }

  async function send() {
    if (sending) return;
    sending = true;
    for (const entry of read().filter(entry => !state(entry))) {
      try {
        const { type, status } = await post(entry.action, entry.fields, 'manual');
        // Under this key it was written before, though nobody heard the answer.
        if (type === 'opaqueredirect' || status === 409) {
          forget(entry.once);
          tell(entry);
        } else if (![...AWAY, ...LATER].includes(status)) write(read().map(other => other.once === entry.once ? { ...other, refused: true } : other));
      } catch {
        break;
      }
    }
    sending = false;
    show();
  }

  for (const form of document.querySelectorAll('form[data-keep]')) {
    let busy = false;
    form.addEventListener('submit', async event => {
      // A file is sent by the browser itself; nothing of that size is kept.
      if ([...form.elements].some(field => field.type === 'file' && field.files.length)) return;
      event.preventDefault();
      if (busy) return;
      busy = true;
      const fields = [...new FormData(form)].filter(([, value]) => typeof value === 'string');
      try {
        const answer = await post(form.action, fields, 'follow');
        if (AWAY.includes(answer.status)) throw answer;
        // What was refused is sent once more as a page, which says why beside each field.
        if (answer.ok && answer.redirected) location.assign(answer.url);
        else form.submit();
      } catch {
        if (!keep(form, fields)) form.submit();
      }
      busy = false;
    });
  }
  addEventListener('online', send);
  setInterval(send, MINUTE);
  show();
  send();
})();
