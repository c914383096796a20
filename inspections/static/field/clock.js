// The phone's clock against the server's.
import * as store from "./store.js";

/** Beyond this the phone says that its clock is wrong. */
export const TOLD_FROM_S = 300;

/** What the phone was last found to be behind the server, in seconds; null if never. */
export const offset = async () =>
  /** @type {number | null} */ ((await store.remembered("offset_s")) ?? null);

/**
 * Remember how far the phone is behind the server.
 * @param {string} server_time
 * @param {number} asked_ms by the phone's clock
 * @param {number} answered_ms
 */
export async function learn(server_time, asked_ms, answered_ms) {
  const behind_s = (Date.parse(server_time) - (asked_ms + answered_ms) / 2) / 1000;
  if (!Number.isFinite(behind_s)) return null;
  const offset_s = Math.round(behind_s);
  await store.remember("offset_s", offset_s);
  return offset_s;
}

/**
 * An instant as ISO 8601 with the phone's own offset from UTC.
 * @param {Date} at
 */
export function written(at) {
  const minutes = -at.getTimezoneOffset();
  const two = (/** @type {number} */ n) => String(Math.trunc(Math.abs(n))).padStart(2, "0");
  const local = new Date(at.getTime() + minutes * 60_000).toISOString().slice(0, 23);
  return `${local}${minutes < 0 ? "-" : "+"}${two(minutes / 60)}:${two(minutes % 60)}`;
}

/**
 * A time of the phone's clock set right by what it was behind when it was taken.
 * @param {string} at
 * @param {number | null} offset_s
 */
export const setRight = (at, offset_s) =>
  // Seconds within the time that an answer takes are not worth another time than typed.
  Math.abs(offset_s ?? 0) <= 5 ? at : written(new Date(Date.parse(at) + (offset_s ?? 0) * 1000));

/** The day of an instant, where the machine stands. @param {string} at @param {string} [time_zone] */
export const dayOf = (at, time_zone) => new Date(at).toLocaleDateString("sv-SE", { timeZone: time_zone });
