/* What this browser keeps, in IndexedDB. An entry is one thing that somebody did:
   { nonce, kind, state, person, title, page, words, data, keptAt, madeAt, seq, refusal, answer }
   state: begun (he is still at it), waiting (to be sent), refused (he must look at it), done (gone within a day).
   `data` is a form's fields as URL-encoded text; `page` is where it is opened again. */
import { openDB } from "../npm/idb/index.js";

const DAY = 24 * 3600 * 1000;
let opened = null;

function db() {
  opened ??= openDB("racewright", 1, {
    upgrade(base) {
      base.createObjectStore("entries", { keyPath: "nonce" });
      base.createObjectStore("meta");
    },
    blocking(_from, _to, event) {
      event.target.close(); // a newer page wants to change the store
      opened = null;
    },
  });
  return opened;
}

const channel = new BroadcastChannel("racewright");
const heard = new Set();
channel.onmessage = () => heard.forEach((tell) => tell());

/** Calls `tell` whenever anything kept here has changed, by this page or another one. */
export const onChange = (tell) => heard.add(tell);

function changed() {
  channel.postMessage("changed");
  heard.forEach((tell) => tell());
}

export const now = () => new Date().toISOString();
export const all = async () => (await db()).getAll("entries");
export const get = async (nonce) => (await db()).get("entries", nonce);

/** Changes one entry in one transaction, or makes it; `change` is told what stands there and answers what shall. */
export async function update(nonce, change) {
  const work = (await db()).transaction(["entries", "meta"], "readwrite", { durability: "strict" });
  const entries = work.objectStore("entries");
  const found = await change(await entries.get(nonce), work.objectStore("meta"));
  if (found) await entries.put({ ...found, nonce });
  await work.done;
  changed();
  return found;
}

export async function remove(nonce) {
  await (await db()).delete("entries", nonce);
  changed();
}

/** Keeps something begun, over what was kept of it before; what is refused stays so until it is sent again. */
export const begin = (nonce, said) =>
  update(nonce, (old) => {
    if (old && !["begun", "refused"].includes(old.state)) return old;
    return { ...old, ...said, state: old?.state ?? "begun", keptAt: now() };
  });

/** Puts it among what is to be sent. The count that it gets is the device's own and has no gaps. */
export const queue = (nonce, said) =>
  update(nonce, async (old, meta) => {
    if (old?.state === "done") return old;
    const seq = old?.seq ?? ((await meta.get("seq")) ?? 0) + 1;
    if (!old?.seq) await meta.put(seq, "seq");
    return { ...old, ...said, seq, state: "waiting", keptAt: now(), madeAt: old?.madeAt ?? now(), refusal: null };
  });

/** This browser's own name, made once. */
export async function device() {
  const base = await db();
  const kept = await base.get("meta", "device");
  if (kept) return kept;
  const made = crypto.randomUUID();
  await base.put("meta", made, "device");
  return made;
}

/** The oldest entries that wait to be sent for a person. */
export async function waiting(person, most) {
  const found = (await all()).filter((one) => one.state === "waiting" && one.person === person);
  return found.sort((one, other) => one.seq - other.seq).slice(0, most);
}

/** What the shop said of one entry. One that he opened again in the meantime stays as he left it: sent once more, the
    shop tells him if it had gone already and he has changed it since. */
export const answered = (answer) =>
  update(answer.nonce, (old) => {
    if (old?.state !== "waiting") return old;
    if (answer.state === "done") return { ...old, state: "done", answer, keptAt: now() };
    return { ...old, state: "refused", refusal: answer };
  });

/** Forgets what was sent more than a day ago. */
export async function tidy() {
  const old = (await all()).filter((one) => one.state === "done" && Date.now() - Date.parse(one.keptAt) > DAY);
  for (const one of old) await (await db()).delete("entries", one.nonce);
}
