/* Runs before the page is painted: a fixed choice of light or dark is kept in this browser only. */
"use strict";
(() => {
  const root = document.documentElement;
  const words = { "": "as the device", light: "light", dark: "dark" };
  const order = ["", "light", "dark"];

  function kept() {
    try {
      const value = localStorage.getItem("theme") || "";
      return value in words ? value : "";
    } catch {
      return ""; // storage may be forbidden; the device's own setting still holds
    }
  }

  function set(value) {
    if (value) root.dataset.theme = value;
    else delete root.dataset.theme;
  }

  function say(key, value) {
    key.textContent = `Colours: ${words[value]}`;
    key.hidden = false;
  }

  let chosen = kept();
  set(chosen);
  document.addEventListener("DOMContentLoaded", () => {
    const key = document.getElementById("theme-key");
    if (!key) return;
    say(key, chosen);
    key.addEventListener("click", () => {
      chosen = order[(order.indexOf(chosen) + 1) % order.length];
      try {
        localStorage.setItem("theme", chosen);
      } catch {
        // not kept, but it holds for this page
      }
      set(chosen);
      say(key, chosen);
    });
  });
})();
