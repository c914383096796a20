// What is sent: frozen bytes under a key of their own, in the order of typing, by one tab.
import * as clock from "./clock.js";
import { saidBy, t } from "./dom.js";
import * as kept from "./kept.js";
import * as pictures from "./pictures.js";
import * as server from "./server.js";
import * as store from "./store.js";

/** @typedef {import("./types.d.ts").Batch} Batch */
/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {import("./types.d.ts").Visit} Visit */
/** @typedef {import("./types.d.ts").Holder} Holder */

const LOCK = `${store.NAME}-send`;
/** Readings in one batch: a lost answer costs little. */
const MOST = 200;
const ALL = ["readings", "visits", "batches", "meta", "packs"];

/**
 * Send what waits, if no other tab does. Asked for again while it goes, it goes again.
 * @returns {Promise<"sent" | "waiting" | "other" | "nobody">}
 */
export async function send() {
  const own = await server.holder();
  if (!own) return "nobody";
  return navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
    if (!lock) return "other";
    // Without signal nothing is frozen: it can still be mended, moved and dated in place.
    if (!(await server.contact())) return "waiting";
    let again = true;
    while (again) {
      await freeze(own);
      const waiting = await batches(own, "waiting");
      for (const batch of waiting) if (!(await sendOne(batch, own))) return "waiting";
      again = waiting.length > 0;
    }
    return "sent";
  });
}

/**
 * Put what waits into batches: from then on their bytes never change.
 * @param {Holder} own
 */
export async function freeze(own) {
  const offset_s = await clock.offset();
  let learnt = false;
  await store.change(ALL, async (t) => {
    const waiting = await t.objectStore("readings").index("state").getAll("kept");
    const mine = waiting.filter((each) => kept.isSame(own, each.holder))
      .sort((one, other) => one.sequence - other.sequence);
    const named = new Set(mine.map((each) => each.visit));
    for (const reference of named) {
      const visit = /** @type {Visit} */ (await t.objectStore("visits").get(reference));
      const pack = await t.objectStore("packs").get(visit.machine.id);
      const ready = [];
      for (const reading of mine.filter((each) => each.visit === reference)) {
        const why = whyWaits(visit, pack, reading, offset_s);
        const corrected = why ? null : await correctedBy(t, reading);
        if (why || corrected === null) {
          if (why && reading.problem !== why) {
            await t.objectStore("readings").put({ ...reading, problem: why });
            learnt = true;
          }
        } else ready.push({ reading, corrected });
      }
      const first = reportsWork(visit) ? ready.length : MOST;
      for (let n = 0; n < ready.length; n += first) await put(t, visit, own, ready.slice(n, n + first));
    }
  });
  // Why something waits is shown where the list already stands.
  if (learnt) kept.tellOthers();
}

/** Why a reading is not sent yet: as a code for the page's words.
 * @param {Visit} visit
 * @param {import("./types.d.ts").Pack | undefined} pack
 * @param {Reading} reading
 * @param {number | null} offset_s
 */
export function whyWaits(visit, pack, reading, offset_s) {
  if (visit.work && !visit.work_done_on) return "as-left";
  if (visit.visited_at) return "";
  const moved = reading.offset_s !== null && offset_s !== null
    && Math.abs(reading.offset_s - offset_s) > clock.TOLD_FROM_S;
  // The clock was set between typing and sending: which of the two was right is not known.
  if (moved) return "clock-moved";
  const day = clock.dayOf(clock.setRight(reading.taken_at, reading.offset_s ?? offset_s), pack?.time_zone);
  const part = reading.number_by === "rope" ? "rope_set" : "sheave";
  const fitted = pack?.fitted?.[part];
  return reading.number_by && fitted && day < fitted ? "before-fitted" : "";
}

/**
 * Return what a mended reading corrects at the server, "" for nothing; null while that
 * is not known yet.
 * @param {store.Transaction} t
 * @param {Reading} reading
 */
async function correctedBy(t, reading) {
  if (!reading.mends) return "";
  const before = /** @type {Reading | undefined} */ (await t.objectStore("readings").get(reading.mends));
  if (!before || before.state === "stored" || before.state === "held") return reading.mends;
  if (before.state === "frozen" || before.state === "kept") return null;
  if (before.state !== "replaced") await t.objectStore("readings").put({ ...before, state: "replaced" });
  return "";
}

