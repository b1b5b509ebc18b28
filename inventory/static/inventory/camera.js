// The live camera: frames go to the server, which reads them. Browsers give a camera to secure pages only;
// elsewhere nothing of this is shown, and the photo does the same.
"use strict";
(() => {
  const box = document.querySelector("[data-camera]");
  if (!box || !navigator.mediaDevices?.getUserMedia) return;
  const WIDTH = 1_280, PAUSE = 350, STOP_AFTER = 120_000; // pixels, milliseconds
  const GONE = 5; // frames without it, however long each takes: a blurred one or two is not a tag taken away
  const [video, says, on, off] = ["video", "[data-camera-says]", "[data-camera-on]", "[data-camera-off]"].map((one) => box.querySelector(one));
  const csrf = document.querySelector("[name=csrfmiddlewaretoken]");
  const canvas = document.createElement("canvas");
  const inView = new Map(); // what was taken and may be in view still: the frames since it was seen
  let stream = null, until = 0;
  box.hidden = false;

  const stop = () => {
    stream?.getTracks().forEach((track) => track.stop());
    stream = video.srcObject = null;
    video.classList.remove("on");
    says.hidden = true;
    on.hidden = false;
    off.hidden = true;
  };

  const took = (codes) => {
    for (const [code, frames] of inView) {
      if (codes.includes(code)) inView.set(code, 0);
      else if (frames + 1 < GONE) inView.set(code, frames + 1);
      else inView.delete(code);
    }
    if (!codes.length || codes.some((code) => inView.has(code))) return;
    inView.set(codes[0], 0);
    const event = new CustomEvent("scanned", { detail: codes[0], bubbles: true, cancelable: true });
    if (!box.dispatchEvent(event)) return; // many scans in a row: the page took it
    stop();
    location.assign(`${box.dataset.then}?code=${encodeURIComponent(codes[0])}`);
  };

  const look = async () => {
    if (!stream) return;
    if (Date.now() > until) return stop();
    const share = Math.min(1, WIDTH / (video.videoWidth || WIDTH));
    canvas.width = video.videoWidth * share;
    canvas.height = video.videoHeight * share;
    if (canvas.width) {
      canvas.getContext("2d").drawImage(video, 0, 0, canvas.width, canvas.height);
      const picture = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", 0.8); });
      try {
        const answer = await fetch(box.dataset.send, { method: "POST", body: picture, redirect: "manual", headers: { "X-CSRFToken": csrf.value, "Content-Type": "image/jpeg" } });
        const told = answer.headers.get("Content-Type")?.includes("json") ? await answer.json() : {};
        if (stream) took(told.codes ?? []);
        if (told.wrong) says.textContent = `${told.wrong} ${told.do}`;
      } catch { /* no signal: the next frame tries again */ }
    }
    setTimeout(look, PAUSE);
  };

  on.addEventListener("click", async () => {
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: false, video: { facingMode: "environment", width: { ideal: 1_920 } } });
    } catch (fault) {
      says.hidden = false;
      says.textContent = `${box.dataset.refused ?? ""} ${fault.message}`;
      return;
    }
    video.classList.add("on");
    says.hidden = false;
    video.srcObject = stream;
    await video.play();
    inView.clear();
    until = Date.now() + STOP_AFTER;
    on.hidden = true;
    off.hidden = false;
    look();
  });
  off.addEventListener("click", stop);
  window.addEventListener("pagehide", stop);
})();
