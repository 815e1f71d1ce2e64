// Asks the device for a passkey: reads the options in the page, hands them over, sends the answer with the form.
// Without this script, or in a browser that knows no passkeys, the page says so.
(() => {
  "use strict";
  const form = document.querySelector("form[data-passkey]");
  if (!form || !window.isSecureContext || !window.PublicKeyCredential || !navigator.credentials) return;
  const find = name => document.querySelector(`[data-passkey-${name}]`);
  const show = (name, shown) => { const found = find(name); if (found) found.hidden = !shown; };
  const toBytes = text => Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), sign => sign.charCodeAt(0));
  const toText = bytes => btoa(Array.from(new Uint8Array(bytes), byte => String.fromCharCode(byte)).join(""))
    .replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");

  const options = () => {
    const asked = JSON.parse(form.dataset.passkey).publicKey;
    asked.challenge = toBytes(asked.challenge);
    if (asked.user) asked.user.id = toBytes(asked.user.id);
    for (const known of asked.excludeCredentials || []) known.id = toBytes(known.id);
    return { publicKey: asked };
  };

  const answer = made => {
    const response = { clientDataJSON: toText(made.response.clientDataJSON) };
    if (made.response.attestationObject) response.attestationObject = toText(made.response.attestationObject);
    if (made.response.authenticatorData) {
      response.authenticatorData = toText(made.response.authenticatorData);
      response.signature = toText(made.response.signature);
      response.userHandle = made.response.userHandle ? toText(made.response.userHandle) : null;
    }
    return JSON.stringify({ id: made.id, rawId: toText(made.rawId), type: made.type, response });
  };

  let asking = false;
  const ask = async () => {
    if (asking) return;
    asking = true;
    show("declined", false);
    show("known", false);
    try {
      const asked = options();
      const made = await (asked.publicKey.user ? navigator.credentials.create(asked) : navigator.credentials.get(asked));
      form.elements.credential.value = answer(made);
      form.submit();
    } catch (fault) {
      asking = false;
      show(fault.name === "InvalidStateError" ? "known" : "declined", true);
    }
  };

  show("unable", false);
  show("able", true);
  form.addEventListener("submit", event => { event.preventDefault(); ask(); });
})();
