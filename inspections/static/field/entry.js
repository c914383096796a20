// The grid: one field for each place, the next one by itself, its tick once it is kept.
// A number is kept without a key once nothing can follow it; Backspace in the empty field
// after it takes it up again.
import * as bands from "./bands.js";
import { button, complain, h, saidBy, say, t } from "./dom.js";
import * as kept from "./kept.js";
import * as numbers from "./numbers.js";
import * as store from "./store.js";
import { asked, gaugeOf, isComplete, lastOf, surprises, toolOf, unitOf } from "./typed.js";

/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Spot} Spot */
/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {{ visit: import("./types.d.ts").Visit, pack: import("./types.d.ts").Pack,
 *   readings: Reading[], units: Record<string, string>, gauges: Record<string, string>,
 *   beside: Record<string, Record<string, any>> }} About */

// Kinds of which a drawing shows where the gauge goes, and those that share another's.
const DRAWN = ["rope_diameter", "rope_crown_height", "rope_crown_step", "seat_band_width",
  "groove_bottom_depth", "bottom_clearance", "seat_gauge_fit", "slot_width", "seat_runout",
  "rim_thickness", "underside_runout", "pulley_groove_depth", "lay_length", "cwt_runby",
  "car_runby", "wave_time", "spring_length", "rope_mark_offset", "wrap_offset_x"];
const SHARED = /** @type {Record<string, string>} */ ({
  rope_diameter_unworn: "rope_diameter", wrap_drop_h: "wrap_offset_x" });

/** @param {string} fault @param {Item} item */
function faulty(fault, item) {
  const said = /** @type {Record<string, string>} */ ({
    number: t("This is no number. Write it like 11.8, 29/64 or 1 3/16."),
    negative: t("This cannot be below 0."), zero: t("This must be above 0."),
    whole: t("Only a whole number can be counted."), large: t("This is too large."),
    unit: t("This unit is not taken here."), word: t("Choose one of the answers."),
  })[fault];
  return `${item.name}: ${said} ${t("It still stands in its field and is not kept.")}`;
}

/** @param {Item} item @param {Pick<Spot, "number" | "place">} spot */
const idOf = (item, spot) =>
  `${item.kind}|${spot.number ?? ""}|${JSON.stringify(Object.entries(spot.place).sort())}`;

/** Whether a reading is one of a place. @param {Reading} each @param {Item} item @param {Spot} spot */
export const isOf = (each, item, spot) => each.state !== "replaced" && each.kind === item.kind && each.number === spot.number
  && Object.entries(spot.place).every(([key, value]) => each.place[key] === value);

/** @param {Item} item @param {About} about */
export function grid(item, about) {
  const drawing = SHARED[item.kind] ?? item.kind;
  const more = item.place_keys.filter((key) => item.places.every((spot) => !(key.key in spot.place)));
  // What was said beside a grid stands there again when the visit is opened again.
  const place = about.beside[item.kind] ??= {};
  const needed = more.filter((key) => key.needed).map((key) => placeField(key, place, about));
  const other = more.filter((key) => !key.needed && (key.values || key.number)).map((key) => placeField(key, place, about));
  const rows = h("ul", { class: "grid" }, ...item.places.map((spot) => row(item, spot, about, place)));
  return h("section", { class: "item", "data-kind": item.kind },
    h("h3", null, item.name),
    h("details", null, h("summary", null, t("How, and what it decides")),
      item.how && h("p", null, item.how), item.decides && h("p", null, item.decides),
      item.gauge && h("p", null, t("Gauge: {gauge}", { gauge: item.gauge })),
      item.quantity === "length" && h("p", null, t("With its gauge chosen a number is kept by its last digit; you write the decimal mark yourself.")),
      DRAWN.includes(drawing) && h("img", { src: new URL(`drawings/${drawing}.svg`, import.meta.url).href, alt: t("Where the gauge goes: {what}", { what: item.how || item.name }), loading: "lazy" }),
      item.not_checked && h("p", null, t("Not checked for plausibility: the diameter of the ropes is not registered.")),
      ...other, item.number_by && another(item, about, rows, place)),
    ...needed, rows);
}

