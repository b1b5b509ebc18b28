// Forms: a tap counts once, and every act carries a token, so that the same tap sent twice is one act.
// Without this script the server's own token does the same.
"use strict";
(() => {
  const RELEASE_AFTER = 10_000; // milliseconds: a paper or a sheet was sent and the page stayed
  const sent = new WeakMap();

  // A random UUID (RFC 9562, version 4). crypto.randomUUID is missing over plain HTTP; getRandomValues is not.
  const token = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  };

  const isPost = (form) => form.method === "post";
  const tokens = (form) => form.querySelectorAll("input[name=token]");
  const fill = (form) => tokens(form).forEach((field) => { field.value ||= token(); });
  const buttons = (form) => [...form.elements].filter((element) => element.matches("button, [type=submit]"));
  const free = (form) => {
    clearTimeout(sent.get(form));
    sent.delete(form);
    buttons(form).forEach((button) => button.removeAttribute("aria-disabled"));
  };

  // The server puts the same token into every form of a page: each further form is another act.
  const known = new Set();
  [...document.forms].filter(isPost).forEach((form) => tokens(form).forEach((field) => {
    if (!field.value || known.has(field.value)) field.value = token();
    known.add(field.value);
  }));

  // A file over its field's limit is said to be so before it is sent; the server says the same.
  document.addEventListener("change", ({ target }) => {
    if (target.dataset?.most) target.setCustomValidity(target.files[0]?.size > Number(target.dataset.most) ? target.dataset.sayLarge : "");
  });

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!isPost(form) || event.defaultPrevented) return;
    if (sent.has(form)) return event.preventDefault();
    fill(form);
    sent.set(form, setTimeout(free, RELEASE_AFTER, form));
    buttons(form).forEach((button) => button.setAttribute("aria-disabled", "true"));
  });

  // A hand scanner ends each code with Enter. That goes on to the next field; it sends the form from the last only.
  document.addEventListener("keydown", (event) => {
    const field = event.target;
    if (event.key !== "Enter" || !field.matches("input[data-scan]")) return;
    const fields = [...field.form.elements].filter((element) => element.matches("input:not([type=hidden]), select, textarea"));
    const next = fields[fields.indexOf(field) + 1];
    if (!next) return;
    event.preventDefault();
    next.focus();
  });

  // Back on a page that was sent: the same content again is the same act; changed content is another one.
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    [...document.forms].filter(isPost).forEach((form) => {
      free(form);
      form.addEventListener("input", () => tokens(form).forEach((field) => { field.value = token(); }), { once: true });
    });
  });
})();
