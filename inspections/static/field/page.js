// The field page: which screen is shown, and what stands above each of them.
import * as clock from "./clock.js";
import { button, complain, h, say, speak, t, way } from "./dom.js";
import * as kept from "./kept.js";
import * as outbox from "./outbox.js";
import * as room from "./room.js";
import * as screens from "./screens.js";
import * as server from "./server.js";
import * as store from "./store.js";
import * as visiting from "./visiting.js";
import * as waiting from "./waiting.js";
import * as wave from "./wave.js";

const main = /** @type {HTMLElement} */ (document.getElementById("field"));
const AGAIN_MS = 30_000;
/** A visit is gone on with for so long after it was last open. */
const GOES_ON_MS = 6 * 3_600_000;

/** @type {Record<string, (given: string) => Promise<Node[]>>} */
const SCREENS = {
  "": screens.today, pair: screens.pair, machines: screens.machines, machine: screens.machine,
  visit: visiting.screen, wave: wave.screen, slip: screens.slipTest, outbox: waiting.screen,
};
let granted = "unknown";
let newer = false;
/** Counted, so that what was looked up earlier never covers what was looked up later. */
let draws = 0;
let tops = 0;

async function head() {
  const [paired, own, all, shut, behind, space] = await Promise.all([
    server.pairing(), server.holder(), kept.readings(), store.remembered("shut"), clock.offset(), room.left(),
  ]);
  const unsent = all.filter((each) => kept.UNSENT.includes(each.state));
  const said = [
    !window.isSecureContext && t("This address is not secure (https): the browser keeps no page and promises no storage here. Ask the office for the secure address."),
    newer && t("A newer version of this page is open in another window: load this one again."),
    granted === "refused" && t("The browser does not promise to keep what is typed here: send it soon, or save it as a file."),
    granted === "unknown" && t("This browser cannot say whether it keeps what is typed here (a private window does not): send it soon, or save it as a file."),
    shut === "phone-revoked" && t("This phone was revoked: it can read and send nothing, and its packs are gone. What was typed is still here and can be saved as a file."),
    shut === "another-phone" && t("The server knows this phone as another one: pair it again. Nothing that was typed is lost."),
    shut && !["phone-revoked", "another-phone"].includes(shut) && t("The server does not let this phone in: pair it again. Nothing that was typed is lost."),
    Math.abs(behind ?? 0) > clock.TOLD_FROM_S && t("The phone's clock is wrong by {n} minutes: readings are sent with the server's time.", { n: Math.round((behind ?? 0) / 60) }),
    space.readings !== null && space.readings < 10_000 && t("There is room for about {n} more readings on this phone, and none for photos.", { n: space.readings }),
    unsent.some((each) => !kept.isSame(own, each.holder)) && t("Readings of somebody else wait on this phone: only their own pairing sends them."),
  ];
  return [
    h("nav", { "aria-label": t("Field") }, way(t("Today"), ""),
      way(unsent.length ? t("To send: {n}", { n: unsent.length }) : t("All sent"), "outbox"),
      paired && h("span", null, paired.person.name)),
    ...said.filter(Boolean).map((each) => h("p", { class: "notice" }, String(each))),
  ];
}

/** @param {boolean} [quiet] whether the same screen is drawn again */
async function draw(quiet) {
  const [, name = "", ...rest] = location.hash.split("/");
  // What is being typed is never drawn over.
  if (quiet && (name === "visit" || name === "wave" || name === "pair" || name === "machines")) return top();
  // Before anything is waited for: whoever asks later looks up later.
  const turn = (draws += 1);
  const paired = await server.pairing();
  const screen = SCREENS[paired || name === "outbox" ? name : "pair"] ?? screens.today;
  const made = await screen(rest.join("/"));
  await top();
  if (turn === draws) main.replaceChildren(...made);
  if (!quiet) {
    window.scrollTo(0, 0);
    say("");
    // A comfort: where it is not kept, one goes there by hand.
    await store.remember("here", { hash: location.hash, at: Date.now() }).catch(() => {});
    if (name === "visit") await visiting.goOn(rest[0] ?? "");
  }
}

async function top() {
  const turn = (tops += 1);
  const made = await head();
  if (turn === tops) document.getElementById("head")?.replaceChildren(...made);
}

/** Send what waits, and say nothing of it: the screens do. */
async function send() {
  await outbox.send();
  await outbox.sendPhotos();
  await top();
}

const quietly = () => send().catch(complain);

async function start() {
  // Also what is said of a store that cannot be opened is said in the reader's language.
  const usual = main.dataset.language ?? navigator.language.slice(0, 2);
  await speak(usual);
  await store.learn();
  const paired = await server.pairing();
  await speak(paired?.language ?? usual);
  main.before(h("header", { id: "head" }), h("p", { id: "told", role: "status", tabindex: "0" }));
  granted = await room.askToPersist();
  store.happened.addEventListener("changed", () => draw(true));
  store.happened.addEventListener("newer", () => {
    newer = true;
    void top();
  });
  window.addEventListener("hashchange", () => draw().catch(complain));
  for (const each of ["online", "focus"]) window.addEventListener(each, quietly);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && quietly());
  window.addEventListener("field-kept", quietly);
  window.setInterval(quietly, AGAIN_MS);
  const here = await store.remembered("here");
  const [, visit] = /^#\/visit\/(.+)$/.exec(here?.hash ?? "") ?? [];
  // Of a visit that was sent whole nothing waits to be gone on with.
  const waits = visit && (await kept.readingsOf(visit)).some((each) => kept.UNSENT.includes(each.state));
  if (!location.hash && waits && Math.abs(Date.now() - here.at) < GOES_ON_MS) history.replaceState(null, "", here.hash);
  await draw();
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/field/worker.js", { scope: "/field/" }).catch(() => {});
  await quietly();
}

start().catch((problem) => {
  main.replaceChildren(
    h("p", { class: "stop" }, t("The phone's storage cannot be used here (a private window, or refused): nothing typed would be kept. Open the page in an ordinary window.")),
    h("p", null, String(problem)), button(t("Try again"), () => location.reload()));
});
