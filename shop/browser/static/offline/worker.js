/* The service worker: files from its cache, pages from the shop while it answers, else the last copy with its age.
   Before this line stands SITE: what to keep, under a version that changes with any of it. */
"use strict";
const SHELL = `shell-${SITE.version}`;
const PAGES = `pages-${SITE.version}`;
const WHOSE = "/whose-pages"; // no page has this address: it holds the person whose copies these are
const MOST_PAGES = 120;
const PATIENCE = 5000; // ms that a page waits for the shop before its copy is shown

const html = (answer) => answer.ok && (answer.headers.get("Content-Type") ?? "").startsWith("text/html");
const personOf = (answer) => answer.headers.get("X-Person") ?? "0";
const seconds = (ms) => new Promise((_, reject) => setTimeout(() => reject(new Error("slow")), ms));

/* A version takes over only when all that it keeps is there, the pages of the version before it among them. */
async function install() {
  const shell = await caches.open(SHELL);
  await Promise.all(SITE.shell.map(async (url) => shell.put(url, await fetched(url))));
  const before = (await caches.keys()).find((name) => name.startsWith("pages-") && name !== PAGES);
  if (before) await refetched(await caches.open(before));
  await self.skipWaiting();
}

async function fetched(url) {
  const answer = await fetch(url, { credentials: "omit", cache: "no-cache" });
  if (!answer.ok) throw new Error(`${url}: ${answer.status}`);
  return answer;
}

async function refetched(before) {
  const person = await whose(before);
  await keepFor(person);
  const urls = (await before.keys()).map((request) => new URL(request.url)).filter((url) => url.pathname !== WHOSE);
  for (const url of urls) await keepPage(url.pathname + url.search, person);
  await markWarm(person);
}

async function activate() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name !== SHELL && name !== PAGES).map((name) => caches.delete(name)));
  await self.clients.claim();
}

/* Pages belong to one person; another one's, or nobody's, clear them. */
async function whose(cache) {
  return (await (await cache.match(WHOSE))?.text()) ?? "0";
}

async function keepFor(person) {
  const pages = await caches.open(PAGES);
  if ((await whose(pages)) === person) return pages;
  await caches.delete(PAGES);
  const fresh = await caches.open(PAGES);
  await fresh.put(WHOSE, new Response(person));
  return fresh;
}

/* When the pages of the person's list were all fetched last. */
async function markWarm(person) {
  const pages = await keepFor(person);
  await pages.put(WHOSE, new Response(person, { headers: { "X-Warm": new Date().toISOString() } }));
}

async function put(request, answer) {
  const pages = await keepFor(personOf(answer));
  const body = await answer.blob();
  const kept = new Response(body, { headers: { "Content-Type": "text/html", "X-Kept": new Date().toISOString() } });
  await pages.delete(request);
  await pages.put(request, kept);
  const keys = (await pages.keys()).filter((key) => new URL(key.url).pathname !== WHOSE);
  await Promise.all(keys.slice(0, Math.max(0, keys.length - MOST_PAGES)).map((key) => pages.delete(key)));
}

async function keepPage(path, person) {
  const answer = await fetch(path, { redirect: "manual", cache: "no-cache" });
  if (html(answer) && personOf(answer) === person) await put(path, answer);
}

/* The copy says on its root how old it is: the page's own script shows it. */
async function copyOf(request) {
  const kept = await (await caches.open(PAGES)).match(request);
  if (!kept) return null;
  const text = (await kept.text()).replace("<html ", `<html data-kept="${kept.headers.get("X-Kept")}" `);
  return new Response(text, { headers: kept.headers });
}

async function page(event) {
  const copy = () => copyOf(event.request);
  const live = fetch(event.request).then((answer) => remembered(event, answer));
  live.catch(() => {}); // when the copy was shown instead, nobody listens to it any more
  try {
    const answer = await Promise.race([live, (await copy()) ? seconds(PATIENCE) : live]);
    return answer.status >= 502 ? (await copy()) ?? answer : answer;
  } catch {
    return (await copy()) ?? (await caches.match(SITE.noSignal));
  }
}

async function remembered(event, answer) {
  const fit = html(answer) && !answer.redirected && !/no-store/.test(answer.headers.get("Cache-Control") ?? "");
  if (html(answer) && personOf(answer) === "0") await keepFor("0");
  else if (fit) event.waitUntil(put(event.request, answer.clone()));
  return answer;
}

async function file(request) {
  const kept = await caches.match(request);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok) await (await caches.open(SHELL)).put(request, answer.clone());
  return answer;
}

async function signOut(request) {
  await caches.delete(PAGES);
  return fetch(request).catch(() => caches.match(SITE.noSignal));
}

/* A form that goes the plain way and finds no shop: what was typed is kept, and the page that lists it says so. */
const sent = (request) => fetch(request).catch(() => Response.redirect(SITE.notSent, 303));

function answerFor(event) {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin) return null;
  if (request.method === "POST" && url.pathname === SITE.signOut) return signOut(request);
  if (request.mode === "navigate") return request.method === "GET" ? page(event) : sent(request);
  return request.method === "GET" && url.pathname.startsWith(SITE.statics) ? file(request) : null;
}

/* The page names the person and the pages that he needs; they are fetched one after the other. */
async function warm({ person, pages }) {
  await keepFor(String(person));
  for (const path of pages) await keepPage(path, String(person));
  await markWarm(String(person));
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("fetch", (event) => {
  const answer = answerFor(event);
  if (answer) event.respondWith(answer);
});
self.addEventListener("message", (event) => {
  if (event.data?.warm) {
    const port = event.ports[0];
    const told = (done) => port?.postMessage({ done });
    event.waitUntil(warm(event.data.warm).then(() => told(true), () => told(false)));
  }
});
