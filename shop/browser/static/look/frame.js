/* What every page needs: no second tap by accident, and a word when the shop does not answer. */
"use strict";
(() => {
  const TWICE = 400; // ms; wet glass taps twice
  let last = { key: null, at: -TWICE };

  document.addEventListener("click", (event) => {
    const key = event.target.closest?.("button, a.key, a.chip, input[type=submit]");
    if (!key || key.dataset.fast !== undefined) return;
    if (key === last.key && event.timeStamp - last.at < TWICE) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    last = { key, at: event.timeStamp };
  }, true);

  const trouble = () => document.getElementById("trouble");
  function failed() {
    if (trouble()) trouble().hidden = false;
  }
  document.addEventListener("htmx:sendError", failed);
  document.addEventListener("htmx:timeout", failed);
  document.addEventListener("htmx:responseError", failed);
  document.addEventListener("htmx:afterRequest", (event) => {
    if (trouble() && event.detail.successful === true) trouble().hidden = true;
  });
})();
