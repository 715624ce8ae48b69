/* On every page: the worker, the age of a copy, and the count of what isn't sent. Where the browser can't keep things
   safely (no secure address), nothing of it runs and every form goes the plain way. */
import * as outbox from "./outbox.js";
import * as store from "./store.js";
import { age, clock, element, notice, saySaid, sign } from "./say.js";
import { takeForms } from "./forms.js";

const WARM_EVERY = 4 * 3600 * 1000;
const root = document.documentElement;

/** Tells whose what is: his own count, and how many are another's. */
export function counted(entries, person) {
  const kept = entries.filter((one) => one.state === "waiting" || one.state === "refused");
  const own = kept.filter((one) => one.person === person);
  const oldest = own.map((one) => one.madeAt).sort()[0];
  return { all: kept.length, own: own.length, refused: own.filter((one) => one.state === "refused").length, oldest };
}

async function showCount() {
  const count = counted(await store.all(), outbox.mine());
  const corner = document.getElementById("unsent");
  corner.hidden = count.all === 0;
  corner.replaceChildren(sign("tray"), element("b", "", `${count.all} not sent`), element("small", "", under(count)));
  const row = document.getElementById("unsent-row");
  if (!row) return;
  row.hidden = count.all === 0;
  row.querySelector(".n").textContent = count.all;
  row.querySelector("p").textContent = under(count);
}

function under({ all, own, refused, oldest }) {
  if (refused > 0) return `${refused} ${refused === 1 ? "needs" : "need"} you`;
  if (outbox.mine() && own === 0) return `${all} of somebody else`;
  if (outbox.signal.state === "signed-out") return "sign in to send";
  return !oldest || age(oldest) === "now" ? "kept here" : `kept here ${age(oldest)}`;
}

function showAge() {
  const strip = document.getElementById("copy-age");
  const { kept } = root.dataset;
  const words = [];
  if (kept) words.push(`Copy of ${clock(kept)}${age(kept) === "now" ? "" : `, ${age(kept)} old`}.`);
  if (outbox.signal.state === "none") words.push("No signal: what you do is kept here and goes by itself.");
  if (outbox.signal.state === "signed-out" && outbox.mine()) words.push("Signed out: sign in to send what is kept here.");
  strip.hidden = words.length === 0;
  strip.replaceChildren(words.join(" "));
  if (kept && outbox.signal.state === "ok") strip.append(" ", freshLink());
  if (kept) document.querySelector(".head .side time")?.closest(".side").replaceChildren("copy of ", element("time", "", clock(kept)));
}

function freshLink() {
  const link = element("a", "", "There is signal: show it fresh");
  link.href = location.pathname + location.search;
  return link;
}

/* Once in a while the worker fetches the pages that this person needs without a signal. */
async function warm(worker) {
  if (!outbox.mine() || root.dataset.kept) return;
  if (await isWarm()) return markWarm();
  const found = await outbox.hello();
  if (found.state !== "ok" || found.person !== outbox.mine()) return;
  if (await warmed(worker, { person: found.person, pages: found.pages })) markWarm();
}

const markWarm = () => (root.dataset.warm = "yes");

async function isWarm() {
  const mark = await caches.match("/whose-pages");
  if (!mark || Number(await mark.text()) !== outbox.mine()) return false;
  return Date.now() - Date.parse(mark.headers.get("X-Warm")) < WARM_EVERY;
}

function warmed(worker, said) {
  const channel = new MessageChannel();
  worker.postMessage({ warm: said }, [channel.port2]);
  return new Promise((told) => (channel.port1.onmessage = (event) => told(event.data.done)));
}

async function start() {
  takeForms();
  if (root.dataset.kept) document.querySelectorAll("#notices .notice:not([id])").forEach((old) => old.remove());
  saySaid();
  store.onChange(showCount);
  document.addEventListener("racewright:signal", () => (showAge(), showCount()));
  document.addEventListener("racewright:sent", (event) => notice("success", event.detail.words));
  window.addEventListener("offline", outbox.lost);
  if (root.dataset.kept && navigator.onLine === false) outbox.lost();
  showAge();
  await showCount();
  if (outbox.mine()) outbox.keepTrying();
  if (root.dataset.kept) outbox.hello();
  await navigator.serviceWorker.register("/worker.js", { updateViaCache: "none" });
  await warm((await navigator.serviceWorker.ready).active);
}

if (window.isSecureContext && "serviceWorker" in navigator && "locks" in navigator) start();
