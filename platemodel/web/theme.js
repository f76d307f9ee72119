// Dark or light before anything is drawn: as chosen on this page, else as the device is set.
(() => {
  "use strict";
  const KEY = "platemodel/theme";
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  let chosen = null;
  try {
    chosen = window.localStorage.getItem(KEY);
  } catch {
    // nothing is kept here; the device's setting does
  }

  function apply() {
    const theme = chosen === "dark" || chosen === "light" ? chosen : dark.matches ? "dark" : "light";
    document.documentElement.dataset.theme = theme;
    const button = document.getElementById("theme");
    if (button) button.textContent = theme === "dark" ? "Light" : "Dark";
    document.dispatchEvent(new CustomEvent("themed"));
  }

  function swap() {
    chosen = document.documentElement.dataset.theme === "dark" ? "light" : "dark";
    try {
      window.localStorage.setItem(KEY, chosen);
    } catch {
      // kept until the page is closed
    }
    apply();
  }

  dark.addEventListener("change", apply);
  document.addEventListener("DOMContentLoaded", () => {
    document.getElementById("theme").addEventListener("click", swap);
    apply();
  });
  apply();
})();
