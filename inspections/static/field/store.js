// The phone's own database: what is told as kept is on its storage, not on its way.
import "./idb.js";

/** @typedef {import("idb").IDBPDatabase} Database */
/** @typedef {import("idb").IDBPTransaction<unknown, string[], "readwrite">} Transaction */
/** @typedef {import("idb").IDBPTransaction<unknown, string[], "versionchange">} Change */

export const NAME = "ropeseat-field";

/**
 * The changes of the store, each once, in order. One that is out never changes: a later
 * one follows it. None drops a reading.
 * @type {((database: Database, change: Change) => void | Promise<void>)[]}
 */
export const STEPS = [
  (database) => {
    const readings = database.createObjectStore("readings", { keyPath: "reference" });
    readings.createIndex("state", "state");
    readings.createIndex("visit", "visit");
    database.createObjectStore("visits", { keyPath: "reference" });
    const batches = database.createObjectStore("batches", { keyPath: "key" });
    batches.createIndex("state", "state");
    database.createObjectStore("packs", { keyPath: "id" });
    database.createObjectStore("photos", { keyPath: "reference" })
      .createIndex("state", "state");
    database.createObjectStore("meta");
  },
];

/** What another page of this site or the phone itself did to the store. */
export const happened = new EventTarget();

/** @type {Promise<Database> | null} */
let opened = null;

/** @param {string} what */
const tell = (what) => happened.dispatchEvent(new CustomEvent(what));

/** @returns {Promise<Database>} */
function database() {
  opened ??= globalThis.idb.openDB(NAME, STEPS.length, {
    async upgrade(found, from, _to, change) {
      try {
        for (const step of STEPS.slice(from)) await step(found, change);
      } catch {
        // Half a step would be kept otherwise: opening fails, and nothing is changed.
        change.abort();
        await change.done.catch(() => {});
      }
    },
    blocked: () => tell("blocked"),
    // A newer page wants to change the store: let it, and say so.
    blocking() {
      void close();
      tell("newer");
    },
    // The browser closed it: the next use opens it again.
    terminated() {
      opened = null;
      tell("closed");
    },
  }).catch((problem) => {
    opened = null;
    throw problem;
  });
  return opened;
}

/** Let go of the database; the next use opens it again. */
export async function close() {
  const found = opened;
  opened = null;
  (await found)?.close();
}

// On a full disk Chromium's file of the store ends in half a record. What is written
// behind it can be read until the browser ends; after that all of the store counts as
// spoilt, and is emptied. Where a mark that needs no room to be taken away is missing,
// so much is written first that the browser begins a new file.
const WHOLE = "/field/store-is-whole";
const FILLINGS = Array.from({ length: 26 }, (_, n) => `filling ${n}`);
let torn = false;
/** @type {Promise<void> | null} */
let turning = null;
const elsewhere = new BroadcastChannel(`${NAME}-torn`);
elsewhere.onmessage = () => {
  torn = true;
};
/** Opened while there is room. @type {Promise<Cache | null> | null} */
let shelf = null;
const marks = () => (shelf ??= (globalThis.caches?.open("field-store") ?? Promise.resolve(null)).catch(() => null));
// A mark that cannot be set costs one more turn.
const mark = async () => (await marks())?.put(WHOLE, new Response("")).catch(() => {});

/** Learn whether the store was full when it was last written to. */
export async function learn() {
  if (await (await marks())?.match(WHOLE).catch(() => null)) return;
  torn = (await look(["readings"], (t) => t.objectStore("readings").count())) > 0;
  if (!torn) await mark();
}

/** Have the browser begin a new file of the store. */
async function turnOver() {
  // More than the 4 MB of one file, in pieces that stay in it and cannot be made smaller.
  const filling = crypto.getRandomValues(new Uint8Array(40_000));
  for (let round = 0; round < 6; round += 1) {
    await written(["meta"], (t) => Promise.all(FILLINGS.map((key) => t.objectStore("meta").put(filling, key))));
  }
  await written(["meta"], (t) => Promise.all(FILLINGS.map((key) => t.objectStore("meta").delete(key))));
  torn = false;
  await mark();
}

/** On a full disk a transaction may also end without a word why. @param {string} name */
const isFull = (name) => ["QuotaExceededError", "UnknownError", "AbortError"].includes(name);

/**
 * Run `work` in one transaction; what it gives comes once all of it is on storage.
 * @template Result
 * @param {string[]} names
 * @param {(transaction: Transaction) => Promise<Result> | Result} work
 * @returns {Promise<Result>}
 */
export async function change(names, work) {
  if (torn) await (turning ??= turnOver().finally(() => (turning = null)));
  try {
    return await written(names, work);
  } catch (problem) {
    if (problem instanceof DOMException && isFull(problem.name)) {
      torn = true;
      elsewhere.postMessage("");
      await (await marks())?.delete(WHOLE).catch(() => {});
    }
    throw problem;
  }
}

/**
 * @template Result
 * @param {string[]} names
 * @param {(transaction: Transaction) => Promise<Result> | Result} work
 * @returns {Promise<Result>}
 */
async function written(names, work) {
  const transaction = await begin(names, "readwrite");
  /** @type {Result} */
  let result;
  try {
    result = await work(/** @type {Transaction} */ (transaction));
  } catch (problem) {
    try {
      transaction.abort();
    } catch {
      // It had ended by itself.
    }
    await transaction.done.catch(() => {});
    throw transaction.error ?? problem;
  }
  // A request that succeeded says nothing yet: only the end of the transaction does.
  await transaction.done;
  return result;
}

/**
 * Look into the store.
 * @template Result
 * @param {string[]} names
 * @param {(transaction: import("idb").IDBPTransaction<unknown, string[], "readonly">) => Promise<Result>} work
 * @returns {Promise<Result>}
 */
export async function look(names, work) {
  const transaction = await begin(names, "readonly");
  return work(/** @type {any} */ (transaction));
}

/**
 * @param {string[]} names
 * @param {"readonly" | "readwrite"} mode
 * @returns {Promise<any>}
 */
async function begin(names, mode) {
  for (let tries = 0; ; tries += 1) {
    const found = await database();
    try {
      return found.transaction(names, mode, { durability: "strict" });
    } catch (problem) {
      // Closed under our hands before anything was asked of it.
      const closed = problem instanceof DOMException && problem.name === "InvalidStateError";
      if (!closed || tries) throw problem;
      opened = null;
    }
  }
}

/** @param {string} key @returns {Promise<any>} */
export const remembered = (key) =>
  look(["meta"], (transaction) => transaction.objectStore("meta").get(key));

/** @param {string} key @param {unknown} value */
export const remember = (key, value) =>
  change(["meta"], (transaction) => transaction.objectStore("meta").put(value, key));

/**
 * Return the next number of the one order in which everything was done here.
 * @param {Transaction} transaction one that covers "meta"
 * @returns {Promise<number>}
 */
export async function next(transaction) {
  const meta = transaction.objectStore("meta");
  const number = 1 + ((await meta.get("sequence")) ?? 0);
  await meta.put(number, "sequence");
  return number;
}
