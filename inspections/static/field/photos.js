// Photos: made smaller on the phone, kept only where readings still have their room.
import { h, say, t, complain } from "./dom.js";
import * as kept from "./kept.js";
import * as pictures from "./pictures.js";
import * as room from "./room.js";
import * as store from "./store.js";

const LONGEST_PX = 1600;

/** @param {Blob} file @returns {Promise<Blob>} */
export async function smaller(file) {
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * scale);
  canvas.height = Math.round(picture.height * scale);
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((resolve, reject) => canvas.toBlob((made) => (made ? resolve(made) : reject(new Error("no picture"))), "image/jpeg", 0.8));
}

/** @param {import("./types.d.ts").Visit} visit */
export function field(visit) {
  const caption = h("input", { maxlength: 100, placeholder: t("groove, rope or part") });
  const taken = async (/** @type {any} */ e) => {
    const [file] = e.target.files;
    if (!file) return;
    const made = await smaller(file);
    while (!(await room.hasRoomForPhoto(made.size)) && await pictures.makeRoom());
    if (!(await room.hasRoomForPhoto(made.size))) return say(t("There is no room for photos: what is left is for readings."), true);
    const bytes = await made.arrayBuffer();
    await store.change(["photos", "meta"], async (each) => {
      await each.objectStore("photos").add({ reference: kept.reference(), sequence: await store.next(each), visit: visit.reference, holder: visit.holder, caption: caption.value, bytes, media_type: "image/jpeg", state: "kept" });
    });
    say(t("The photo is kept ({n} kB); it is sent after the readings.", { n: Math.ceil(made.size / 1000) }));
    e.target.value = caption.value = "";
    window.dispatchEvent(new Event("field-kept"));
  };
  return h("details", null, h("summary", null, t("Photo")), h("label", null, t("Of what"), caption),
    h("input", { type: "file", accept: "image/*", capture: "environment", "aria-label": t("Photo"), change: (/** @type {any} */ e) => taken(e).catch(complain) }));
}