/** @param {import("./types.d.ts").PlaceKey} key @param {Record<string, any>} place @param {About} about */
function placeField(key, place, about) {
  const change = (/** @type {any} */ e) => {
    const given = e.target.value.trim();
    if (given === "") delete place[key.key];
    else place[key.key] = key.number ? Number(given.replace(",", ".")) : given;
    store.remember(`beside|${about.visit.reference}`, about.beside).catch(complain);
  };
  const value = place[key.key] ?? "";
  return h("label", null, key.words, key.values
    ? h("select", { change }, h("option", { value: "" }, "-"), ...key.values.map((each) => h("option", { value: each.value, selected: each.value === value }, each.words)))
    : h("input", { change, value, inputmode: key.number ? "decimal" : "text", maxlength: 40 }));
}

/** A rope or groove that is not on the list. */
function another(/** @type {Item} */ item, /** @type {About} */ about, /** @type {any} */ rows, /** @type {any} */ place) {
  const number = h("input", { inputmode: "numeric", maxlength: 2 });
  const there = item.number_by === "rope" ? about.pack.ropes : about.pack.grooves;
  const words = t(item.number_by ?? "");
  return h("p", { class: "row" }, h("label", null, t("Another {what}, number", { what: words }), number), button(t("Add"), () => {
    const wanted = Number(number.value);
    if (!there.includes(wanted)) return say(t("There is no {what} {n} here; there are {all}.", { what: words, n: number.value, all: there.join(", ") }), true);
    const given = item.places[0]?.place ?? {};
    rows.append(row(item, { number: wanted, place: { ...given }, words: `${words} ${wanted}`, last: null, reasons: [], limit: "", surprising: { words: "", at_or_below: null, at_or_above: null } }, about, place));
  }));
}

/** @param {Item} item @param {Spot} spot @param {About} about @param {Record<string, any>} extra */
function row(item, spot, about, extra) {
  const id = idOf(item, spot);
  const tick = h("output", { class: "tick", "data-id": id });
  tick.said = item.words_said;
  const unit = () => unitOf(item, about);
  const last = h("small");
  const showLast = () => {
    last.textContent = spot.last ? `${t("last {value}", { value: lastOf(item, spot, unit()) })} ${item.words.length ? "" : unit()}` : t("not read yet");
  };
  showLast();
  const label = h("span", { class: "where" }, h("b", null, spot.words || item.name), " ", last);
  /** @param {string} typed @param {string} [note] */
  const keep = async (typed, note) => {
    const value = item.words.length ? typed : numbers.plain(typed);
    const answer = bands.judge(item, value, unit());
    if (answer.fault) return say(faulty(answer.fault, item), true), false;
    const lacks = item.place_keys.find((key) => key.needed && !(key.key in spot.place) && !(key.key in extra));
    if (lacks) return say(t("First say: {what}.", { what: lacks.words }), true), false;
    const before = tick.dataset.reading;
    const reading = await kept.keep({
      visit: about.visit.reference, kind: item.kind, number_by: item.number_by, number: spot.number,
      place: { ...spot.place, ...extra }, typed, value, unit: item.words.length ? "" : unit(),
      judged: answer.judged, gauge: item.words.length ? "" : gaugeOf(item, about)?.code ?? "", ...(note && { note }), ...(before && { mends: before }),
    });
    shown(tick, reading);
    const odd = surprises(spot, answer.value);
    const acts = answer.judged.acts;
    const doubt = asked(item, spot, value, unit());
    if (acts === "stop") say(`${t("Nobody has been told yet: this phone has not sent it. Tell whoever is in charge yourself.")} ${[...new Set([answer.judged.words.join(" "), about.pack.stop_words])].filter((each, _, all) => !all.some((other) => other !== each && other.includes(each))).join(" ")} ${doubt}`, true);
    else if (acts === "again" || acts === "tell") say(`${item.name}: ${answer.judged.words.join(" ")} ${doubt}`, true);
    else say(acts === "hold" ? `${answer.judged.words.join(" ")}. ${t("Measure once more.")} ${doubt}`
      : odd ? `${spot.surprising.words}. ${t("Measure once more.")} ${doubt}` : doubt);
    await store.remember(`draft|${about.visit.reference}|${id}`, undefined);
    window.dispatchEvent(new Event("field-kept"));
    return true;
  };
  const own = about.readings.filter((each) => isOf(each, item, spot)).at(-1);
  if (own) shown(tick, own);
  const field = item.words.length ? choices(item, keep) : typing(item, spot, about, keep, unit, showLast, id);
  return h("li", null, label, field, tick);
}

