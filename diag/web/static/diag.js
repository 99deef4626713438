/* Comfort only: every page works without this file. It keeps what is being typed until it has been sent, and it
   waits for a lost connection instead of losing the form. */
"use strict";

const form = document.querySelector("form[data-keep]");
const notice = document.getElementById("connection");

function say(words) {
  if (notice) notice.textContent = words;
}

function shelf(work) {
  try { return work(window.localStorage); } catch { return null; } // storage can be full or forbidden
}

function fields() {
  return [...form.elements].filter((e) => e.name && !["hidden", "submit", "button"].includes(e.type));
}

function remember() {
  const typed = fields().map((e) => [e.name, e.type === "checkbox" || e.type === "radio" ? e.checked : e.value, e.value]);
  shelf((s) => s.setItem(key(), JSON.stringify(typed)));
}

function key() {
  return "diag:" + form.dataset.keep;
}

function restore() {
  const kept = shelf((s) => JSON.parse(s.getItem(key()) || "null"));
  if (!Array.isArray(kept)) return;
  for (const [name, state, value] of kept) {
    const tick = typeof state === "boolean";
    const found = fields().find((e) => e.name === name && (!tick || e.value === value));
    if (!found) continue;
    if (tick) found.checked = state;
    else found.value = state;
  }
}

/* Sent is what stands on the server: once the next question shows, drafts of earlier ones have done their work. */
function tidy() {
  const walk = form.dataset.keep.split("/")[0];
  const begun = walk && document.referrer === new URL("/", location.href).href;
  shelf((s) => {
    for (const k of Object.keys(s)) {
      if ((walk && k !== key() && k.startsWith("diag:" + walk + "/")) || (begun && k === "diag:/walks")) s.removeItem(k);
    }
  });
}

async function reachable() {
  try {
    return (await fetch("/static/icon.svg", { method: "HEAD", cache: "no-store" })).ok;
  } catch {
    return false;
  }
}

let sending = false;

async function send(event) {
  if (event.submitter && event.submitter.dataset.checked) {
    return;
  }
  event.preventDefault();
  if (sending) return; // a second press of a glove
  sending = true;
  remember();
  const button = event.submitter || form.querySelector("button.main");
  while (!(await reachable())) {
    say("No connection to the server. What you typed is kept here and is sent as soon as it is back.");
    await new Promise((done) => setTimeout(done, 2000));
  }
  say("");
  sending = false;
  button.dataset.checked = "yes";
  form.requestSubmit(button);
}

if (form) {
  tidy();
  restore();
  form.addEventListener("input", remember);
  form.addEventListener("submit", send);
  window.addEventListener("pageshow", () => form.querySelectorAll("[data-checked]").forEach((b) => delete b.dataset.checked));
}
