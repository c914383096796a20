// Pairing, the day's machines, and the way to a visit.
import { button, complain, day, go, h, language, saidBy, say, t, way } from "./dom.js";
import * as kept from "./kept.js";
import * as packs from "./packs.js";
import * as server from "./server.js";

/** @typedef {import("./types.d.ts").Pack} Pack */

/** @param {string} words @param {any} input */
export const labelled = (words, input) => h("label", null, words, input);

export async function pair() {
  const code = h("input", { autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: 20 });
  const device = h("input", { maxlength: 60, value: t("my phone") });
  // An iPhone keeps an installed page apart from the browser's.
  const inBrowser = /** @type {any} */ (navigator).standalone === false;
  return [
    h("h1", null, t("Pair this phone")),
    inBrowser && h("p", { class: "stop" }, t("First add this page to the home screen and open it there: what is typed in the browser stays in the browser.")),
    h("p", null, t("The office makes a code on the page of the person. It works once, for some minutes.")),
    labelled(t("Code"), code), labelled(t("Name of this phone"), device),
    button(t("Pair"), async () => {
      const { status, body } = await server.pair(code.value.trim().toUpperCase(), device.value.trim());
      if (status === 201) {
        go("machines");
        location.reload();
      } else if (status) say(saidBy(body?.code, body?.detail) || t("This code was not taken."), true);
      else say(t("There is no signal: pairing needs it. Try again where there is."), true);
    }, { class: "main" }),
    way(t("What waits on this phone"), "outbox"),
  ].filter(Boolean);
}

/** @param {Pack} pack */
function line(pack) {
  return h("li", null,
    h("a", { href: `#/machine/${pack.id}`, class: "way" }, h("strong", null, pack.code), " ", pack.name ?? ""),
    h("span", null, pack.building),
    pack.stopped && h("strong", { class: "shout" }, t("out of service")));
}

export async function today() {
  const found = await packs.all();
  const visits = (await kept.visits()).filter((each) => Date.now() - Date.parse(each.begun_at) < 86_400_000);
  return [
    h("h1", null, t("Today")),
    found.length ? await packs.age(found) : h("p", null, t("First choose the day's machines, where there is signal.")),
    (await packs.stored()).length > found.length && h("p", { class: "notice" }, t("What to measure was fetched for another version of this page: fetch it again. What was typed is kept.")),
    h("ul", { class: "list" }, ...found.map(line)),
    way(t("Choose machines"), "machines"),
    visits.length > 0 && h("h2", null, t("Visits of today")),
    h("ul", { class: "list" }, ...visits.map((each) =>
      h("li", null, way(`${each.machine.code}, ${day(each.begun_at)}`, `visit/${each.reference}`)))),
  ].filter(Boolean);
}

export async function machines() {
  const search = h("input", { type: "search", enterkeyhint: "search" });
  const minutes = h("select", null, ...[30, 45, 60, 90].map((each) => h("option", { value: each }, t("{n} minutes", { n: each }))));
  const list = h("ul", { class: "list" });
  const chosen = new Set((await packs.all()).map((each) => each.id));
  const look = async () => {
    const { status, body } = await server.ask(`/api/v1/field/machines?q=${encodeURIComponent(search.value.trim())}`);
    if (status !== 200) return say(status ? saidBy(body?.code, body?.detail) || String(status) : t("There is no signal: the machines on the phone stay as they are."), true);
    list.replaceChildren(...(body.results ?? body.machines).map((/** @type {any} */ each) => h("li", null,
      h("label", { class: "choice" },
        h("input", { type: "checkbox", checked: chosen.has(each.id), change: (/** @type {any} */ e) => e.target.checked ? chosen.add(each.id) : chosen.delete(each.id) }),
        h("span", null, h("strong", null, each.code), ` ${each.building ?? ""} ${each.due ? new Date(each.due).toLocaleDateString(language) : ""}`), each.stopped && h("strong", { class: "shout" }, t("out of service"))))));
  };
  look().catch(complain);
  return [
    h("h1", null, t("Choose machines")), labelled(t("Search"), search), button(t("Search"), look),
    labelled(t("Time for each"), minutes), list,
    button(t("Fetch for the day"), async () => {
      const told = await packs.fetchFor([...chosen], Number(minutes.value));
      if (!told) return go("");
      say(told, true);
      chosen.clear();
      for (const each of await packs.all()) chosen.add(each.id);
      await look();
    }, { class: "main" }),
  ];
}

