// Elements and words of the page; no markup is ever read from text.

/** @type {Record<string, string>} */
let german = {};
export let language = "en";

/** @param {string} wanted */
export async function speak(wanted) {
  language = wanted === "de" ? "de" : "en";
  document.documentElement.lang = language;
  if (language === "en") german = {};
  else if (!Object.keys(german).length) {
    german = await (await fetch(new URL("words.de.json", import.meta.url))).json().catch(() => ({}));
  }
}

/**
 * Say a text in the reader's language; "{name}" takes what is given.
 * @param {string} text
 * @param {Record<string, unknown>} [given]
 */
export function t(text, given = {}) {
  return filled(german[text] ?? text, given);
}

/** @param {string} said @param {Record<string, unknown>} given */
const filled = (said, given) => said.replace(/\{(\w+)\}/g, (_, name) => String(given[name] ?? ""));

/**
 * What the server says: by its code in the reader's language, else as it said it.
 * @param {string | undefined} code
 * @param {string | undefined} text
 * @param {Record<string, unknown>} [given]
 */
export function saidBy(code, text, given = {}) {
  const own = code && german[`: ${code}`];
  return own ? filled(own, given) : text ?? "";
}

/**
 * @param {string} tag
 * @param {Record<string, any> | null} [about]
 * @param {...(Node | string | null | undefined | false)} inside
 * @returns {any}
 */
export function h(tag, about, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(about ?? {})) {
    if (value === undefined || value === null || value === false) continue;
    if (typeof value === "function") made.addEventListener(name, value);
    else if (name === "value") /** @type {any} */ (made).value = value;
    else made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...inside.filter((each) => typeof each === "string" || each instanceof Node));
  return made;
}

/** @param {string} words @param {() => unknown} act @param {Record<string, any>} [about] */
export const button = (words, act, about) =>
  h("button", { type: "button", click: once(act), ...about }, words);

/** A button that is pressed twice acts once. @param {() => unknown} act */
function once(act) {
  let runs = false;
  return async () => {
    if (runs) return;
    runs = true;
    try {
      await act();
    } catch (problem) {
      complain(problem);
    } finally {
      runs = false;
    }
  };
}

/** @param {string} words @param {string} where */
export const way = (words, where) => h("a", { href: `#/${where}`, class: "way" }, words);

/** @param {unknown} problem */
export function complain(problem) {
  const name = problem instanceof DOMException ? problem.name : "";
  // On a full disk Chromium cannot even open its files again, and names no quota.
  const full = ["QuotaExceededError", "UnknownError", "AbortError"].includes(name);
  const old = name === "VersionError";
  say(full ? t("The phone's storage is full, or does not answer: this was not kept. Free some room on the phone; then keep it again.")
    : old ? t("A newer version of this page is open: this was not kept. Load the page again.")
      : t("The phone did not keep this: {why}. It still stands in its field; try again.", { why: String(problem) }), true);
}

/** @param {string} words @param {boolean} [bad] */
export function say(words, bad) {
  const told = document.getElementById("told");
  if (!told) return;
  told.textContent = words;
  told.className = bad ? "stop" : "notice";
}

/** @param {number} value @param {number} digits */
export const written = (value, digits) =>
  value.toLocaleString(language, { maximumFractionDigits: digits, useGrouping: false });

/** @param {string} at ISO */
export const day = (at) => new Date(at).toLocaleString(language, { dateStyle: "medium", timeStyle: "short" });

/** @param {string} to */
export function go(to) {
  location.hash = `/${to}`;
}
