/* Any form with data-outbox="kind" is kept first and sent then; data-words says what it is in the list of what isn't sent. */
import * as outbox from "./outbox.js";
import { go, notice, sayNext } from "./say.js";

export const fieldsOf = (form) => new URLSearchParams([...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken"));

async function taken(form) {
  form.dataset.nonce ??= crypto.randomUUID();
  const said = { kind: form.dataset.outbox, words: form.dataset.words, data: fieldsOf(form).toString() };
  return outbox.send(form.dataset.nonce, { ...said, page: location.pathname + location.search });
}

async function submitted(event) {
  const form = event.target.closest("form[data-outbox]");
  if (!form || event.defaultPrevented) return;
  event.preventDefault();
  shown(await taken(form));
}

function shown(entry) {
  if (entry.state === "done") {
    sayNext(entry.answer.words);
    go(entry.answer.page);
  } else if (entry.state === "refused") {
    notice("error", entry.refusal.words);
  } else {
    go("/not-sent/");
  }
}

export const takeForms = () => document.addEventListener("submit", submitted);
