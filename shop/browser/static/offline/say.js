/* Words for times and counts, and notices above the page. */

const MINUTE = 60000;

/** `now`, `12 min`, `3 h`, `2 days` */
export function age(moment) {
  const minutes = Math.floor((Date.now() - Date.parse(moment)) / MINUTE);
  if (minutes < 1) return "now";
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return `${hours} h`;
  return `${Math.floor(hours / 24)} days`;
}

/** `13:05` in the shop's zone, as the page's own times are; with the day where it isn't today's. */
export function clock(moment) {
  const hour = inZone(moment, { hour: "numeric", minute: "2-digit", hourCycle: "h23" });
  const day = (when) => inZone(when, { weekday: "short", day: "numeric", month: "short" });
  return day(moment) === day(Date.now()) ? hour : `${day(moment)} ${hour}`;
}

const inZone = (moment, parts) =>
  new Intl.DateTimeFormat("en-GB", { ...parts, timeZone: document.documentElement.dataset.zone }).format(new Date(moment));

export function element(name, className = "", ...inside) {
  const made = document.createElement(name);
  if (className) made.className = className;
  made.append(...inside);
  return made;
}

/** A sign of the page's own kit, which the page carries in a template. */
export function sign(name) {
  const kit = document.getElementById("signs");
  return kit.content.querySelector(`[data-sign="${name}"] svg`).cloneNode(true);
}

export function key(words, tap, more = "") {
  const made = element("button", `key small ${more}`, words);
  made.type = "button";
  made.addEventListener("click", tap);
  return made;
}

/** A key that does it at the second tap, when it has said what it does: nothing is thrown away by one. */
export function sureKey(words, sure, tap) {
  const made = key(words, () => ("sure" in made.dataset ? tap() : sayIt()), "plain");
  const sayIt = () => Object.assign(made, { textContent: sure }).setAttribute("data-sure", "");
  return made;
}

/** A notice above the page; `level` is success, warning or error. */
export function notice(level, words, ...inside) {
  const signs = { success: "disc", warning: "tray", error: "octagon" };
  const made = element("p", `notice ${level}`, sign(signs[level]), element("span", "", words), ...inside);
  made.setAttribute("role", "status");
  document.getElementById("notices").prepend(made);
  return made;
}

/** Goes to a page that nobody tapped for, unless somebody has tapped for another one meanwhile. */
export const go = (path) => tapped || location.assign(path);

let tapped = false;
document.addEventListener("click", (event) => (tapped ||= event.target.closest?.("a[href]:not([href^='#'])") !== null));

/** Said on the next page that is shown. */
export const sayNext = (words) => sessionStorage.setItem("say", words);

export function saySaid() {
  const words = sessionStorage.getItem("say");
  if (!words) return;
  sessionStorage.removeItem("say");
  notice("success", words);
}
