// Photos that were sent: kept until no backup lacks them, unless their room is needed.
import * as clock from "./clock.js";
import * as kept from "./kept.js";
import * as store from "./store.js";

/** @typedef {import("./types.d.ts").SentPhoto} SentPhoto */

const LIST = "photos_sent";
/** Photos offered in one call. */
const OFFERED = 500;

/** @returns {Promise<SentPhoto[]>} the oldest first */
const sent = async () => (await store.remembered(LIST)) ?? [];

/** @param {import("./types.d.ts").Photo} photo */
export async function isSent(photo) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", photo.bytes));
  const sha256 = [...sum].map((each) => each.toString(16).padStart(2, "0")).join("");
  const sent_at = clock.setRight(clock.written(new Date()), await clock.offset());
  const { reference, visit, holder } = photo;
  await store.change(["photos", "meta"], async (t) => {
    await t.objectStore("photos").put({ ...photo, state: "stored" });
    const meta = t.objectStore("meta");
    await meta.put([...((await meta.get(LIST)) ?? []), { reference, visit, holder, sha256, sent_at }], LIST);
  });
}

/** What is offered to the server. @param {import("./types.d.ts").Holder} own */
export const offered = async (own) =>
  (await sent()).filter((each) => kept.isSame(own, each.holder)).slice(-OFFERED);

/**
 * Send again what a restored server lacks; forget what no backup can lack any more.
 * @param {SentPhoto[]} given as it was offered
 * @param {{ visit: string, sha256: string }[]} wanted
 * @param {number} before sent before this, in milliseconds
 */
export async function heard(given, wanted, before) {
  const again = given.filter((each) => wanted.some((one) => one.visit === each.visit && one.sha256 === each.sha256));
  const old = (await sent()).filter((each) => Date.parse(each.sent_at) < before && !again.includes(each));
  if (again.length || old.length) await leave(again, old);
}

/** Give up the oldest photo that was sent: readings and new photos need its room. */
export async function makeRoom() {
  const [oldest] = await sent();
  if (oldest) await leave([], [oldest]);
  return Boolean(oldest);
}

/** @param {SentPhoto[]} again @param {SentPhoto[]} gone */
async function leave(again, gone) {
  const named = [...again, ...gone].map((each) => each.reference);
  await store.change(["photos", "meta"], async (t) => {
    const photos = t.objectStore("photos");
    for (const { reference } of again) await photos.put({ ...(await photos.get(reference)), state: "kept" });
    for (const { reference } of gone) await photos.delete(reference);
    const meta = t.objectStore("meta");
    await meta.put((await meta.get(LIST)).filter((/** @type {SentPhoto} */ each) => !named.includes(each.reference)), LIST);
  });
}
