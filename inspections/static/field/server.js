// What is asked of the server, and what its answers mean for the phone.
import * as clock from "./clock.js";
import * as kept from "./kept.js";
import * as pictures from "./pictures.js";
import * as store from "./store.js";

/** @typedef {import("./types.d.ts").Pairing} Pairing */
/** @typedef {{ status: number, body: any }} Answer; status 0: nobody answered */

export const VERSION = "1";
const PATIENCE_MS = 60_000;
/** References offered in one call. */
const OFFERED = 2_000;

/** @returns {Promise<Pairing | null>} */
export const pairing = async () => (await store.remembered("pairing")) ?? null;

/** @returns {Promise<import("./types.d.ts").Holder | null>} */
export async function holder() {
  const found = await pairing();
  return found && { contractor: found.contractor.code, person: found.person.id, name: found.person.name };
}

/**
 * Ask the server; an answer that did not come is one of status 0, never an error.
 * @param {string} path
 * @param {Omit<RequestInit, "headers"> & { headers?: Record<string, string> }} [how]
 * @returns {Promise<Answer>}
 */
export async function ask(path, how = {}) {
  const paired = await pairing();
  /** @type {Record<string, string>} */
  const headers = { Accept: "application/json", ...how.headers };
  if (paired) headers["Ropeseat-Phone"] = String(paired.phone);
  try {
    const answer = await fetch(path, {
      ...how, headers, credentials: "same-origin", cache: "no-store", redirect: "error",
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    const body = await answer.json().catch(() => null);
    // An answer cut off, or a page of somebody between, is no answer.
    if (answer.ok && (body === null || typeof body !== "object")) return { status: 0, body: null };
    await note(answer.status, body);
    return { status: answer.status, body };
  } catch {
    return { status: 0, body: null };
  }
}

/** @param {string} path @param {unknown} body */
export const post = (path, body) =>
  ask(path, { method: "POST", body: JSON.stringify(body), headers: { "Content-Type": "application/json" } });

/**
 * Remember whether the server knows this phone. A phone that was revoked forgets what it
 * got; what was typed on it stays.
 * @param {number} status
 * @param {any} body
 */
async function note(status, body) {
  const told = status === 401 || status === 403 || status === 409 ? body?.code || String(status) : "";
  if (status === 401 && body?.code === "phone-revoked") {
    await store.change(["packs", "meta"], async (t) => {
      await t.objectStore("packs").clear();
      await t.objectStore("meta").put(told, "shut");
    });
  } else if (told === "another-phone" || status === 401) {
    await store.remember("shut", told);
  } else if (status >= 200 && status < 300 && (await store.remembered("shut"))) {
    await store.remember("shut", "");
  }
}

/**
 * Pair this phone with a person by a code of the office. What others typed here stays
 * theirs.
 * @param {string} code
 * @param {string} device
 * @returns {Promise<Answer>}
 */
export async function pair(code, device) {
  const asked = Date.now();
  const answer = await post("/api/v1/field/pairing", { code, device });
  if (answer.status === 201) {
    const { server_time, horizon_days, ...paired } = answer.body;
    await store.change(["packs", "meta"], async (t) => {
      await t.objectStore("packs").clear();
      await t.objectStore("meta").put(paired, "pairing");
      await t.objectStore("meta").put(horizon_days ?? null, "horizon_days");
      await t.objectStore("meta").put("", "shut");
    });
    await clock.learn(server_time, asked, Date.now());
  }
  return answer;
}

/**
 * Tell the server what is kept here; what it does not have any more is sent again.
 * @returns {Promise<number>} the status of its answer, 0 for none
 */
export async function contact() {
  const own = await holder();
  if (!own) return 0;
  const all = (await kept.readings()).filter((each) => kept.isSame(own, each.holder));
  const unsent = all.filter((each) => kept.UNSENT.includes(each.state)).length;
  const sent = all.filter((each) => each.state === "stored" || each.state === "held");
  const photos = await pictures.offered(own);
  for (let first = 0; first === 0 || first < sent.length; first += OFFERED) {
    const offered = sent.slice(first, first + OFFERED).map((each) => each.reference);
    const asked = Date.now();
    const { status, body } = await post("/api/v1/field/contact", {
      app: VERSION, clock: clock.written(new Date()), unsent, kept: offered,
      ...(photos.length && !first && { photos: photos.map(({ visit, sha256 }) => ({ visit, sha256 })) }),
    });
    if (status !== 200) return status;
    await clock.learn(body.server_time, asked, Date.now());
    await sendAgain(offered, Array.isArray(body.wanted) ? body.wanted : []);
    const before = Date.parse(body.server_time) - body.horizon_days * 86_400_000;
    const has = Number.isFinite(before) && body.horizon_days >= 1;
    if (has) await forgetOld(before);
    if (!first) await pictures.heard(photos, Array.isArray(body.wanted_photos) ? body.wanted_photos : [], has ? before : 0);
  }
  await store.remember("contact_at", clock.written(new Date()));
  return 200;
}

/** @param {string[]} offered @param {string[]} wanted */
async function sendAgain(offered, wanted) {
  const named = wanted.filter((each) => offered.includes(each));
  if (!named.length) return;
  await store.change(["readings"], async (t) => {
    for (const each of named) {
      const reading = await t.objectStore("readings").get(each);
      if (reading) await t.objectStore("readings").put({ ...reading, state: "kept" });
    }
  });
  kept.tellOthers();
}

/**
 * Forget what the server has had for longer than it keeps backups, by its own clock.
 * @param {number} before
 */
async function forgetOld(before) {
  await store.change(["readings"], async (t) => {
    const readings = t.objectStore("readings");
    for (const state of ["stored", "held"]) {
      for (const each of await readings.index("state").getAll(state)) {
        if (each.sent_at && Date.parse(each.sent_at) < before) await readings.delete(each.reference);
      }
    }
  });
}
