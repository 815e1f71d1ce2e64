// Live numbers: posts a form while it is edited and redraws the regions that follow from it. Without this script the
// form's own button does the same. Fields are never touched and the focus is never moved.
(() => {
  'use strict';
  const QUIET = 150, SPEAK = 1000;
  const CONTROLS = 'input, select, textarea, [contenteditable]';
  const SILENT = 'These numbers are from before your last edit: the server did not answer. What you typed is still here.';
  const ENDED = 'These numbers are from before your last edit: you have been signed out. What you typed is still here; save, and sign in when asked.';
  // The only markup ever passed through is our own server's answer, parsed into a document that runs nothing.
  const policy = window.trustedTypes
    ? window.trustedTypes.createPolicy('live', { createHTML: text => text })
    : { createHTML: text => text };
  const states = new WeakMap();
  let speaking = 0;
  let waiting = null;

  const stay = event => event.preventDefault();

  function say(words) {
    clearTimeout(speaking);
    const place = document.querySelector('[data-live-say]');
    if (!place || !words) return;
    speaking = setTimeout(() => {
      if (place.textContent.trim() !== words) place.textContent = words;
    }, SPEAK);
  }

  function fill(region, fresh) {
    const open = [...region.querySelectorAll('details[open][id]')].map(details => details.id);
    region.replaceChildren(...document.importNode(fresh, true).childNodes);
    for (const id of open) document.getElementById(id)?.setAttribute('open', '');
  }

  function redraw(answer) {
    waiting = null;
    for (const region of document.querySelectorAll('[data-live-region]')) {
      const fresh = answer.querySelector(`[data-live-region="${CSS.escape(region.dataset.liveRegion)}"]`);
      if (!fresh) continue;
      delete region.dataset.stale;
      if (region.querySelector(CONTROLS) || region.innerHTML === fresh.innerHTML) continue;
      // A region under the reader's focus waits until the focus has left it.
      if (region.contains(document.activeElement)) waiting = answer;
      else fill(region, fresh);
    }
  }

  async function recalculate(form, state) {
    state.request?.abort();
    state.request = new AbortController();
    const turn = ++state.turn;
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (typeof value === 'string') body.append(name, value);
    let trouble = SILENT;
    try {
      const response = await fetch(form.dataset.live, {
        method: 'POST', body, signal: state.request.signal, headers: { 'Accept': 'text/html', 'X-Live': '1' },
      });
      const text = await response.text();
      if (turn !== state.turn) return;
      if (response.status === 401 || response.redirected) trouble = ENDED;
      else if (response.ok || response.status === 422) {
        const answer = new DOMParser().parseFromString(policy.createHTML(text), 'text/html');
        redraw(answer);
        say(answer.querySelector('[data-live-say]')?.textContent.trim());
        return;
      }
    } catch { /* no answer: said below */ }
    if (turn !== state.turn) return;
    waiting = null;
    for (const region of document.querySelectorAll('[data-live-region]')) region.dataset.stale = trouble;
    say(trouble);
  }

  function edited(event) {
    const form = event.target.form;
    if (!form?.hasAttribute('data-live')) return;
    if (!states.has(form)) states.set(form, { turn: 0 });
    const state = states.get(form);
    form.setAttribute('data-dirty', '');
    window.addEventListener('beforeunload', stay);
    clearTimeout(speaking);
    clearTimeout(state.timer);
    state.timer = setTimeout(recalculate, QUIET, form, state);
  }

  document.addEventListener('input', edited);
  document.addEventListener('change', edited);
  document.addEventListener('focusout', () => setTimeout(() => waiting && redraw(waiting)));
  document.addEventListener('submit', event => {
    const state = states.get(event.target);
    if (event.target.hasAttribute('data-live')) window.removeEventListener('beforeunload', stay);
    if (state) { clearTimeout(state.timer); state.turn++; state.request?.abort(); }
  });
  // A page that comes back with faults holds typing that is not saved yet.
  if (document.querySelector('form[data-live][data-dirty]')) window.addEventListener('beforeunload', stay);
})();
