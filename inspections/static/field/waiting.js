// What was typed, reading by reading: what became of it, mended in place, sent, or saved.
import * as bands from "./bands.js";
import { button, day, h, say, t } from "./dom.js";
import * as clock from "./clock.js";
import * as entry from "./entry.js";
import * as kept from "./kept.js";
import * as numbers from "./numbers.js";
import * as outbox from "./outbox.js";
import * as packs from "./packs.js";
import * as server from "./server.js";
import { asked } from "./typed.js";
import * as visiting from "./visiting.js";

/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {import("./types.d.ts").Visit} Visit */

/** @param {Reading} each */
function became(each) {
  const words = {
    kept: t("kept on the phone"), frozen: t("under way"), stored: t("at the server"),
    held: t("at the server, held until the office confirms it"), refused: t("refused: mend it"),
    conflict: t("in conflict: mend it"), replaced: t("mended"),
  }[each.state];
  const why = /** @type {Record<string, string>} */ ({
    "as-left": t("Waits until the work is told as done."),
    "clock-moved": t("The phone's clock was set since: say when this visit was."),
    "before-fitted": t("By the phone's clock this was before the part was fitted: say when this visit was."),
    "answer-not-understood": t("The server's answer is of another version: load the page again, then send again."),
  })[each.problem ?? ""] ?? entry.why(each);
  return [words, why].filter(Boolean).join(". ");
}

export async function screen() {
  const [own, all, visits] = await Promise.all([server.holder(), kept.readings(), kept.visits()]);
  const shown = visits.filter((each) => all.some((reading) => reading.visit === each.reference));
  const unsent = all.filter((each) => kept.UNSENT.includes(each.state));
  const stuck = own ? (await outbox.batches(own, "waiting")).map((each) => each.problem).filter(Boolean) : [];
  const parts = await Promise.all(shown.map((each) =>
    one(each, all.filter((reading) => reading.visit === each.reference), kept.isSame(own, each.holder))));
  return [
    h("h1", null, t("What was typed")),
    h("p", null, unsent.length ? t("{n} readings are on this phone alone.", { n: unsent.length }) : t("Everything that was typed here is at the server.")),
    own && button(t("Send now"), async () => {
      const told = { sent: "", waiting: t("There is no signal, or the server does not answer: it is sent by itself later."), other: t("Another window of this page is sending."), nobody: "" };
      say(told[await outbox.send()]);
      await outbox.sendPhotos();
    }, { class: "main" }),
    stuck.length > 0 && h("p", { class: "notice" }, t("The server answered: {what}. It is sent again by itself.", { what: [...new Set(stuck)].join("; ") })),
    unsent.length > 0 && button(t("Save what is unsent as a file"), () => save(visits, unsent)),
    ...parts,
  ].filter(Boolean);
}

/** @param {Visit} visit @param {Reading[]} readings @param {boolean} mine */
async function one(visit, readings, mine) {
  const pack = await packs.one(visit.machine.id);
  const told = await visiting.toldOf(visit);
  const waits = readings.some((each) => each.state === "kept" && each.problem && each.problem !== "as-left");
  return h("section", { class: "item" },
    h("h2", null, `${visit.machine.code}, ${day(visit.begun_at)}`),
    !mine && h("p", { class: "notice" }, t("Typed by {name}: only their own pairing sends it; it can be saved as a file.", { name: visit.holder.name })),
    visiting.alarms(pack, readings, told),
    h("ul", { class: "list" }, ...readings.filter((each) => each.state !== "replaced").map((each) => line(each, pack, mine))),
    mine && !visit.sent_head && move(visit), mine && waits && dated(visit));
}

/** @param {Reading} reading @param {import("./types.d.ts").Pack | undefined} pack @param {boolean} mine */
function line(reading, pack, mine) {
  const item = packs.itemOf(pack, reading.kind);
  const spot = item?.places.find((each) => entry.isOf(reading, item, each));
  const where = [reading.number_by && `${t(reading.number_by)} ${reading.number}`, ...Object.values(reading.place)].filter(Boolean).join(", ");
  const input = item?.words.length
    ? h("select", { "aria-label": t("Mended value") }, ...item.words.map((each) => h("option", { value: each, selected: each === reading.value }, item.words_said[each])))
    : h("input", { inputmode: "decimal", maxlength: 40, value: reading.typed, "aria-label": t("Mended value") });
  const mend = mine && h("details", null, h("summary", null, t("Mend")), input, button(t("Keep mended"), async () => {
    const value = item?.words.length ? input.value : numbers.plain(input.value);
    const answer = item && bands.judge(item, value, reading.unit);
    if (answer?.fault) return say(t("This cannot be; it is not kept."), true);
    const { visit, kind, number_by, number, place, unit, note, gauge } = reading;
    await kept.keep({ visit, kind, number_by, number, place, unit, note, gauge, typed: input.value, value, judged: answer?.judged ?? reading.judged, mends: reading.reference });
    if (item && spot) say([...(answer?.judged.words ?? []), asked(item, spot, value, reading.unit)].filter(Boolean).join(". "), Boolean(answer?.judged.acts));
    window.dispatchEvent(new Event("field-kept"));
  }));
  return h("li", { "data-state": reading.state, "data-reading": reading.reference },
    h("b", null, `${item?.name ?? reading.kind} ${where}: ${item?.words_said[reading.typed] ?? reading.typed} ${reading.unit}`), h("span", null, became(reading)),
    reading.warning && reading.state !== "held" && h("span", null, entry.warned(reading)), mend);
}

/** @param {Visit} visit */
function move(visit) {
  const to = h("select", { "aria-label": t("Machine") });
  packs.all().then((all) => to.append(...all.filter((each) => each.id !== visit.machine.id).map((each) => h("option", { value: each.id }, `${each.code}, ${each.building}`))));
  return h("details", null, h("summary", null, t("This visit was at another machine")), to, button(t("Move the whole visit"), async () => {
    const pack = await packs.one(Number(to.value));
    if (!pack) return say(t("Fetch the right machine first."), true);
    const done = await kept.changeVisit(visit.reference, { machine: { id: pack.id, code: pack.code } });
    say(done ? t("Moved.") : t("Some of it has left the phone: the office moves it."), !done);
  }));
}

/** @param {Visit} visit */
function dated(visit) {
  const at = h("input", { type: "datetime-local", value: visit.begun_at.slice(0, 16) });
  return h("p", { class: "row" }, h("label", null, t("This visit was at"), at), button(t("Keep this time"), async () => {
    await kept.changeVisit(visit.reference, { visited_at: clock.written(new Date(at.value)) });
    window.dispatchEvent(new Event("field-kept"));
  }));
}

/** As the one door takes it, for the office to bring in. @param {Visit[]} visits @param {Reading[]} unsent */
async function save(visits, unsent) {
  const file = { visits: visits.flatMap((visit) => {
    const ready = unsent.filter((each) => each.visit === visit.reference).map((reading) => ({ reading, corrected: "" }));
    if (!ready.length) return [];
    const { head, readings } = outbox.written(visit, ready);
    return [{ reference: visit.reference, ...head, readings }];
  }) };
  const made = new Blob([JSON.stringify(file, null, 1)], { type: "application/json" });
  const link = h("a", { href: URL.createObjectURL(made), download: `readings-${new Date().toISOString().slice(0, 16).replace(":", "")}.json` });
  link.click();
  say(t("Saved. It stays on the phone too; sent twice it is stored once."));
}
