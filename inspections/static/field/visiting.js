// A visit: cautions, what would stop the machine, and the steps with their grids.
import { button, day, h, saidBy, say, t, way } from "./dom.js";
import * as entry from "./entry.js";
import * as kept from "./kept.js";
import * as outbox from "./outbox.js";
import * as packs from "./packs.js";
import * as photos from "./photos.js";
import * as server from "./server.js";
import * as store from "./store.js";

/** @typedef {import("./types.d.ts").Pack} Pack */
/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {import("./types.d.ts").Visit} Visit */

/**
 * What the server would say at once of what was read, and whom it has told.
 * @param {Pack | undefined} pack
 * @param {Reading[]} readings
 * @param {string} told what the server answered, "" while nobody was told
 */
export function alarms(pack, readings, told) {
  const acting = readings.filter((each) => each.state !== "replaced"
    && each.judged.acts && each.judged.acts !== "hold");
  if (!acting.length) return null;
  const stops = acting.some((each) => each.judged.acts === "stop");
  const sent = acting.every((each) => each.sent_at);
  return h("section", { class: "stop", role: "alert" },
    h("h2", null, stops ? t("Stop: out of service") : t("Act as if true: measure again now")),
    ...acting.map((each) => h("p", null, saidOf(each, pack, stops))),
    stops && pack && h("p", null, h("strong", null, pack.stop_words)),
    h("p", null, h("strong", null, !sent ? [t("Nobody has been told yet: this phone has not sent it. Tell whoever is in charge yourself."), pack?.told_words].filter(Boolean).join(" ")
      : told || t("The server has it."))));
}

/**
 * What was read and what was said of it, each once; what to do stands below.
 * @param {Reading} each @param {Pack | undefined} pack @param {boolean} stops
 */
function saidOf(each, pack, stops) {
  const item = packs.itemOf(pack, each.kind);
  const where = [item?.name ?? each.kind, each.number_by && t(each.number_by), each.number].filter(Boolean).join(" ");
  const read = `${where}: ${item?.words_said[each.typed] ?? each.typed} ${each.unit}`.trim();
  const words = [...each.judged.words, entry.warned(each) ?? ""].map((one) => (stops && pack ? one.replace(pack.stop_words, "") : one).trim());
  return [`${read}.`, ...new Set(words.filter((one) => one && one !== `${read}.`))].join(" ");
}

/** @param {Visit} visit */
export async function toldOf(visit) {
  const own = await server.holder();
  if (!own) return "";
  const answered = await outbox.batches(own, "answered");
  return answered.filter((each) => each.visit === visit.reference && each.told)
    .map((each) => saidBy(each.told_code && `told-${each.told_code}`, each.told, { n: each.told_people })).join(" ");
}

/** Looks up anew what the visit on the screen tells. */
let again = async () => {};
let turns = 0;
store.happened.addEventListener("changed", () => again());

/** @param {string} reference */
export async function screen(reference) {
  const visit = await kept.visit(reference);
  const pack = visit && (await packs.one(visit.machine.id));
  if (!visit || !pack) {
    return [h("p", null, t("What to measure here is not on the phone any more; what was typed is.")), way(t("To what was typed"), "outbox")];
  }
  const kind = pack.visit_kinds.find((each) => each.kind === visit.kind) ?? pack.visit_kinds[0];
  const more = kind.more ?? [];
  const alarm = h("div");
  const readings = await kept.readingsOf(reference);
  const about = { visit, pack, readings, alarm, units: (await store.remembered("units")) ?? {},
    gauges: (await store.remembered("gauges")) ?? {}, beside: (await store.remembered(`beside|${reference}`)) ?? {} };
  about.alarm.replaceChildren(...[alarms(pack, readings, await toldOf(visit))].filter((each) => each !== null));
  again = async () => {
    const turn = (turns += 1);
    const now = await kept.readingsOf(reference);
    const said = alarms(pack, now, await toldOf(visit));
    // Of a screen that is drawn; what was looked up earlier never covers what came later.
    if (turn !== turns || !document.contains(alarm)) return;
    alarm.replaceChildren(...[said].filter((each) => each !== null));
    entry.mark(now);
  };
  return [
    h("h1", null, `${pack.code}: ${kind.words}`), await packs.age([pack]), alarm,
    h("details", { class: "cautions", open: !readings.length },
      h("summary", null, t("Cautions")), h("ul", null, ...[...kind.cautions, ...pack.cautions].filter(only).map((each) => h("li", null, each)))),
    ...pack.stops.map((each) => h("p", { class: "stop" }, each)),
    visit.kind === "SLIP_TEST" && way(t("Slip test, step by step"), `slip/${reference}`),
    visit.kind === "TENSION" && way(t("Time the waves by touch"), `wave/${reference}`),
    ...kind.steps.map((step, n) => section(step, `${n + 1}. `, about)),
    more.length > 0 && h("details", null, h("summary", null, t("Due, but the time does not reach for it")),
      ...more.map((step) => section(step, "", about))),
    photos.field(visit),
    visit.work && workDone(visit),
    h("p", null, t("Read {when}", { when: day(visit.begun_at) })), way(t("To what was typed"), "outbox"),
    entry.keys(about),
  ].filter(Boolean);
}

/**
 * Be where the last reading left off, and tell what changed while the screen was made.
 * @param {string} reference
 */
export async function goOn(reference) {
  await again();
  const last = (await kept.readingsOf(reference)).at(-1);
  const tick = last && document.querySelector(`output[data-reading="${last.reference}"]`);
  if (tick) (entry.after(tick.closest("li")?.querySelector("input.value")) ?? entry.after())?.focus();
}

/** @param {import("./types.d.ts").Step} step @param {string} n @param {entry.About} about */
const section = (step, n, about) => h("section", null,
  h("h2", null, `${n}${step.words}`, h("small", null, ` ${t("{n} min", { n: step.minutes })}`)),
  ...step.items.map((item) => entry.grid(item, about)));

/** @param {string} each @param {number} n @param {string[]} all */
const only = (each, n, all) => all.indexOf(each) === n;

/** @param {Visit} visit */
function workDone(visit) {
  const made = /** @type {any} */ (visit.work);
  if (visit.work_done_on) return h("p", null, t("The work is told as done on {when}.", { when: visit.work_done_on }));
  return h("section", null,
    h("h2", null, t("As left after {work}", { work: made.words })),
    made.needs_parts && h("p", null, t("The office enters the new parts; what is read here is sent by itself.")),
    button(made.needs_parts ? t("All is read: send it") : t("The work is done and all is read: tell the office"), async () => {
      await kept.changeVisit(visit.reference, { work_done_on: visit.begun_at.slice(0, 10) });
      say(t("Kept; it is sent as soon as there is signal."));
      window.dispatchEvent(new Event("field-kept"));
    }, { class: "main" }));
}
