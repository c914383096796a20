// The phone as a stopwatch: one touch at each return of a wave in a rope.
import { button, h, say, t, way, written } from "./dom.js";
import * as kept from "./kept.js";
import * as packs from "./packs.js";

const LEAST = 10;

/**
 * Of the moments of touches: the time of ten returns, and how even they came.
 * @param {number[]} touches in milliseconds, the first one is the start
 */
export function timed(touches) {
  const gaps = touches.slice(1).map((at, n) => at - touches[n]);
  if (!gaps.length) return { returns: 0, ten_s: 0, spread: 0 };
  const mean = gaps.reduce((sum, each) => sum + each, 0) / gaps.length;
  const square = gaps.reduce((sum, each) => sum + (each - mean) ** 2, 0) / Math.max(1, gaps.length - 1);
  return { returns: gaps.length, ten_s: mean / 100, spread: Math.sqrt(square) / mean };
}

/** @param {string} reference */
export async function screen(reference) {
  const visit = await kept.visit(reference);
  const pack = visit && (await packs.one(visit.machine.id));
  if (!visit || !pack) return [way(t("Today"), "")];
  /** @type {number[]} */
  let touches = [];
  const rope = h("select", null, ...pack.ropes.map((each) => h("option", { value: each }, `${t("rope")} ${each}`)));
  const side = choice([["car", t("car side")], ["counterweight", t("counterweight side")]]);
  const at = choice([["bottom", t("car at the bottom")], ["middle", t("car in the middle")], ["top", t("car at the top")]]);
  const told = h("p", { role: "status", class: "count" });
  const show = () => {
    const { returns, ten_s, spread } = timed(touches);
    told.textContent = returns
      ? t("{n} returns; ten take {s} s; they differ by {p} %", { n: returns, s: written(ten_s, 2), p: written(spread * 100, 0) })
      : t("Strike the rope, then touch at each return. The first touch starts.");
  };
  show();
  const touch = h("button", { type: "button", class: "touch", pointerdown: (/** @type {Event} */ e) => {
    e.preventDefault();
    touches.push(e.timeStamp);
    show();
  }, keydown: (/** @type {KeyboardEvent} */ e) => {
    if (e.repeat || (e.key !== " " && e.key !== "Enter")) return;
    touches.push(e.timeStamp);
    show();
  } }, t("Touch at each return"));
  const anew = () => {
    touches = [];
    show();
  };
  return [
    h("h1", null, t("Time the waves by touch")),
    h("p", { class: "stop" }, t("Ropes stopped, machine isolated and locked out; strike from a safe stand, no hand between rope and sheave.")),
    h("p", { class: "row" }, rope, side, at), touch, told,
    h("p", { class: "row" }, button(t("Anew"), anew), button(t("Keep"), async () => {
      const { returns, ten_s, spread } = timed(touches);
      if (returns < LEAST) return say(t("At least ten returns; there are {n}.", { n: returns }), true);
      if (spread > 0.15) return say(t("The returns differ by more than 15 %: a touch was missed. Time them anew."), true);
      const value = ten_s.toFixed(2);
      await kept.keep({ visit: reference, kind: "wave_time", number_by: "rope", number: Number(rope.value), place: { side: side.value, car_position: at.value }, typed: value, value, unit: "s", gauge: "", judged: { acts: "", words: [] }, note: `${returns} returns by touch, spread ${Math.round(spread * 100)} %` });
      say(t("Kept: {what} {s} s.", { what: `${t("rope")} ${rope.value}`, s: value }));
      anew();
      rope.selectedIndex = (rope.selectedIndex + 1) % rope.options.length;
      window.dispatchEvent(new Event("field-kept"));
    }, { class: "main" })),
    way(t("To the readings"), `visit/${reference}`),
  ];
}

/** @param {string[][]} given */
const choice = (given) => h("select", null, ...given.map(([value, words]) => h("option", { value }, words)));
