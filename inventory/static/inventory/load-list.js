// The list beside the scans: a line that went aboard is ticked, the load is told again, and what would help it.
"use strict";
(() => {
  const list = document.querySelector("[data-load-list]");
  if (!list) return;
  const helps = document.querySelector("[data-helps]");
  helps.addEventListener("submit", (event) => { // leaving the open page without signal would lose the list
    if (navigator.onLine) return;
    event.preventDefault();
    const words = event.target.querySelector("[role=alert]") ?? event.target.appendChild(Object.assign(document.createElement("p"), { role: "alert" }));
    words.textContent = helps.dataset.sayAway;
  });
  document.addEventListener("answered", (event) => {
    const { line, left, masses, helps: help } = event.detail;
    const row = line && list.querySelector(`[data-line="${CSS.escape(line)}"]`);
    if (row) {
      row.classList.add("is-done");
      row.querySelector("[data-tick]").textContent = list.dataset.sayAboard;
    }
    if (left !== undefined) document.querySelector("[data-left]").textContent = left;
    const all = document.querySelector("[data-all-aboard]");
    if (all && left !== undefined) all.hidden = left > 0;
    if (help !== undefined) helps.innerHTML = help;
    if (masses) {
      document.querySelector("[data-masses]").replaceChildren(...masses.map((words) => Object.assign(document.createElement("li"), { textContent: words })));
    }
  });
})();
