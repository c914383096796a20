// What the phone got for the day, and how old it is.
import { day, h, saidBy, t } from "./dom.js";
import * as clock from "./clock.js";
import * as server from "./server.js";
import * as store from "./store.js";

/** @typedef {import("./types.d.ts").Pack} Pack */

const OLD_DAYS = 7;

/** The form that this page reads; a pack of any other is fetched again. */
const VERSION = 1;
const isRead = (/** @type {Pack | undefined} */ each) => (each?.version ?? 1) === VERSION;

/** @returns {Promise<Pack[]>} of whatever version */
export const stored = () => store.look(["packs"], (each) => each.objectStore("packs").getAll());

export const all = async () => (await stored()).filter(isRead);

/** @param {number} id @returns {Promise<Pack | undefined>} */
export async function one(id) {
  const found = await store.look(["packs"], (each) => each.objectStore("packs").get(id));
  return isRead(found) ? found : undefined;
}

/**
 * Fetch what is to be done on machines; what was there stays if that fails.
 * @param {number[]} machines
 * @param {number} minutes
 * @returns {Promise<string>} why not, in words
 */
export async function fetchFor(machines, minutes) {
  if (!machines.length) return t("Choose at least one machine.");
  const asked = Date.now();
  const paired = await server.pairing();
  const { language, unit_family } = paired ?? {};
  const { status, body } = await server.post("/api/v1/field/packs", { machines, minutes, language, unit_family });
  if (!status) return t("There is no signal: the machines on the phone stay as they are.");
  if (status >= 300) return saidBy(body?.code, body?.detail) || String(status);
  if (body.version !== VERSION || !Array.isArray(body.machines)) {
    return body.version > VERSION ? t("The server is newer than this page: load the page again where there is signal.")
      : t("The server is of another version than this page: the machines on the phone stay as they are.");
  }
  await clock.learn(body.server_time, asked, Date.now());
  await store.change(["packs"], async (each) => {
    await each.objectStore("packs").clear();
    for (const pack of whole(body)) await each.objectStore("packs").put(pack);
  });
  return body.absent?.length ? t("{n} of the machines are retired or not yours any more: they are not on the phone.", { n: body.absent.length }) : "";
}

const NOTHING = { last: null, reasons: [], limit: "", surprising: { words: "", at_or_below: null, at_or_above: null } };

/**
 * Return packs whole: the answer says once what machines, kinds and places share.
 * @param {any} body
 * @returns {Pack[]}
 */
export function whole({ version, made_at, stop_words, told_words, gauges, cautions, kinds, band_words, machines }) {
  const item = (/** @type {any} */ each) => ({
    ...kinds?.[each.kind], ...each,
    bands: (each.bands ?? kinds?.[each.kind]?.bands ?? []).map((/** @type {any} */ band) => ({ words: band_words?.[band.by ?? band.acts] ?? "", ...band })),
    places: each.places.map((/** @type {any} */ place) => ({ ...NOTHING, ...each.every, ...place })),
  });
  const steps = (/** @type {any[]} */ given = []) => given.map((each) => ({ ...each, items: each.items.map(item) }));
  return machines.map((/** @type {any} */ pack) => ({
    ...pack, version, made_at, stop_words, told_words, gauges, cautions: [...pack.cautions, ...cautions],
    visit_kinds: pack.visit_kinds.map((/** @type {any} */ each) => ({ ...each, steps: steps(each.steps), more: steps(each.more) })),
  }));
}

/** By the server's clock, as far as the phone knows it. @param {Pack[]} packs */
export async function age(packs) {
  const made = packs.map((each) => each.made_at).sort()[0];
  const now = Date.now() + ((await clock.offset()) ?? 0) * 1000;
  const days = Math.floor((now - Date.parse(made)) / 86_400_000);
  const old = days >= OLD_DAYS;
  const said = h("p", { class: old ? "notice" : "" }, t("As the office knew it {when}.", { when: day(made) }));
  if (old) said.append(` ${t("That is {n} days ago: limits, parts and stops may have changed. Fetch again where there is signal.", { n: days })}`);
  return said;
}

/** @param {Pack | undefined} pack @param {string} kind @returns {import("./types.d.ts").Item | undefined} */
export const itemOf = (pack, kind) =>
  pack?.visit_kinds.flatMap((each) => [...each.steps, ...(each.more ?? [])]).flatMap((each) => each.items).find((each) => each.kind === kind);
