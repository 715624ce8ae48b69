/* Sends what waits, each exactly once: the nonce makes it once at the shop, the lock makes it once among the tabs. */
import * as store from "./store.js";

const HELLO = 8000; // ms
const POST = 30000;
const MOST = 20; // entries in one go

/** ok, none (no answer), signed-out; and of the last answer who is signed in. */
export const signal = { state: "unknown", person: null, token: null };

export const mine = () => Number(document.body.dataset.person ?? 0);

async function ask(options, patience) {
  const answer = await fetch("/outbox/", {
    ...options, redirect: "manual", cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(patience),
  });
  if (answer.type === "opaqueredirect") return { state: "signed-out" };
  if (answer.status >= 500) throw new Error(`the shop answers ${answer.status}`);
  return { state: "ok", said: await answer.json().catch(() => ({ code: `http_${answer.status}` })) };
}

function heard(found) {
  Object.assign(signal, found);
  document.documentElement.dataset.signal = signal.state;
  document.dispatchEvent(new CustomEvent("racewright:signal"));
  return signal;
}

/** Who is signed in, with a token that is fresh: a page from its copy carries an old one. */
export async function hello() {
  try {
    const { state, said } = await ask({}, HELLO);
    if (state !== "ok" || said.code) return heard({ state: "signed-out", person: null });
    freshen(said.token);
    return heard({ state: "ok", person: said.person, token: said.token, pages: said.pages });
  } catch {
    return lost();
  }
}

/** There is no signal, whoever noticed it. */
export const lost = () => heard({ state: "none" });

function freshen(token) {
  document.querySelectorAll("input[name=csrfmiddlewaretoken]").forEach((input) => (input.value = token));
  if (document.body.hasAttribute("hx-headers")) {
    document.body.setAttribute("hx-headers", JSON.stringify({ "X-CSRFToken": token }));
  }
}

let flushing = null;
let again = false;

/** Sends all that waits for the person who is signed in. Called while it works, it looks once more at the end. */
export function flush() {
  again = true;
  flushing ??= navigator.locks.request("racewright-outbox", rounds).finally(() => (flushing = null));
  return flushing;
}

async function rounds() {
  while (again) {
    again = false;
    await store.tidy();
    if ((await store.all()).some((one) => one.state === "waiting")) await batches();
  }
}

async function batches() {
  if ((await hello()).state !== "ok") return;
  let batch = await store.waiting(signal.person, MOST);
  while (batch.length > 0) {
    if (!(await posted(batch))) return;
    batch = await store.waiting(signal.person, MOST);
  }
}

/** Whether the shop answered. Where it didn't, everything waits on: sent again it is answered alike. */
async function posted(batch) {
  const entries = batch.map(({ nonce, kind, seq, madeAt, data }) => ({ nonce, kind, seq, made_at: madeAt, data }));
  const said = { person: signal.person, device: await store.device(), sent_at: store.now(), entries };
  const headers = { "Content-Type": "application/json", "X-CSRFToken": signal.token };
  try {
    const found = await ask({ method: "POST", headers, body: JSON.stringify(said) }, POST);
    if (found.state !== "ok" || !found.said.answers) return false;
    for (const answer of found.said.answers) await taken(answer);
    return found.said.answers.length === batch.length;
  } catch {
    lost();
    return false;
  }
}

const awaited = new Set(); // whose senders tell it themselves

async function taken(answer) {
  await store.answered(answer);
  if (answer.state === "done" && !awaited.has(answer.nonce)) {
    document.dispatchEvent(new CustomEvent("racewright:sent", { detail: answer }));
  }
}

/** Queues an entry, which is safe from then on, and tries to send it: the entry as it stands afterwards. */
export async function send(nonce, said) {
  awaited.add(nonce);
  await store.queue(nonce, { person: mine(), title: document.body.dataset.title, ...said });
  await flush();
  return store.get(nonce);
}

async function lookAround() {
  await flush();
  if (signal.state === "none") await hello();
}

/** Keeps trying while something waits: when the page is looked at, when the phone thinks it has signal, and by the clock. */
export function keepTrying() {
  let pause = 5000;
  const tick = async () => {
    if (document.visibilityState === "visible") await lookAround();
    const left = signal.state === "none" || (await store.waiting(mine(), 1)).length > 0;
    pause = left ? Math.min(pause * 2, 60000) : 5000;
    setTimeout(tick, pause);
  };
  window.addEventListener("online", lookAround);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && lookAround());
  store.onChange(() => (pause = 5000));
  tick();
}
