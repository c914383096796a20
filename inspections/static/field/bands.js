// What the server would say of a reading, from the bands that it put into the pack.
import * as numbers from "./numbers.js";

/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Band} Band */
/** @typedef {import("./types.d.ts").Judged} Judged */

/**
 * @typedef {"number" | "unit" | "negative" | "zero" | "whole" | "large" | "word"} Fault
 * @typedef {{ fault: Fault } | { fault: null, value: number | null, judged: Judged,
 *   state: "STORED" | "HELD" | "UNCONFIRMED" }} Answer
 */

/**
 * Whether two numbers are the same but for binary digits.
 * @param {number} one
 * @param {number} other
 */
const isClose = (one, other) =>
  one === other
  || Math.abs(one - other) <= Math.max(1e-9 * Math.max(Math.abs(one), Math.abs(other)), 1e-9);

/**
 * @param {Band} band
 * @param {number} value
 */
function isBeyond(band, value) {
  const at = Number(band.at);
  if (band.end === "at_or_below") return value <= at;
  if (band.end === "at_or_above") return value >= at;
  if (isClose(value, at)) return band.unsafe;
  return band.end === "below" ? value < at : value > at;
}

/**
 * Judge one reading as typed.
 * @param {Pick<Item, "words" | "units" | "signed" | "whole" | "above_zero" | "bands">} item
 * @param {string} text
 * @param {string} unit
 * @returns {Answer}
 */
export function judge(item, text, unit) {
  if (item.words.length) {
    if (!item.words.includes(text)) return { fault: "word" };
    return answered(null, item.bands.filter((band) => band.end === "equals" && band.at === text));
  }
  if (!item.units[unit]) return { fault: "unit" };
  const value = numbers.canonical(text, item.units[unit]);
  if (value === null) return { fault: "number" };
  if (!item.signed && value < 0) return { fault: "negative" };
  if (item.above_zero && value === 0) return { fault: "zero" };
  if (item.whole && value !== Math.trunc(value)) return { fault: "whole" };
  if (Math.abs(value) >= 1e12) return { fault: "large" };
  const ends = item.bands.filter((band) => band.end !== "equals" && isBeyond(band, value));
  // Of the two ends of what is usual only the first that is broken counts.
  const usual = ends.filter((band) => band.end === "below" || band.end === "above");
  return answered(value, ends.filter((band) => !usual.slice(1).includes(band)));
}

/**
 * @param {number | null} value
 * @param {Band[]} broken
 * @returns {Answer}
 */
function answered(value, broken) {
  const acts = broken.map((band) => band.acts);
  const most = /** @type {const} */ (["stop", "again", "tell", "hold"]).find((a) => acts.includes(a));
  return {
    fault: null,
    value,
    state: acts.includes("again") ? "UNCONFIRMED" : acts.includes("hold") ? "HELD" : "STORED",
    judged: { acts: most ?? "", words: [...new Set(broken.map((band) => band.words))] },
  };
}