/** What the server warned of. @param {Reading} each */
export const warned = (each) => (each.warnings?.map((one) => saidBy(one.code, "", one)).filter(Boolean).join(" ") || each.warning);

/** Why the server, or the page itself, has not taken it. @param {Reading} each */
export const why = (each) => saidBy(each.problem_code, each.problem);

/** @param {any} tick @param {Reading} reading */
function shown(tick, reading) {
  tick.dataset.reading = reading.reference;
  tick.textContent = `\u2713 ${tick.said?.[reading.typed] ?? reading.typed}${reading.unit ? ` ${reading.unit}` : ""}`;
  tick.classList.toggle("acts", Boolean(reading.judged.acts));
  const refused = reading.state === "refused" || reading.state === "conflict";
  if (refused) tick.textContent = `! ${reading.typed}: ${why(reading)}`;
  tick.dataset.state = reading.state;
}

/** @param {Reading[]} readings */
export function mark(readings) {
  for (const tick of /** @type {NodeListOf<any>} */ (document.querySelectorAll("output[data-reading]"))) {
    const reading = readings.find((each) => each.reference === tick.dataset.reading);
    if (reading) shown(tick, reading);
  }
}

/** @param {Item} item @param {(typed: string, note?: string) => Promise<boolean>} keep */
function choices(item, keep) {
  return h("span", { class: "words" }, ...item.words.map((word) => button(item.words_said[word] ?? word, async () => {
    if (word !== "not seen") return void (await keep(word));
    const note = window.prompt(t("Not made, because:"));
    if (note?.trim()) await keep(word, note.trim().slice(0, 500));
    else say(t("Say why it was not made."), true);
  })));
}

/** @param {any[]} given */
function typing(...given) {
  const [item, spot, about, keep, unit, showLast, id] = given;
  const draft = `draft|${about.visit.reference}|${id}`;
  const input = h("input", {
    inputmode: "decimal", enterkeyhint: "next", autocomplete: "off", maxlength: 40,
    "aria-label": [item.name, spot.words].filter(Boolean).join(", "), "data-unit": unit(), class: "value",
    keydown: (/** @type {KeyboardEvent} */ e) => {
      if (e.key !== "Enter" && (e.key !== "Backspace" || input.value || !input.back)) return;
      e.preventDefault();
      if (e.key === "Enter") return void input.keep().catch(complain);
      // The number just kept is taken up again: what is kept then mends it.
      input.back.again = true;
      input.back.value = input.back.typed;
      input.back.focus();
    },
    input: (/** @type {InputEvent} */ e) => {
      clearTimeout(input.later);
      if (e.inputType !== "deleteContentBackward" && isComplete(input.value, item, about)) return void input.keep().catch(complain);
      input.later = setTimeout(() => store.remember(draft, input.value).catch(complain), 250);
    },
  });
  let running = false;
  input.keep = async (/** @type {string} */ typed = input.value) => {
    if (running || !typed.trim()) return;
    running = true;
    clearTimeout(input.later);
    input.typed = typed;
    input.again = false;
    const stood = input.value;
    // What is typed while this is written belongs to the next field already.
    const next = after(input);
    if (next) next.back = input;
    if (next) next.focus();
    let done = false;
    try {
      done = await keep(typed);
      if (done && !input.again && input.value === stood) input.value = "";
      if (done && !next) input.blur();
    } finally {
      running = false;
      if (!done) input.focus();
    }
  };
  input.about = { item, same: () => lastOf(item, spot, unit()), change: () => {
    input.dataset.unit = unit();
    showLast();
  } };
  store.remembered(draft).then((kept) => {
    if (kept && !input.value) input.value = kept;
  }, complain);
  return input;
}

