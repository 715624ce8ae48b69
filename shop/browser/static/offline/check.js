/* What the device can tell of a run by itself: what is empty, and which number can't be read. The rest is the shop's. */
import { LengthError, parseLength } from "./lengths.js";
import { element } from "./say.js";

const ANGLE = /^(?:\d{1,3}(?:\.\d{1,6})?|\d{1,3} \d{1,2}\/0*[1-9]\d?)$/;
const HALVES = { "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "°": "", "\u2044": "/" };
const NO_ANSWER = "No signal. The drawing, and what only the shop can check, come when there is; the numbers were read here.";
const HEAD = { tag: "Give it a tag.", conduit: "Which conduit?", place: "Which place?", quantity: "1 to 999." };

/** [{ name, text }] of one form, in the order of its fields. */
export function faults(form) {
  const names = [...new Set([...form.elements].map((one) => one.name).filter(Boolean))];
  return names.map((name) => ({ name, text: fault(form, name) })).filter((one) => one.text);
}

function fault(form, name) {
  const field = form.elements[name];
  const value = String(new FormData(form).get(name) ?? "").trim();
  if (name in HEAD) return headFault(name, value);
  const shown = field instanceof RadioNodeList ? field[0] : field;
  const needed = shown.closest("[data-needed]") !== null;
  if (!value) return needed ? "Not filled in yet." : "";
  if (shown.classList.contains("length")) return lengthFault(value);
  return shown.classList.contains("angle") && !ANGLE.test(plainAngle(value)) ? "It isn't an angle: write it like 22½ or 45." : "";
}

function headFault(name, value) {
  const fits = name === "quantity" ? /^0*[1-9]\d{0,2}$/.test(value) : value !== "";
  return fits ? "" : HEAD[name];
}

const plainAngle = (text) => text.replace(/[½¼¾°\u2044]/g, (one) => HALVES[one]).trim().split(/\s+/).join(" ");

function lengthFault(value) {
  try {
    parseLength(value);
    return "";
  } catch (error) {
    if (error instanceof LengthError) return error.message;
    throw error;
  }
}

/** Shows under each field what is wrong with it, and on the send key how much; the number of faults. */
export function show(form, { empty }) {
  const found = faults(form);
  form.querySelectorAll(".said").forEach((said) => said.replaceChildren());
  for (const { name, text } of found) {
    const gap = text === "Not filled in yet.";
    if (empty || !gap) document.getElementById(`${name}-said`)?.replaceChildren(element("p", "error", text));
  }
  form.querySelector(".ask-told").replaceChildren(element("p", "note", NO_ANSWER));
  sayKey(found);
  return found;
}

function sayKey(found) {
  const key = document.getElementById("send-key");
  const gaps = found.filter(({ name, text }) => text === "Not filled in yet." || name in HEAD).length;
  const wrong = found.length - gaps;
  const words = wrong ? `Fix ${wrong}, then send` : gaps ? `Fill ${gaps}, then send` : "Send";
  key.className = found.length ? "key off" : "key act";
  key.replaceChildren(element("span", "", words, ...(found.length ? [] : [element("small", "", "goes when there is signal")])));
}
