// Papers: what is folded on the screen is open in print, but not the long list of what is fine; buttons that only
// a script can serve appear with it.
"use strict";
(() => {
  let opened = [];
  window.addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details:not([open], .at-length, .at-length *)")];
    opened.forEach((fold) => { fold.open = true; });
  });
  window.addEventListener("afterprint", () => {
    opened.forEach((fold) => { fold.open = false; });
  });

  document.querySelectorAll("[data-print]").forEach((button) => {
    button.hidden = false;
    button.addEventListener("click", () => window.print());
  });

  // The way back keeps what was entered, which a fresh page would not.
  document.querySelectorAll("a[data-back]").forEach((link) => {
    link.addEventListener("click", (event) => {
      if (history.length < 2) return;
      event.preventDefault();
      history.back();
    });
  });
})();
