// What a gauge and the last reading of a place say of a number: when it has all its
// digits, and whether it could be another one than was meant.
import { t, written } from "./dom.js";
import * as numbers from "./numbers.js";

/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Spot} Spot */
/** @typedef {{ pack: Pick<import("./types.d.ts").Pack, "gauges">, units: Record<string, string>,
 *   gauges: Record<string, string> }} Chosen */

/** @param {Item} item @param {Chosen} chosen */
export const unitOf = (item, chosen) =>
  (item.units[chosen.units[item.quantity]] ? chosen.units[item.quantity] : item.unit);

/** What is read with the same tool has the same gauge. @param {Item} item */
export const toolOf = (item) => item.gauge || item.kind;

/** The gauge chosen for a kind, while it is in use. @param {Item} item @param {Chosen} chosen */
export const gaugeOf = (item, chosen) => chosen.pack.gauges.find((each) => each.code === chosen.gauges[toolOf(item)]);

/**
 * Whether nothing can follow what is typed: a number with the decimals that its gauge
 * shows, or a fraction of an inch in its lowest terms by 16, 32 or 64. After 2, 4 and 8
 * another digit may come (1/20). The decimal mark is never put by the page: 3 would
 * become 0.3, which fits the last one although 3 was meant.
 * @param {string} text @param {Item} item @param {Chosen} chosen
 */
export function isComplete(text, item, chosen) {
  const typed = numbers.plain(text);
  const unit = unitOf(item, chosen);
  const [, top, bottom] = /^-?(?:\d+ )?(\d*[13579])\/(16|32|64)$/.exec(typed) ?? [];
  if (top) return unit === "in" && Number(top) < Number(bottom);
  const step_mm = gaugeOf(item, chosen)?.resolution_mm;
  if (!step_mm || item.quantity !== "length") return false;
  const [above, below] = item.units[unit];
  const [, shown] = /^-?\d+\.(\d+)$/.exec(typed) ?? [];
  // An eighth of an inch is 0.125: no number of decimals says that such a step is whole.
  const steps = ((step_mm * Number(below)) / Number(above)) * 10 ** (shown?.length ?? 0);
  return Boolean(shown) && [1, 2, 5].some((each) => Math.abs(steps - each) < 1e-6);
}

/** @param {Item} item @param {Spot} spot @param {string} unit */
export function lastOf(item, spot, unit) {
  if (!spot.last) return "";
  if (spot.last.value === null) return item.words_said[spot.last.word] ?? spot.last.word;
  return written(numbers.shown(spot.last.value, item.units[unit]), unit === "in" ? 3 : 2);
}

/** @param {Spot} spot @param {number | null} value */
export const surprises = (spot, value) => value !== null
  && ((spot.surprising.at_or_below !== null && value <= spot.surprising.at_or_below)
    || (spot.surprising.at_or_above !== null && value >= spot.surprising.at_or_above));

/**
 * Asks where a number is far from the last one: after its decimal mark if it would be
 * near with the mark elsewhere, after its unit if it would be near in another.
 * @param {Item} item @param {Spot} spot @param {string} value @param {string} unit
 */
export function asked(item, spot, value, unit) {
  const last = Number(spot.last?.value);
  const isNear = (/** @type {string} */ other, /** @type {number} */ times) =>
    Math.abs((numbers.canonical(value, item.units[other]) ?? Infinity) * times - last) <= Math.abs(last) / 4;
  if (!last || item.words.length || isNear(unit, 1)) return "";
  if (!item.whole && [0.001, 0.01, 0.1, 10, 100, 1000].some((times) => isNear(unit, times))) {
    return t("The last one was {last} {unit}: do decimal mark and unit stand right?", { last: lastOf(item, spot, unit), unit });
  }
  const other = Object.keys(item.units).find((each) => isNear(each, 1));
  return other ? t("In {other} this would be near the last one: is {unit} right?", { other, unit }) : "";
}
