// Live numbers: sends a form while it is edited and redraws the regions that follow from it; one that only asks keeps
// its address in step. Without this script the form's own button does the same. What is typed is never touched, the focus never moved.
(() => {
  const QUIET = 150, SPEAK = 1000, CONTROLS = 'input, select, textarea, [contenteditable]';
  const SILENT = 'These numbers are from before your last edit: the server did not answer. What you typed is still here.';
  const ENDED = 'These numbers are from before your last edit: you have been signed out. What you typed is still here; save, and sign in when asked.';
  // The only markup ever passed through is our own server's answer, parsed into a document that runs nothing.
  const rules = { createHTML: text => text };
  const policy = window.trustedTypes?.createPolicy('live', rules) ?? rules;
  const states = new Map(), regions = () => document.querySelectorAll('[data-live-region]'), stay = event => event.preventDefault(), asks = form => form.method === 'get';
  let speaking = 0, waiting = null;
  function say(words) {
    const place = document.querySelector('[data-live-say]');
    clearTimeout(speaking);
    if (words && place?.textContent.trim() !== words) speaking = setTimeout(() => place?.replaceChildren(words), SPEAK);
  }
  function redraw(answer) {
    waiting = null;
    for (const region of regions()) {
      delete region.dataset.stale;
      const fresh = answer.querySelector(`[data-live-region="${CSS.escape(region.dataset.liveRegion)}"]`);
      if (!fresh || region.querySelector(CONTROLS) || region.innerHTML === fresh.innerHTML) continue;
      // A region under the reader's focus waits until the focus has left it.
      if (region.contains(document.activeElement)) { waiting = answer; continue; }
      for (const { id } of region.querySelectorAll('details[open][id]')) fresh.querySelector('#' + id)?.setAttribute('open', '');
      const chosen = region.value?.split(' ')[0], field = region.matches('.fault') && document.getElementById(region.id.slice(0, -6));
      region.replaceChildren(...document.importNode(fresh, true).childNodes);
      // A list of choices keeps what is chosen, also under another name; a field bears the mark of its fault.
      if (chosen) region.value = [...region.options].find(option => option.value.split(' ')[0] === chosen)?.value;
      if (field && field.type !== 'radio') field.ariaInvalid = region.textContent ? 'true' : null;
    }
  }
  // The number grows with every request, so that text that arrives late never replaces newer text.
  const stamp = ({ elements: { sequence } }) => sequence && (sequence.value = Math.max(Number(sequence.value) + 1, Date.now()));
  function post(form, more) {
    stamp(form);
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (typeof value === 'string') body.append(name, value);
    const headers = { 'Accept': 'text/html', 'X-Live': '1' }, asked = `${form.dataset.live}?${body}`;
    if (asks(form)) return fetch(asked, { headers, ...more }).then(answer => (history.replaceState(null, '', asked), answer));
    if (more.keepalive) body.append('at_once', '1');
    return fetch(form.dataset.live, { method: 'POST', body, headers, ...more });
  }
  async function recalculate(form, state) {
    state.request?.abort();
    const turn = ++state.turn, { signal } = state.request = new AbortController();
    let trouble = SILENT;
    state.timer = waiting = null;
    try {
      const response = await post(form, { signal });
      const text = policy.createHTML(await response.text());
      if (turn !== state.turn) return;
      if (response.status === 401 || response.redirected) trouble = ENDED;
      else if (response.ok || response.status === 422) {
        // A draft written a moment ago is not written again yet: the server says when to ask. A newer edit asks by itself.
        const again = Number(response.headers.get('x-draft-again'));
        state.kept = !again && !state.timer;
        if (again) state.timer ||= setTimeout(recalculate, again, form, state);
        const answer = new DOMParser().parseFromString(text, 'text/html');
        redraw(answer);
        return say(answer.querySelector('[data-live-say]')?.textContent.trim());
      }
    } catch { /* no answer: said below */ }
    if (turn !== state.turn) return;
    regions().forEach(region => { region.dataset.stale = trouble; });
    say(trouble);
  }
  function edited(event) {
    const form = event.target.form;
    if (!form?.hasAttribute('data-live')) return;
    const state = states.get(form) ?? { turn: 0 };
    states.set(form, Object.assign(state, { kept: false }));
    form.setAttribute('data-dirty', '');
    if (!asks(form)) window.addEventListener('beforeunload', stay);
    [speaking, state.timer].forEach(clearTimeout);
    state.timer = setTimeout(recalculate, QUIET, form, state);
  }
  // The page may be going for good: what is not kept yet goes now, without waiting for an answer.
  function leave() {
    for (const [form, state] of document.hidden ? states : []) {
      if (!state.kept && !asks(form)) post(form, { keepalive: true }).catch(() => { state.kept = false; });
      state.kept = true;
    }
  }
  for (const kind of ['input', 'change']) document.addEventListener(kind, edited);
  document.addEventListener('visibilitychange', leave);
  document.addEventListener('focusout', () => setTimeout(() => waiting && redraw(waiting)));
  document.addEventListener('submit', event => {
    if (!event.target.hasAttribute('data-live')) return;
    window.removeEventListener('beforeunload', stay);
    stamp(event.target);
    const state = states.get(event.target) ?? {};
    clearTimeout(state.timer), state.request?.abort(), Object.assign(state, { turn: state.turn + 1, kept: true });
  });
  document.addEventListener('focusin', ({ target }) => target.matches('textarea') && target.scrollIntoView({ block: 'nearest' }));
  document.querySelectorAll('[data-print]').forEach(place => { place.hidden = false; place.onclick = () => window.print(); });
  // A page that comes back with faults holds typing that is not saved yet.
  if (document.querySelector('form[data-live][data-dirty]')) window.addEventListener('beforeunload', stay);
})();
