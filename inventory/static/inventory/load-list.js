// The list beside the scans: a line that went aboard is ticked, the load is told again.
"use strict";
(() => {
  const list = document.querySelector("[data-load-list]");
  if (!list) return;
  const told = (where, sentences) => document.querySelector(where)
    .replaceChildren(...sentences.map((words) => Object.assign(document.createElement("li"), { textContent: words })));
  document.addEventListener("answered", (event) => {
    const { line, left, masses, ends } = event.detail;
    const row = line && list.querySelector(`[data-line="${CSS.escape(line)}"]`);
    if (row) {
      row.classList.add("is-done");
      row.querySelector("[data-tick]").textContent = list.dataset.sayAboard;
    }
    if (left !== undefined) document.querySelector("[data-left]").textContent = left;
    const all = document.querySelector("[data-all-aboard]");
    if (all && left !== undefined) all.hidden = left > 0;
    if (!masses) return;
    told("[data-masses]", masses);
    told("[data-ends]", ends);
    document.querySelector("[data-ends-too]").hidden = !ends.length;
  });
})();