/**
 * @param {store.Transaction} t
 * @param {Visit} visit
 * @param {Holder} own
 * @param {{ reading: Reading, corrected: string }[]} ready
 */
async function put(t, visit, own, ready) {
  const { holder, head, readings } = written(visit, ready);
  const { reference, work } = visit;
  const reports = reportsWork(visit);
  const body = reports ? {
    kind: work?.reported_as, done_on: visit.work_done_on, planned_work: work?.id,
    as_left: { reference, visited_at: head.visited_at, readings },
  } : { visits: [{ reference, ...head, readings }] };
  if (!visit.sent_head) {
    visit.sent_head = head;
    await t.objectStore("visits").put(visit);
  }
  /** @type {Batch} */
  const batch = {
    key: crypto.randomUUID(), sequence: await store.next(t), holder: holder ?? own,
    visit: reference, path: reports ? `/api/v1/machines/${visit.machine.id}/works` : "/api/v1/uploads", bytes: new TextEncoder().encode(JSON.stringify(body)),
    references: ready.map((each) => each.reading.reference), state: "waiting", tries: 0,
  };
  await t.objectStore("batches").add(batch);
  for (const { reading } of ready) {
    const { problem: _, problem_code: __, ...rest } = reading;
    await t.objectStore("readings").put({ ...rest, state: "frozen" });
  }
}

/** Whether the visit's first batch tells the work itself as done. @param {Visit} visit */
const reportsWork = (visit) =>
  !visit.sent_head && Boolean(visit.work?.reported_as) && !visit.work?.needs_parts;

/** Pasted text may hold signs that turn a line round: the server takes none. @param {string} text */
const plain = (text) => text.replace(/[\u202a-\u202e\u2066-\u2069]/g, "");

/**
 * Return a visit as an upload has it.
 * @param {Visit} visit
 * @param {{ reading: Reading, corrected: string }[]} ready
 */
export function written(visit, ready) {
  const head = visit.sent_head ?? {
    machine: visit.machine.code,
    kind: visit.kind,
    visited_at: visit.visited_at ?? clock.setRight(visit.begun_at, visit.offset_s ?? ready[0]?.reading.offset_s),
    note: plain(visit.note),
  };
  const readings = ready.map(({ reading, corrected }) => ({
    reference: reading.reference,
    kind: reading.kind,
    ...(reading.number_by && { [reading.number_by]: reading.number }),
    ...(Object.keys(reading.place).length && { place: reading.place }),
    value: reading.value,
    ...(reading.unit && { unit: reading.unit }),
    sequence: reading.sequence,
    ...(reading.offset_s !== null && { clock_offset_s: reading.offset_s }),
    taken_at: visit.visited_at ?? clock.setRight(reading.taken_at, reading.offset_s),
    ...(reading.gauge && { gauge: reading.gauge }),
    ...(reading.note && { note: plain(reading.note) }),
    ...(corrected && { corrects: corrected, note: plain(reading.note) || "typed wrongly, mended on the phone" }),
  }));
  return { holder: visit.holder, head, readings };
}

/**
 * @param {Holder} own
 * @param {Batch["state"]} state
 * @returns {Promise<Batch[]>}
 */
export async function batches(own, state) {
  const found = await store.look(["batches"], (t) => t.objectStore("batches").index("state").getAll(state));
  return found.filter((each) => kept.isSame(own, each.holder))
    .sort((one, other) => one.sequence - other.sequence);
}

/** @param {Uint8Array<ArrayBuffer>} bytes */
async function digest(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return `sha-256=:${btoa(String.fromCharCode(...sum))}:`;
}

/**
 * Send one batch; whatever became of it is kept before the next one goes.
 * @param {Batch} batch
 * @param {Holder} own
 * @returns {Promise<boolean>} whether the next one may follow
 */
async function sendOne(batch, own) {
  // Another person may have taken the phone over meanwhile: this is not theirs to send.
  if (!kept.isSame(await server.holder(), batch.holder) || !kept.isSame(own, batch.holder)) return false;
  const { status, body } = await server.ask(batch.path, {
    method: "POST",
    body: batch.bytes,
    headers: {
      "Content-Type": "application/json",
      "Idempotency-Key": `"${batch.key}"`,
      "Content-Digest": await digest(batch.bytes),
    },
  });
  const found = body?.as_left ?? body;
  if (status >= 200 && status < 300 && Array.isArray(found.readings)) {
    await answered(batch, found);
    return true;
  }
  // A body that the server cannot take as a whole is mended, not sent for ever.
  if ([400, 413, 422].includes(status)) {
    await refused(batch, body?.detail || String(status), body?.code);
    return true;
  }
  // What is no outcome is of another version: nothing is taken for sent by it.
  const other = status >= 200 && status < 300;
  const words = !status ? "" : other ? t("it is of another version than this page") : `${status} ${saidBy(body?.code, body?.detail)}`.trim();
  await store.change(["batches"], (t) =>
    t.objectStore("batches").put({ ...batch, tries: batch.tries + 1, problem: words }));
  batch.tries += 1;
  kept.tellOthers();
  return false;
}