/** @param {string} id */
export async function machine(id) {
  const pack = await packs.one(Number(id));
  if (!pack) return [h("p", null, t("This machine is not on the phone.")), way(t("Today"), "")];
  const visits = (await kept.visits()).filter((each) => each.machine.id === pack.id);
  const begin = async (/** @type {string} */ kind, /** @type {any} */ work) => {
    const holder = await server.holder();
    if (!holder) return;
    const about = { holder, machine: { id: pack.id, code: pack.code }, kind, ...(work && { work }) };
    go(`visit/${(await kept.begin(about)).reference}`);
  };
  return [
    h("h1", null, `${pack.code}, ${pack.building}`), await packs.age([pack]),
    ...pack.stops.map((each) => h("p", { class: "stop" }, each)),
    h("p", null, t("Look at the plate. Is it this one?")), h("p", { class: "plate" }, pack.code, h("small", null, pack.plate)), pack.marks && h("p", null, pack.marks),
    byCamera(pack),
    ...pack.visit_kinds.filter((each) => each.kind !== "AS_LEFT").map((each) =>
      button(t("Yes: begin {kind}, {n} min", { kind: each.words, n: each.minutes }), () => begin(each.kind, null), { class: "main" })),
    ...pack.works.map((each) => button(t("Yes: read as left after {work}", { work: each.words }), () => begin("AS_LEFT", each))),
    way(t("No: to the other machines"), ""),
    visits.length > 0 && h("h2", null, t("Visits on this phone")),
    ...visits.map((each) => way(day(each.begun_at), `visit/${each.reference}`)),
  ].filter(Boolean);
}

/** The machine's code read from a picture, where the browser can; elsewhere by eye. @param {Pack} pack */
function byCamera(pack) {
  const Detector = /** @type {any} */ (globalThis).BarcodeDetector;
  if (!Detector) return null;
  const look = async (/** @type {any} */ e) => {
    const [file] = e.target.files;
    const seen = file ? await new Detector().detect(await createImageBitmap(file)) : [];
    const codes = seen.map((/** @type {any} */ each) => each.rawValue.trim());
    const isOf = (/** @type {Pack} */ each) => codes.some((/** @type {string} */ code) => code === each.code || code.endsWith(`/machines/${each.id}`));
    const other = (await packs.all()).find(isOf);
    if (isOf(pack)) return say(t("The code says so too: {code}.", { code: pack.code }));
    if (!codes.length) return say(t("No code was seen in the picture: look at the plate."), true);
    say(other ? t("This is another machine: {code}.", { code: other.code }) : t("This code is of none of the machines on the phone: {code}.", { code: codes.join(", ") }), true);
  };
  return labelled(t("Or take a picture of its code"), h("input", { type: "file", accept: "image/*", capture: "environment", change: (/** @type {any} */ e) => look(e).catch(complain) }));
}

/** The test of traction, step by step. Common practice, no source. @param {string} visit */
export async function slipTest(visit) {
  const steps = [
    t("Two competent persons who see or hear each other; nobody in the car, in the pit or on the roof. Landing doors closed and barred."),
    t("Only if local code and the makers' instructions allow it; the authority having jurisdiction and the licensed inspector decide what is asked."),
    t("Machine isolated and locked out: chalk one line across ropes and sheave. Hands off before it is switched on again."),
    t("Car empty, and low enough that it stands well below the top landing even if it runs on twice as far as usual. First drive up at inspection speed: ropes seen to slip, stop here."),
    t("Drive up at rated speed and stop by the brake, from a safe place away from ropes and sheave. Note case, load and speed."),
    t("Isolate and lock out again. Measure how far the chalk on the ropes stands from that on the sheave, and how far the car ran on."),
    t("Slipped: the machine stays out of service. Secure car and counterweight, tell the office."),
  ];
  return [
    h("h1", null, t("Slip test, step by step")),
    h("img", { src: new URL("drawings/rope_mark_offset.svg", import.meta.url).href, alt: t("Chalk on the ropes has moved past the chalk on the sheave.") }),
    h("ol", null, ...steps.map((each) => h("li", null, h("label", { class: "choice" }, h("input", { type: "checkbox" }), h("span", null, each))))),
    way(t("To the readings"), `visit/${visit}`),
  ];
}
