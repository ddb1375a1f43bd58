// The bench: every touch becomes one fact with its own token and moments, and is posted until it is saved.
// What waits is kept in `waiting`, in order; a store on the device can stand in its place.
"use strict";
{
  const waiting = [];
  let sending = false;
  let pressed = 0;
  let held = "";
  const loadedAt = Date.now();
  let controls = document.querySelector(".controls[data-elapsed], #job-controls");
  // When the clock began, by this device: the server says how long ago, and no two clocks need agree.
  let since = begun(controls, loadedAt);

  function begun(part, at) {
    return part?.dataset.elapsed === undefined ? null : at - 1000 * Number(part.dataset.elapsed);
  }

  function mintToken() {
    // crypto.randomUUID is not there on plain HTTP.
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
  }

  const moment = (milliseconds) => new Date(milliseconds).toISOString();
  const cookie = (name) => document.cookie.split("; ").find((row) => row.startsWith(`${name}=`))?.slice(name.length + 1);

  function tell(form) {
    const fact = new FormData(form);
    fact.delete("csrfmiddlewaretoken");
    if (form.dataset.fact === "as it stands") return fact;
    const now = Date.now();
    fact.set("token", mintToken());
    fact.set("done_at", moment(now));
    if (fact.has("started_at")) {
      fact.set("started_at", moment(Math.min(since ?? now, now)));
      since = now;
    }
    return fact;
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.fact === undefined) return;
    event.preventDefault();
    const button = form.querySelector("button");
    // A finger that shakes is no second piece. The button isn't disabled: that would take the keyboard away from it.
    if (Date.now() - pressed < 500) return;
    pressed = Date.now();
    held = button.id;
    navigator.vibrate?.(30);
    const before = since;
    waiting.push({ url: form.action, fact: tell(form), before });
    sendAll();
  });

  async function sendAll() {
    if (sending) return;
    sending = true;
    try {
      while (waiting.length && (await send(waiting[0]))) waiting.shift();
    } finally {
      sending = false;
      showWaiting();
    }
  }

  async function send({ url, fact, before }) {
    fact.set("sent_at", moment(Date.now()));
    let response, text;
    try {
      response = await fetch(url, {
        method: "POST",
        body: new URLSearchParams(fact),
        headers: { "X-CSRFToken": cookie("csrftoken") ?? "", "HX-Request": "true" },
        signal: AbortSignal.timeout?.(10000),
      });
      text = await response.text();
    } catch {
      return why("No answer from the shop.");
    }
    if (response.headers.has("HX-Redirect")) return why("You were signed out: come in again, then send.");
    if (response.status === 403) return why("Someone else is signed in here: come in again, then send.");
    if (response.status !== 200 && response.status !== 422) return why(`The shop answered ${response.status}.`);
    if (response.redirected) location.assign(response.url);
    // What was refused took no time: the piece is still in hand since then.
    if (response.status === 422) since = before;
    show(new DOMParser().parseFromString(text, "text/html"));
    return true;
  }

  function show(answer) {
    const task = document.getElementById("job-wheels")?.dataset.task;
    for (const part of answer.querySelectorAll("body > [data-part]")) {
      // A fact that came late may be about another job than the page.
      if (part.dataset.task && part.dataset.task !== task) continue;
      document.getElementById(part.id)?.replaceWith(part);
      if (part.id !== "job-controls") continue;
      controls = part;
      since = begun(part, Date.now());
      say(part.dataset.said);
      (document.getElementById("question") ?? document.getElementById(held))?.focus({ preventScroll: true });
    }
    tick();
  }

  function say(words) {
    const said = document.getElementById("said");
    if (said) said.textContent = words;
  }

  function why(words) {
    document.getElementById("unsent").dataset.why = words;
    return false;
  }

  function showWaiting() {
    const line = document.getElementById("unsent");
    if (!line) return;
    line.hidden = waiting.length === 0;
    line.querySelector("a").hidden = !/come in/.test(line.dataset.why ?? "");
    line.querySelector("b").textContent = waiting.length ? `${waiting.length}. ${line.dataset.why}` : "";
  }

  function tick() {
    const shown = document.getElementById("ticking");
    if (!shown || since === null) return;
    const minutes = Math.floor((Date.now() - since) / 60000);
    const hours = Math.floor(minutes / 60);
    const rest = minutes % 60;
    shown.textContent = hours ? `${hours} h ${String(rest).padStart(2, "0")}` : `${minutes} min`;
  }

  document.querySelector("#unsent button")?.addEventListener("click", sendAll);
  addEventListener("online", sendAll);
  // A page that lay in a pocket may have been overtaken on another device.
  let hiddenAt = 0;
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) hiddenAt = Date.now();
    else if (Date.now() - hiddenAt > 300000 && !waiting.length && !document.getElementById("question")) location.reload();
  });
  addEventListener("beforeunload", (event) => { if (waiting.length) event.preventDefault(); });
  setInterval(tick, 10000);
}
