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
    const { aboard, left, masses, helps: help } = event.detail;
    for (const row of aboard ? list.querySelectorAll("[data-line]") : []) { // also by what other phones scanned
      const done = aboard.includes(row.dataset.line);
      row.classList.toggle("is-done", done);
      row.querySelector("[data-tick]").textContent = done ? list.dataset.sayAboard : "";
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
