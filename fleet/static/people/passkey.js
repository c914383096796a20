// Passkeys: asks the server what to sign, has the browser sign it, sends it back.
"use strict";

const API = "/api/v1/second-factor";

function bytes(text) {
  const plain = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(plain, (letter) => letter.charCodeAt(0));
}

function text(buffer) {
  const plain = String.fromCharCode(...new Uint8Array(buffer));
  return btoa(plain).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

async function send(path, body) {
  const mark = document.querySelector("input[name=csrfmiddlewaretoken]").value;
  const answer = await fetch(API + path, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": mark },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  const content = answer.status === 204 ? {} : await answer.json();
  if (!answer.ok) throw new Error(content.detail);
  return content;
}

function named(list) {
  return (list || []).map((entry) => ({ ...entry, id: bytes(entry.id) }));
}

function asJson(made) {
  const response = {};
  for (const name of ["clientDataJSON", "attestationObject", "authenticatorData", "signature", "userHandle"]) {
    if (made.response[name]) response[name] = text(made.response[name]);
  }
  return { id: made.id, rawId: text(made.rawId), type: made.type, response };
}

async function add() {
  const { public_key: options } = await send("/passkey-options");
  options.challenge = bytes(options.challenge);
  options.user.id = bytes(options.user.id);
  options.excludeCredentials = named(options.excludeCredentials);
  const made = await navigator.credentials.create({ publicKey: options });
  const name = document.getElementById("name").value || "passkey";
  return send("/passkeys", { name, credential: asJson(made) });
}

async function show() {
  const { public_key: options } = await send("/challenge");
  options.challenge = bytes(options.challenge);
  options.allowCredentials = named(options.allowCredentials);
  const shown = await navigator.credentials.get({ publicKey: options });
  return send("/verify", { credential: asJson(shown) });
}

async function act(button) {
  const told = document.getElementById("passkey-told");
  told.textContent = "";
  try {
    const answer = await (button.dataset.passkey === "add" ? add() : show());
    const codes = answer.recovery_codes || [];
    if (codes.length === 0) {
      window.location.assign(button.dataset.next);
      return;
    }
    told.textContent = told.dataset.keep || "";
    const list = document.getElementById("passkey-codes");
    for (const code of codes) list.append(Object.assign(document.createElement("li"), { textContent: code }));
  } catch (problem) {
    told.textContent = problem.message;
  }
}

for (const button of document.querySelectorAll("[data-passkey]")) {
  button.addEventListener("click", () => act(button));
}
