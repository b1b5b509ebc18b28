// Many scans in a row. Each is kept on this phone, under a token of its own, before anything else happens with it,
// and goes when the server has answered for it. Sent twice it is one act, so it is sent until it is answered.
"use strict";
(() => {
  const form = document.querySelector("[data-many]");
  if (!form) return;
  const AGAIN = 3_000, BOUNCE = 700, TEN = 10; // milliseconds; a scanner may read one code twice
  const RANK = { B: 1, Z: 2, T: 3 }; // by the letter a code begins with: bin; zone, store or yard; trailer
  const say = form.dataset, field = form.elements.code;
  const [told, outcome, big, because, waits, refused, list] = ["told", "outcome", "big", "because", "waits", "not-done", "ten"].map((one) => document.querySelector(`[data-${one}]`));
  const mine = `scan:${say.person}:`, notes = `scans-of:${say.person}${say.trip ? `:${say.trip}` : ""}`, gathers = `gathered:${say.person}:`;
  let count = 0, busy = false, timer = 0, sound = null, bounced = ["", 0], why = "";

  // What is remembered beside the scans: the choice, the place, the last ten. The last tab that is touched has it.
  const state = { do: "first", to: "", ten: [], beep: false };
  try { Object.assign(state, JSON.parse(localStorage.getItem(notes) ?? "{}")); } catch { /* begin afresh */ }
  if (say.trip) state.do = "load"; // the page of a trip's loading: each scan goes aboard
  const remember = () => { try { localStorage.setItem(notes, JSON.stringify(state)); } catch { /* a scan that cannot be kept is told */ } };

  // A scan has a key of its own, whatever other tabs keep: under `mine` what is to be sent, under `gathers` what waits
  // for its place. In order of time.
  const keys = (of = mine) => Object.keys(localStorage).filter((key) => key.startsWith(of)).sort();
  const read = (key) => JSON.parse(localStorage.getItem(key));
  const put = (key, item) => localStorage.setItem(key, JSON.stringify(item));
  const keyOf = (token, of = mine) => keys(of).find((key) => key.endsWith(token));

  const token = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  };

  // As the server reads it: the end of an address, or the last eight signs of a garbled one.
  const bare = (text) => {
    const last = text.trim().toUpperCase().replace(/[/\\]+$/, "").split(/[/\\]/).pop().replace(/[\s\-–_]/g, "");
    return last.length > 8 && /HTTP/i.test(text) ? last.replace(/[^0-9A-Z]/g, "").slice(-8) : last;
  };
  const rank = (code) => RANK[code[0]] ?? 0;
  const shown = (code) => (code.length === 8 ? `${code.slice(0, 4)}-${code.slice(4)}` : code.slice(0, 40));

  const beep = (right) => {
    if (!state.beep) return;
    sound ??= new AudioContext();
    const tone = sound.createOscillator();
    tone.frequency.value = right ? 880 : 220;
    tone.connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + (right ? 0.08 : 0.4));
  };

  // How a scan ended, as a shape and a word before any colour: good, kept, wrong; "": nothing was scanned.
  const marked = (end) => (end ? [document.querySelector(`template[data-mark=${end}]`).content.cloneNode(true)] : []);
  const tell = (words, more, end = "") => {
    told.setAttribute("aria-live", end === "wrong" ? "assertive" : "polite");
    ["good", "kept", "wrong"].forEach((one) => told.classList.toggle(`is-${one}`, one === end));
    outcome.replaceChildren(...marked(end));
    big.textContent = words;
    because.textContent = more;
  };

  const draw = () => {
    list.replaceChildren(...state.ten.map((item) => {
      const row = document.createElement("li"), words = document.createElement("span");
      words.dir = "auto";
      words.append(...marked(item.end), " ", [shown(item.code), item.thing, item.said].filter(Boolean).join(" · "));
      row.classList.toggle("is-wrong", item.end === "wrong");
      row.append(words);
      if (!item.over) {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = say.sayBack;
        button.setAttribute("aria-label", `${say.sayBack}: ${shown(item.code)}`);
        button.addEventListener("click", () => takeBack(item));
        row.append(button);
      }
      for (const fix of item.fixes ?? []) {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = fix.label;
        button.addEventListener("click", () => putRight(item, fix));
        row.append(button);
      }
      return row;
    }));
    if (!state.ten.length) list.append(Object.assign(document.createElement("li"), { textContent: say.sayNothing }));
    const left = keys().length;
    waits.hidden = !left;
    waits.textContent = left ? `${say.sayWaits} ${left}. ${why}` : "";
    const open = state.ten.filter((item) => item.end === "wrong" && !item.settled).length;
    refused.hidden = !open;
    refused.textContent = open ? `${say.sayRefused} ${open}` : "";
    remember();
  };

  const note = (found, changes) => {
    const item = state.ten.find((one) => one.token === found);
    if (item) Object.assign(item, changes);
    return item;
  };
  const list10 = (item) => { state.ten = [item, ...state.ten].slice(0, TEN); };

  const keep = (item, of) => put(`${of}${String(Date.now()).padStart(15, "0")}:${String(count++).padStart(6, "0")}:${item.token}`, item);
  const queue = (item) => keep({ when: Date.now(), ...item }, mine);

  // What a scan means, by the choice and by what was scanned before. Returns what to tell.
  const meaning = (code, text) => {
    const item = { token: token(), code, do: state.do, said: say.sayKept, end: "kept" };
    if (code.length !== 8) queue({ token: item.token, do: "look", code: text });
    else if (state.do === "first") {
      const place = rank(code) && (!state.to || rank(code) >= rank(state.to) || code === state.to);
      if (place) {
        state.to = code === state.to ? "" : code;
        return tell(shown(code), state.to ? say.sayNext : say.sayPlace);
      }
      if (!state.to) return tell(say.sayPlace, shown(code), "wrong"), beep(false);
      queue({ token: item.token, do: "move", code, to: state.to });
    } else if (state.do === "last") {
      const gathered = keys(gathers), highest = Math.max(0, ...gathered.map((key) => rank(read(key).code)));
      if (gathered.length && rank(code) > highest) {
        gathered.forEach((key) => {
          const one = read(key);
          queue({ ...one, do: "move", to: code });
          localStorage.removeItem(key);
          note(one.token, { said: say.sayKept, end: "kept" });
        });
        return tell(shown(code), say.sayKept, "kept");
      }
      keep({ token: item.token, code }, gathers);
      item.said = say.sayGathered;
    } else if (state.do === "load" && rank(code) > 1) { // a zone: what follows goes there; again: as the list says
      state.to = code === state.to ? "" : code;
      return tell(shown(code), state.to ? say.sayNext : say.sayPlace);
    } else {
      item.to = state.do === "load" ? state.to : "";
      queue({ token: item.token, do: state.do, code, to: item.to, trip: say.trip });
    }
    list10(item);
    tell(shown(code), item.said, item.end);
  };

  // One tap on what would put a refused scan right: a scan of its own.
  const putRight = (item, fix) => {
    const next = { token: token(), code: fix.code, do: "load", to: fix.to || item.to || "", said: say.sayKept, end: "kept" };
    queue({ ...next, sure: fix.sure, trip: say.trip });
    note(item.token, { fixes: [], settled: true });
    list10(next);
    field.focus({ preventScroll: true });
    draw();
    pump();
  };

  const took = (text) => {
    const code = bare(text);
    if (!code || (bounced[0] === code && Date.now() - bounced[1] < BOUNCE)) return;
    bounced = [code, Date.now()];
    try {
      meaning(code, text.trim().slice(0, 300));
      beep(true);
    } catch {
      tell(say.sayFull, shown(code), "wrong");
      beep(false);
    }
    draw();
    pump();
  };

  const takeBack = (item) => {
    const key = keyOf(item.token), gathered = keyOf(item.token, gathers);
    const unsent = key && !read(key).tried;
    if (gathered) localStorage.removeItem(gathered);
    if (unsent) localStorage.removeItem(key);
    if (!unsent && !gathered) queue({ token: token(), do: "undo", act: item.token, trip: say.trip });
    note(item.token, { over: true, end: unsent || gathered ? "" : "kept", said: unsent || gathered ? say.sayTaken : say.saySending });
    field.focus({ preventScroll: true });
    draw();
    pump();
  };

  // Out of turn: it comes after newer scans, or before an older one of the same thing. It counts when it was made.
  const outOfTurn = (item) => item.again || keys().some((key) => ((one) => one?.again && one.code === item.code)(read(key)));

  // Whoever signs in again in another tab ends this page's right to send; a new page of the same person has it anew.
  const signedIn = async () => {
    const page = new DOMParser().parseFromString(await (await fetch(location.href)).text(), "text/html").querySelector("[data-many]");
    if (page?.dataset.person !== say.person) return false;
    form.elements.csrfmiddlewaretoken.value = page.elements.csrfmiddlewaretoken.value;
    return true;
  };

  // One scan to the server. True: it is answered for, for good or ill.
  const post = async (key) => {
    const item = read(key);
    if (!item) return true; // another tab sent it
    put(key, { ...item, tried: true });
    const send = () => fetch(form.action, { method: "POST", redirect: "manual", body: new URLSearchParams({ csrfmiddlewaretoken: form.elements.csrfmiddlewaretoken.value, token: item.token, do: item.do, code: item.code ?? "", to: item.to ?? "", act: item.act ?? "", trip: item.trip ?? "", sure: item.sure ?? "", again: outOfTurn(item) ? 1 : "", ago: Math.max(0, Math.round((Date.now() - item.when) / 1000)) }) });
    let answer = await send();
    if (answer.status === 403 && (await signedIn())) answer = await send();
    const final = answer.ok || answer.status === 409 || answer.status === 422;
    if (answer.status === 503) { // nothing is recorded now; the server says why
      const { wrong, do: help } = await answer.json();
      why = `${wrong} ${help}`;
      return false;
    }
    if (answer.status >= 500) { // it may be this scan's own fault: the others go first
      queue({ ...item, tried: true, again: true });
      localStorage.removeItem(key);
    }
    if (!final) {
      why = answer.type === "opaqueredirect" || answer.status === 403 ? say.saySignin : say.sayAway;
      return false;
    }
    const reply = await answer.json();
    localStorage.removeItem(key);
    const about = item.act ?? item.token, subject = note(about, {});
    if (reply.wrong) {
      const words = `${reply.wrong} ${reply.do}`;
      note(about, { said: words, over: !item.act, end: "wrong", settled: false, fixes: reply.fixes ?? [] });
      tell(subject ? shown(subject.code) : "", words, "wrong");
      beep(false);
    } else {
      note(about, { said: reply.said, end: item.act ? "" : "good", ...(reply.thing ? { thing: reply.thing } : {}) });
      if (!item.act) state.ten.filter((one) => one.code === item.code).forEach((one) => { one.settled = true; });
      document.dispatchEvent(new CustomEvent("answered", { detail: reply }));
      if (!keys().some((one) => one > key)) tell(reply.thing ?? big.textContent, `${reply.said} ${reply.code ?? ""}`, item.act ? "" : "good");
    }
    return true;
  };

  // The oldest; one that is taken back goes before what takes it back.
  const next = () => keys().find((key) => ((one) => !(one?.act && keyOf(one.act)))(read(key)));

  const pump = async () => {
    clearTimeout(timer);
    if (busy) return;
    busy = true;
    try {
      for (let key = next(); key; key = next()) {
        if (!(await post(key))) break;
        why = "";
        draw();
      }
    } catch { why = say.sayAway; }
    busy = false;
    draw();
    if (keys().length) timer = setTimeout(pump, AGAIN);
  };

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const text = field.value;
    field.value = "";
    took(text);
  });
  document.addEventListener("scanned", (event) => { // from the live camera
    event.preventDefault();
    took(event.detail);
  });

  field.inputMode = "none"; // a hand scanner types; the phone's keyboard comes when the field is tapped
  field.addEventListener("blur", () => { field.inputMode = "none"; });
  field.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" || field.inputMode === "text") return;
    field.blur();
    field.inputMode = "text";
  });
  const start = { first: say.sayPlace, last: "", count: "", open: "", load: say.sayPlace };
  form.addEventListener("change", (event) => {
    if (event.target === field) return;
    if (!say.trip && event.target.name === "do" && form.elements.do.value !== state.do) {
      Object.assign(state, { do: form.elements.do.value, to: "" });
      tell(start[state.do] || "…", "");
    }
    state.beep = form.elements.beep.checked;
    remember();
    field.focus({ preventScroll: true });
  });

  if (!say.trip) form.elements.do.value = state.do;
  form.elements.beep.checked = state.beep;
  tell(state.to ? shown(state.to) : start[state.do] || "…", state.to ? say.sayNext : "");
  field.focus({ preventScroll: true });
  window.addEventListener("online", pump);
  const here = new Set(state.ten.map((item) => item.token));
  if (!say.trip) keys(gathers).map(read).filter((one) => !here.has(one.token)).forEach((one) => list10({ ...one, said: say.sayGathered, end: "kept" }));
  draw();
  pump();
})();