/** Return the next field that shows and has no tick yet. @param {any} [input] @returns {any} */
export function after(input) {
  const all = /** @type {any[]} */ ([...document.querySelectorAll("input.value")]);
  return all.slice(all.indexOf(input) + 1).find((each) => each.offsetParent && !each.closest("li").querySelector("output").textContent);
}

/** The keys that a number pad lacks, within reach of a thumb. @param {About} about */
export function keys(about) {
  const bar = h("div", { class: "keys", hidden: true });
  /** @type {any} */
  let input = null;
  const put = (/** @type {string} */ sign) => () => input?.setRangeText(sign, input.selectionStart, input.selectionEnd, "end");
  const key = (/** @type {string} */ words, /** @type {() => unknown} */ act, /** @type {string} */ name) =>
    button(words, act, { "aria-label": name, pointerdown: (/** @type {Event} */ e) => e.preventDefault() });
  const unit = h("select", { "aria-label": t("Unit"), change: () => {
    const { item } = input.about;
    about.units[item.quantity] = unit.value;
    store.remember("units", about.units).catch(complain);
    for (const each of /** @type {any} */ (document.querySelectorAll("input.value"))) each.about?.change();
    input.blur();
    input.focus();
  } });
  const choose = (/** @type {string} */ code) => {
    about.gauges[toolOf(input.about.item)] = code;
    store.remember("gauges", about.gauges).catch(complain);
    input.blur();
    input.focus();
  };
  const gauge = h("select", { "aria-label": t("Gauge"), change: () => choose(gauge.value) });
  document.addEventListener("focusin", (/** @type {any} */ e) => {
    if (bar.contains(e.target)) return;
    input = e.target.about ? e.target : null;
    bar.hidden = !input;
    if (!input) return;
    const { item, same } = input.about;
    unit.replaceChildren(...Object.keys(item.units).map((each) => h("option", { value: each, selected: each === unitOf(item, about) }, each)));
    gauge.replaceChildren(h("option", { value: "" }, t("Gauge")), ...about.pack.gauges.map((each) =>
      h("option", { value: each.code, selected: each === gaugeOf(item, about) }, each.name)));
    // Until one is chosen, two are a touch away: used here for other tools, or of a few.
    const { gauges } = about.pack;
    const used = gauges.filter((each) => gauges.length < 4 || Object.values(about.gauges).includes(each.code));
    const near = gaugeOf(item, about) ? [] : used.slice(0, 2);
    bar.replaceChildren(
      ...near.map((each) => key(each.name, () => choose(each.code), t("Gauge: {gauge}", { gauge: each.name }))),
      ...(same() ? [key(`= ${same()}`, () => input.keep(same()), t("Same as last"))] : []),
      ...(item.signed ? [key("\u2212", put("-"), t("Minus"))] : []),
      ...(unitOf(item, about) === "in" ? [key("/", put("/"), t("Fraction")), key("\u2423", put(" "), t("Space"))] : []),
      ...(about.pack.gauges.length ? [gauge] : []), unit, key("\u2713", () => input.keep(), t("Keep")));
  });
  return bar;
}
