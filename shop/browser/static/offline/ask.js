/* The builder: every settled change is kept, a reload puts it back, and it goes out through the outbox. */
import * as outbox from "./outbox.js";
import * as store from "./store.js";
import * as check from "./check.js";
import { fieldsOf } from "./forms.js";
import { edited, restore } from "./rows.js";
import { age, go, notice, sayNext, sureKey } from "./say.js";

const SETTLED = 250; // ms without a change
const form = () => document.getElementById("ask");
const nonceOf = () => form().elements.nonce.value;
const here = location.pathname + location.search;
let timer = null;
let gone = false;
let stale = false;
let tried = false;

/* What it is called in the list of what isn't sent. */
function words() {
  const { tag, place, title } = form().elements;
  const where = place.value ? place.selectedOptions[0].textContent : "";
  return [tag.value || title?.value || "a run", where].filter(Boolean).join(", ");
}

function said(old) {
  const page = old?.page ?? (form().dataset.bound ? form().dataset.page : here);
  return { kind: "run.send", person: outbox.mine(), title: document.body.dataset.title, page, words: words(), data: fieldsOf(form()).toString() };
}

async function keepNow() {
  clearTimeout(timer);
  timer = null;
  if (gone || !form()) return;
  const nonce = nonceOf();
  await store.begin(nonce, said(await store.get(nonce)));
}

function keepSoon(event) {
  if (!event.target.closest?.("#ask")) return;
  clearTimeout(timer);
  timer = setTimeout(keepNow, SETTLED);
}

/* Coming back */

/* Whether anything was put back. */
async function comeBack() {
  if (form().dataset.bound) return false;
  const own = (await store.all()).filter((one) => one.person === outbox.mine());
  const wanted = own.find((one) => location.hash === `#kept-${one.nonce}` && one.state !== "done");
  const begun = own.find((one) => one.page === here && one.state === "begun");
  if (wanted ?? begun) await putBack(wanted ?? begun);
  else form().elements.nonce.value = crypto.randomUUID();
  return Boolean(wanted ?? begun);
}

/* A slow phone shows the form before this script is there to hear what is typed. */
function typedAlready() {
  const chosen = (list) => Math.max(0, [...list.options].findIndex((one) => one.defaultSelected));
  return [...form().elements].some((field) => {
    if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
    if (field.options) return field.selectedIndex !== chosen(field);
    return ["text", "number", "date", "time", "textarea"].includes(field.type) && field.value !== field.defaultValue;
  });
}

async function putBack(entry) {
  restore(form(), entry.data);
  form().elements.nonce.value = await takenBack(entry);
  const afresh = () => sureKey("Start afresh", "Yes, forget this", () => startAfresh(entry.nonce));
  if (entry.refusal) notice("error", entry.refusal.words);
  else notice("warning", `As you left it${when(entry)}, and not sent.`, afresh());
  redraw();
}

const when = (entry) => (age(entry.keptAt) === "now" ? "" : ` ${age(entry.keptAt)} ago`);

/* Opened again it waits for him, not for the signal. A nonce that stands for something else by now is given up. */
async function takenBack(entry) {
  const mended = new URLSearchParams(entry.data);
  if (entry.refusal?.limits?.seen) mended.set("seen", entry.refusal.limits.seen);
  form().elements.seen.value = mended.get("seen") ?? "";
  if (!["nonce_taken", "sent_otherwise"].includes(entry.refusal?.code)) {
    if (entry.state === "waiting") await store.update(entry.nonce, (old) => (old.state === "waiting" ? { ...old, state: "begun" } : old));
    return entry.nonce;
  }
  const nonce = crypto.randomUUID();
  await store.update(nonce, () => ({ ...entry, state: "begun", refusal: null }));
  await store.remove(entry.nonce);
  return nonce;
}

async function startAfresh(nonce) {
  gone = true;
  await store.remove(nonce);
  location.replace(here);
}

function redraw() {
  form().querySelector(".ask-live").dispatchEvent(new Event("change", { bubbles: true }));
}

/* Sending */

async function submitted(event) {
  if (event.target !== form() || event.defaultPrevented) return;
  event.preventDefault();
  const kind = event.submitter?.formAction?.endsWith("/ask/keep/") ? "run.keep" : "run.send";
  await keepNow();
  if (check.faults(form()).length > 0 && kind === "run.send" && !(await answers())) return;
  await away(kind);
}

/* The shop says better what is wrong; without it, the device says what it can. */
async function answers() {
  if ((await outbox.hello()).state === "ok") return true;
  tried = true;
  const [first] = check.show(form(), { empty: true });
  document.getElementById(`${first.name}-said`)?.closest(".field")?.scrollIntoView({ block: "center" });
  return false;
}

async function away(kind) {
  const nonce = nonceOf();
  const entry = await outbox.send(nonce, { ...said(await store.get(nonce)), kind });
  if (entry.state === "refused" && entry.refusal.code !== "unknown_kind") return plainly(nonce, kind);
  gone = true;
  if (entry.state === "done") sayNext(entry.answer.words);
  go(entry.state === "done" ? entry.answer.page : "/not-sent/");
}

/* Refused while he looks at it: the plain way shows each fault beside its field. */
async function plainly(nonce, kind) {
  await store.update(nonce, (old) => ({ ...old, state: "begun", refusal: null }));
  gone = true;
  form().action = kind === "run.keep" ? "/ask/keep/" : "/ask/";
  HTMLFormElement.prototype.submit.call(form());
}

/* Without the shop's answer while he types */

function noAnswer(event) {
  const { elt } = event.detail;
  if (!form()?.contains(elt)) return;
  outbox.lost();
  document.getElementById("trouble").hidden = true;
  if (elt.name === "do" && /^(leg_add|feature_add|take):/.test(elt.value)) editHere(elt.value);
  else if (elt.matches("button, select")) notice("warning", "That needs the shop's answer. The numbers can go on without it.");
  check.show(form(), { empty: tried });
  stale = true;
}

function editHere(action) {
  const came = edited(form(), action);
  came?.querySelector("input:not([type=hidden]), select")?.focus();
  keepNow();
}

function answered(event) {
  if (!form()?.contains(event.target) && event.target.id !== "ask") return;
  stale = false;
  form().querySelectorAll("[data-once]").forEach((one) => one.remove());
  keepSoonAfter();
}

const keepSoonAfter = () => timer === null && store.get(nonceOf()).then((kept) => kept && keepNow());

async function start() {
  const back = await comeBack();
  document.addEventListener("input", keepSoon);
  document.addEventListener("change", keepSoon);
  document.addEventListener("submit", submitted);
  document.addEventListener("htmx:sendError", noAnswer);
  document.addEventListener("htmx:timeout", noAnswer);
  document.addEventListener("htmx:afterSettle", answered);
  document.addEventListener("visibilitychange", () => timer !== null && keepNow());
  window.addEventListener("pagehide", () => timer !== null && keepNow());
  document.addEventListener("racewright:signal", () => stale && outbox.signal.state === "ok" && redraw());
  window.addEventListener("pageshow", (event) => event.persisted && location.reload());
  if (!back && typedAlready()) {
    keepNow();
    redraw();
  }
  document.documentElement.dataset.asks = "ready";
}

if (form() && window.isSecureContext && "locks" in navigator) start();