/** @type {Record<string, Reading["state"]>} */
const BECAME = {
  stored: "stored", "already-stored": "stored", held: "held", refused: "refused", conflict: "conflict",
};

/**
 * What the server says of a reading beyond what the pack knew; a gauge past its
 * calibration is told too, and is no alarm.
 * @param {any} outcome @returns {"" | "stop" | "again"}
 */
const actsOf = (outcome) =>
  (outcome?.stop ? "stop" : outcome?.warning?.startsWith("unconfirmed") ? "again" : "");

/** @param {Batch} batch @param {any} body */
async function answered(batch, body) {
  const now = clock.setRight(clock.written(new Date()), await clock.offset());
  await store.change(["readings", "batches", "visits"], async (t) => {
    const readings = t.objectStore("readings");
    for (const reference of batch.references) {
      const reading = /** @type {Reading} */ (await readings.get(reference));
      const outcome = body.readings.find((/** @type {any} */ each) => each.reference === reference);
      const state = BECAME[outcome?.outcome];
      // An outcome that this page does not know is no proof that the reading is there.
      const known = state ?? "refused";
      await readings.put({
        ...reading,
        state: known,
        ...(known === "stored" || known === "held" ? { sent_at: now } : {}),
        problem: outcome?.problem?.detail ?? (state ? "" : "answer-not-understood"),
        problem_code: outcome?.problem?.code,
        warning: outcome?.stop || outcome?.warning || "",
        warnings: outcome?.warnings,
        judged: { ...reading.judged, acts: actsOf(outcome) || reading.judged.acts },
      });
    }
    const { told = "", told_code, told_people } = body;
    await t.objectStore("batches").put({ ...batch, state: "answered", told, told_code, told_people, problem: "" });
    const visit = await t.objectStore("visits").get(batch.visit);
    const id = body.visits?.find((/** @type {any} */ each) => each.reference === batch.visit)?.id;
    if (id) await t.objectStore("visits").put({ ...visit, id });
  });
  kept.tellOthers();
}

/** Send the photos of visits whose readings the server has, one by one. */
export async function sendPhotos() {
  const own = await server.holder();
  if (!own) return;
  await navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
    if (!lock) return;
    const waiting = await store.look(["photos"], (t) => t.objectStore("photos").index("state").getAllKeys("kept"));
    for (const key of waiting) {
      const photo = /** @type {import("./types.d.ts").Photo} */ (
        await store.look(["photos"], (t) => t.objectStore("photos").get(key)));
      const visit = await kept.visit(photo.visit);
      // The number of a visit is the server's: one that was restored gives another.
      const waits = (await kept.readingsOf(photo.visit)).some((each) => each.state === "kept" || each.state === "frozen");
      if (!visit?.id || waits || !kept.isSame(own, photo.holder)) continue;
      const { status, body } = await server.ask(
        `/api/v1/visits/${visit.id}/photos?caption=${encodeURIComponent(photo.caption)}`,
        { method: "POST", body: photo.bytes, headers: { "Content-Type": photo.media_type } });
      if (status !== 200 && status !== 201 && ![400, 413, 415, 422].includes(status)) return;
      if (status < 300) await pictures.isSent(photo);
      else await store.change(["photos"], (t) => t.objectStore("photos").put({ ...photo, state: "refused", problem: saidBy(body?.code, body?.detail) }));
    }
  });
}

/** @param {Batch} batch @param {string} problem @param {string} [problem_code] */
async function refused(batch, problem, problem_code) {
  await store.change(["readings", "batches"], async (t) => {
    for (const reference of batch.references) {
      const reading = await t.objectStore("readings").get(reference);
      await t.objectStore("readings").put({ ...reading, state: "refused", problem, problem_code });
    }
    await t.objectStore("batches").put({ ...batch, state: "refused", problem });
  });
  kept.tellOthers();
}
