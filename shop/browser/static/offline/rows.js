/* The builder's rows without the shop: they come and go as shop/requests/builder.py lets them, from a kit in the page. */

const PREFIX = /^(#?)(?:r|x|new)\d+(?=-|$)/;
const NAMED = ["id", "name", "for", "aria-describedby", "href"];
const FEATURES = (section) => !["start", "end", "leg", "corner"].includes(kindOf(section));
const MOST = 80;

const kit = () => document.getElementById("row-kit").content;
const kindOf = (section) => section.className.match(/\bask-row ask-(\w+)/)[1];
const sections = (form) => [...form.querySelectorAll(".ask-row")];
let made = 0;

/* A clone gets a name that nothing in the page has: radio keys of one name would put each other out. */
function fresh(kind) {
  const section = kit().querySelector(`.ask-${kind}`).cloneNode(true);
  made += 1;
  rename(section, `new${made}`);
  return section;
}

function rename(section, prefix) {
  for (const one of [section, ...section.querySelectorAll("*")]) {
    for (const name of NAMED) {
      const value = one.getAttribute(name);
      if (value && PREFIX.test(value)) one.setAttribute(name, value.replace(PREFIX, `$1${prefix}`));
    }
  }
}

/* Numbers, names and keys of all rows anew, after any came or went. */
function settle(form) {
  const rows = sections(form);
  rows.forEach((section, number) => rename(section, `x${number}`));
  rows.forEach((section, number) => rename(section, `r${number}`));
  rows.forEach((section, number) => numbered(section, number, rows));
  form.querySelectorAll(".ask-adds").forEach((adds) => adds.remove());
  rows.forEach((section, number) => kindOf(section) === "leg" && addsAfter(rows, number));
  if (window.htmx) window.htmx.process(form);
}

function numbered(section, number, rows) {
  const take = section.querySelector('.row-top button[name="do"]');
  if (take) take.value = `take:${number}`;
  const alike = rows.filter((one) => kindOf(one) === kindOf(section));
  const head = section.querySelector("h3");
  const words = head.textContent.replace(/ \d+$/, "");
  const counted = ["leg", "corner"].includes(kindOf(section)) && alike.length > 1;
  head.textContent = counted ? `${words} ${alike.indexOf(section) + 1}` : words;
  section.querySelector(".row-head .note")?.replaceChildren();
}

function addsAfter(rows, leg) {
  const adds = kit().querySelector(".ask-adds").cloneNode(true);
  for (const button of adds.querySelectorAll('button[name="do"]')) {
    button.value = button.value.replace(/^(\w+):\d+/, `$1:${leg}`);
  }
  rows[groupEnd(rows, leg) - 1].after(adds);
}

/* The place after a leg and its features. */
function groupEnd(rows, leg) {
  let end = leg + 1;
  while (end < rows.length && FEATURES(rows[end])) end += 1;
  return end;
}

/** Does one button's work; the row that came, if one did. */
export function edited(form, action) {
  const [word, target, kind] = action.split(":");
  const came = { leg_add: legAdd, feature_add: featureAdd, take }[word]?.(sections(form), Number(target), kind) ?? null;
  settle(form);
  return came;
}

function legAdd(rows, leg) {
  if (rows.length + 2 > MOST) return null;
  const [corner, next] = [fresh("corner"), fresh("leg")];
  rows[groupEnd(rows, leg) - 1].after(corner, next);
  return corner;
}

/* Before what stands at the leg's end, so that the rows stay in the order in which he measures. */
function featureAdd(rows, leg, kind) {
  if (rows.length + 1 > MOST) return null;
  let end = groupEnd(rows, leg);
  while (end - 1 > leg && standsAtEnd(rows[end - 1])) end -= 1;
  const feature = fresh(kind);
  rows[end - 1].after(feature);
  return feature;
}

const standsAtEnd = (section) => section.querySelector('input[name$="-at"][value="end"]:checked') !== null;

/* A feature goes alone; a corner takes the leg after it, with its features. */
function take(rows, number) {
  const last = FEATURES(rows[number]) ? number + 1 : groupEnd(rows, number + 1);
  rows.slice(number, last).forEach((section) => section.remove());
  return null;
}

/** Sets a form as its fields were kept: the same rows, and in each what was typed. */
export function restore(form, fields) {
  const data = new URLSearchParams(fields);
  const old = sections(form);
  for (let number = 0; data.has(`r${number}-row`); number += 1) old[0].before(fresh(data.get(`r${number}-row`)));
  old.forEach((section) => section.remove());
  settle(form);
  for (const [name, value] of data) set(form, name, value);
  for (const box of form.querySelectorAll("input[type=checkbox]")) box.checked = data.has(box.name);
}

function set(form, name, value) {
  const field = form.elements[name];
  if (!field) (form.querySelector(`#${name.split("-")[0]}.ask-row`) ?? form).prepend(carried(name, value));
  else if (field instanceof HTMLSelectElement) pick(field, value);
  else field.value = value;
}

/* A yes that the page doesn't ask for yet goes along until the shop has answered. */
function carried(name, value) {
  const input = Object.assign(document.createElement("input"), { type: "hidden", name, value });
  if (name === "yes" || name.startsWith("sure-")) input.dataset.once = "";
  return input;
}

function pick(list, value) {
  list.value = value;
  if (list.value === value || !PREFIX.test(list.name)) return; // a place that is gone has to be picked anew
  list.add(new Option(value, value));
  list.value = value;
}
