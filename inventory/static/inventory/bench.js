// The bench: working times run down on every page of it, and what changes elsewhere appears by itself.
// Without this script a reload shows the same.
"use strict";
(() => {
  const EVERY = 4_000; // milliseconds between two looks
  let began = performance.now();

  const run = () => {
    const minutes = (performance.now() - began) / 60_000;
    document.querySelectorAll("[data-left]").forEach((cup) => {
      const left = Math.max(0, Number(cup.dataset.left) - minutes);
      cup.querySelector("span").textContent = String(Math.floor(left));
    });
  };
  setInterval(run, 1_000);

  const board = document.querySelector("[data-board]");
  if (!board) return;
  let shown = board.innerHTML;
  const look = async () => {
    if (document.hidden) return;
    try {
      const answer = await fetch(board.dataset.board, { headers: { "X-Requested-With": "fetch" } });
      if (!answer.ok || answer.redirected) return;
      const text = await answer.text();
      if (text !== shown && !board.contains(document.activeElement)) {
        board.innerHTML = shown = text;
        began = performance.now();
      }
      board.removeAttribute("data-stale");
    } catch {
      board.setAttribute("data-stale", "");
    }
  };
  setInterval(look, EVERY);
  document.addEventListener("visibilitychange", look);
})();
