// The scan line: has the cursor where no form has it, takes a hand scanner's keys wherever the focus was left, and
// opens no phone keyboard until it is tapped. Without this script the line is an ordinary search field.
"use strict";
(() => {
  const line = document.getElementById("scan-line");
  if (!line) return;
  const typing = "input:not([type=hidden], [type=checkbox], [type=radio], [type=submit], [type=button]), select, textarea, [contenteditable]";
  const formHasIt = () => document.querySelector("main [autofocus]") || [...document.querySelectorAll("main form[method=post i]")].some((form) => form.querySelector(typing));

  const quiet = () => { line.inputMode = "none"; };
  quiet();
  line.addEventListener("blur", quiet);
  line.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" || line.inputMode === "text") return;
    line.blur(); // a keyboard only opens for a field that gets the focus anew
    line.inputMode = "text";
  });

  line.form.addEventListener("submit", (event) => {
    if (!line.value.trim()) event.preventDefault();
  });

  // One tap opens the phone's camera; the photo is sent as soon as it is taken. With a live camera the link stays.
  const photo = document.querySelector("[data-photo]");
  const file = photo && document.getElementById(photo.dataset.photo)?.elements.photo;
  if (file && !navigator.mediaDevices?.getUserMedia) {
    photo.addEventListener("click", (event) => {
      event.preventDefault();
      file.click();
    });
    file.addEventListener("change", () => { if (file.files.length) file.form.requestSubmit(); });
  }

  // Scans of the page for many that have not reached the books yet.
  const waiting = document.querySelector("[data-waiting-for]");
  if (waiting && !document.querySelector("[data-many]")) {
    const mine = `scan:${waiting.dataset.waitingFor}:`;
    try {
      waiting.hidden = !Object.keys(localStorage).some((key) => key.startsWith(mine));
    } catch { /* this browser keeps nothing */ }
  }

  // Keys that land nowhere belong to the line: a scanner types like a keyboard.
  document.addEventListener("keydown", (event) => {
    const aimed = event.ctrlKey || event.altKey || event.metaKey || event.isComposing;
    if (aimed || event.key.length !== 1 || event.key === " " || event.target.closest?.(typing)) return;
    (document.querySelector("[data-scan-here]") ?? line).focus({ preventScroll: true });
  });

  const nothingHasIt = [null, document.body].includes(document.activeElement);
  if (nothingHasIt && !formHasIt() && !location.hash) line.focus({ preventScroll: true });
  window.addEventListener("pageshow", (event) => {
    if (event.persisted) line.value = "";
  });
})();
