/* The list of what is kept in this browser: what waits, what the shop said no to and what to do, what he began. */
import * as outbox from "./outbox.js";
import * as store from "./store.js";
import { age, clock, element, key, sign, sureKey } from "./say.js";

const list = document.getElementById("kept");

const GROUPS = [
  ["refused", "Needs you", "octagon"],
  ["waiting", "Goes by itself when there is signal", "tray"],
  ["begun", "Begun, not sent", "pencil"],
  ["done", "Sent from this browser since yesterday", "tray-tick"],
];
const DO = {
  changed_meanwhile: "Look at it first. Yours can still be sent on top of it.",
  sent_otherwise: "Look at what the shop has. To change that, open the run and change it there.",
  job_closed: "Note the numbers if you need them elsewhere, then throw it away.",
  not_found: "Ask the shop lead. Throw it away when it is settled.",
  not_allowed: "Ask the shop lead. Throw it away when it is settled.",
  answered_already: "If yours is another answer, tell the shop lead.",
};

async function show() {
  const entries = await store.all();
  const own = entries.filter((one) => one.person === outbox.mine());
  list.replaceChildren(...GROUPS.flatMap((group) => shownGroup(group, own)), ...others(entries));
  document.getElementById("nothing-kept").hidden = list.childElementCount > 0;
  list.dataset.shown = "yes";
}

function shownGroup([state, words, name], own) {
  const found = own.filter((one) => one.state === state).sort((one, other) => (one.seq ?? 0) - (other.seq ?? 0));
  if (found.length === 0) return [];
  const rows = element("div", "rows", ...found.map((one) => shownEntry(one, name)));
  return [element("h2", "group", element("span", "", words), element("small", "", String(found.length))), rows];
}

function shownEntry(entry, name) {
  const words = element("div", "", element("b", "", entry.words), element("small", "", since(entry)));
  if (entry.state === "refused") words.append(element("p", "error", entry.refusal.words), element("p", "", DO[entry.refusal.code] ?? "Open it, mend it, and send it again."));
  const row = element("div", `kept-entry ${entry.state}`, sign(name), words, element("div", "keys", ...keys(entry)));
  row.dataset.nonce = entry.nonce;
  return row;
}

function since(entry) {
  if (entry.state === "done") return entry.answer.words;
  const when = entry.state === "begun" ? entry.keptAt : entry.madeAt;
  return `${clock(when)}${age(when) === "now" ? "" : `, ${age(when)} ago`}`;
}

function keys(entry) {
  if (entry.state === "done") return [link("Look at it", entry.answer.page)];
  const { limits, code } = entry.refusal ?? {};
  const open = entry.kind === "question.answer" ? link("Open it", entry.page) : link("Open it", `${entry.page}#kept-${entry.nonce}`);
  const found = [open, sureKey("Throw it away", "Yes, throw it away", () => store.remove(entry.nonce))];
  if (limits?.run) found.unshift(link("What the shop has", `/runs/${limits.run}/`));
  if (code === "changed_meanwhile") found.splice(1, 0, key("Send mine on top", () => onTop(entry)));
  return found;
}

function link(words, href) {
  const made = element("a", "key small plain", words);
  made.href = href;
  return made;
}

async function onTop(entry) {
  const data = new URLSearchParams(entry.data);
  data.set("seen", entry.refusal.limits.seen);
  await outbox.send(entry.nonce, { data: data.toString() });
}

/* Another's things aren't shown, only that they are there. */
function others(entries) {
  const titles = new Map();
  for (const one of entries) {
    if (one.person !== outbox.mine() && one.state !== "done" && one.state !== "begun") titles.set(one.title, (titles.get(one.title) ?? 0) + 1);
  }
  if (titles.size === 0) return [];
  const rows = [...titles].map(([title, count]) => element("p", "kept-entry", sign("tray"), `${count} of ${title}: goes when that person signs in here.`));
  return [element("h2", "group", "Somebody else's"), element("div", "rows", ...rows)];
}

async function safety() {
  const box = document.getElementById("keep-safe");
  if (!navigator.storage?.persisted || (await navigator.storage.persisted())) return;
  box.hidden = false;
  box.querySelector("button").addEventListener("click", async () => {
    const kept = await navigator.storage.persist();
    box.querySelector("p").textContent = kept
      ? "This browser won't clear what is kept here."
      : "This browser didn't promise it. Put the site on the home screen, and open it before the week is over.";
  });
}

function start() {
  document.getElementById("try-now").addEventListener("click", () => outbox.flush().then(show));
  store.onChange(show);
  show();
  safety();
}

if (window.isSecureContext && "locks" in navigator) start();
