// Readings and visits as a person types them: kept first, told after.
import * as clock from "./clock.js";
import * as store from "./store.js";

/** @typedef {import("./types.d.ts").Holder} Holder */
/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {import("./types.d.ts").Visit} Visit */
/** @typedef {import("./types.d.ts").State} State */

/** What may still be on the phone alone. */
export const UNSENT = /** @type {State[]} */ (["kept", "frozen", "refused", "conflict"]);
const AT_SERVER = /** @type {State[]} */ (["stored", "held"]);

/** A reference that is made once and never again. */
export const reference = () => `f-${crypto.randomUUID()}`;

/** Tells this page's other tabs that something changed. */
const channel = new BroadcastChannel(store.NAME);
channel.onmessage = () => store.happened.dispatchEvent(new CustomEvent("changed"));

export function tellOthers() {
  channel.postMessage("changed");
  store.happened.dispatchEvent(new CustomEvent("changed"));
}

/**
 * Begin a visit at a machine.
 * @param {{ holder: Holder, machine: Visit["machine"], kind: string, work?: Visit["work"] }} about
 * @returns {Promise<Visit>}
 */
export async function begin(about) {
  const visit = {
    ...about,
    reference: reference(),
    begun_at: clock.written(new Date()),
    offset_s: await clock.offset(),
    note: "",
  };
  await store.change(["visits"], (t) => t.objectStore("visits").add(visit));
  return visit;
}

/**
 * Keep one reading; it is on storage when this returns. One that mends another stands
 * beside it: what was typed is never written over.
 * @param {Pick<Reading, "visit" | "kind" | "number_by" | "number" | "place" | "typed"
 *   | "value" | "unit" | "judged"> & { note?: string, gauge?: string, mends?: string }} typed
 * @returns {Promise<Reading>}
 */
export async function keep(typed) {
  const offset_s = await clock.offset();
  const kept = await store.change(["readings", "visits", "meta"], async (t) => {
    const visit = /** @type {Visit | undefined} */ (
      await t.objectStore("visits").get(typed.visit));
    if (!visit) throw new Error("this visit is not on the phone");
    const reading = /** @type {Reading} */ ({
      note: "",
      gauge: "",
      ...typed,
      reference: reference(),
      sequence: await store.next(t),
      holder: visit.holder,
      machine: visit.machine.id,
      taken_at: clock.written(new Date()),
      offset_s,
      state: "kept",
    });
    if (typed.mends) await replace(t, typed.mends, reading);
    await t.objectStore("readings").add(reading);
    return reading;
  });
  tellOthers();
  return kept;
}

/**
 * @param {store.Transaction} t
 * @param {string} named
 * @param {Reading} reading the one that takes its place
 */
async function replace(t, named, reading) {
  const readings = t.objectStore("readings");
  const before = /** @type {Reading | undefined} */ (await readings.get(named));
  if (!before) throw new Error("the reading to mend is not on the phone");
  if (before.state === "replaced") throw new Error("this reading is mended already");
  // What is mended was read then: only how it was typed is new.
  reading.taken_at = before.taken_at;
  reading.offset_s = before.offset_s;
  // Under way its fate is open, at the server it is corrected: both stay as they are.
  if (before.state === "frozen" || AT_SERVER.includes(before.state)) return;
  if (before.mends) reading.mends = before.mends;
  else delete reading.mends;
  await readings.put({ ...before, state: "replaced" });
}

/** @returns {Promise<Reading[]>} in the order in which they were typed */
export async function readings() {
  const found = await store.look(["readings"], (t) => t.objectStore("readings").getAll());
  return found.sort((one, other) => one.sequence - other.sequence);
}

/** @param {string} visit @returns {Promise<Reading[]>} */
export async function readingsOf(visit) {
  const found = await store.look(["readings"], (t) =>
    t.objectStore("readings").index("visit").getAll(visit));
  return found.sort((one, other) => one.sequence - other.sequence);
}

/** @returns {Promise<Visit[]>} the latest first */
export async function visits() {
  const found = await store.look(["visits"], (t) => t.objectStore("visits").getAll());
  return found.sort((one, other) => (one.begun_at < other.begun_at ? 1 : -1));
}

/** @param {string} named @returns {Promise<Visit | undefined>} */
export const visit = (named) =>
  store.look(["visits"], (t) => t.objectStore("visits").get(named));

/**
 * Change what is known of a visit, as long as nothing of it may have left the phone.
 * @param {string} named
 * @param {Partial<Visit>} changes
 * @returns {Promise<boolean>} false if it has
 */
export async function changeVisit(named, changes) {
  const done = await store.change(["visits", "readings"], async (t) => {
    const row = /** @type {Visit} */ (await t.objectStore("visits").get(named));
    const head = ["machine", "kind", "visited_at", "note"].some((name) => name in changes);
    if (row.sent_head && head) return false;
    await t.objectStore("visits").put({ ...row, ...changes });
    if (changes.machine) {
      const readings = t.objectStore("readings");
      for (const each of await readings.index("visit").getAll(named)) {
        await readings.put({ ...each, machine: changes.machine.id });
      }
    }
    return true;
  });
  tellOthers();
  return done;
}

/** Whether two holders are the same person of the same contractor.
 * @param {Holder | null} one
 * @param {Holder} other
 */
export const isSame = (one, other) =>
  one?.contractor === other.contractor && one?.person === other.person;
