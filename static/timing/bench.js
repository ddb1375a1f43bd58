// The bench: every touch becomes one fact with its own token and moments, and goes into the outbox.
"use strict";
{
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
    take(form, button);
  });

  async function take(form, button) {
    const before = since;
    const fact = tell(form);
    let made = form.dataset.fact === "as it stands" ? 0 : Number(fact.get("made") ?? 0);
    if (fact.has("cancels")) {
      const last = await lastWaiting();
      if (last) fact.set("cancels", last.token);
      made = -(last?.made ?? 0);
    }
    const words = [document.querySelector(".job h1")?.textContent, button.textContent.trim().replace(/\s+/g, " ")];
    const item = { url: form.action, token: fact.get("token"), fact: [...fact], cancels: fact.get("cancels") ?? "" };
    await outbox.add({ ...item, made, before, at: Date.now(), page: loadedAt, task: task(), what: words.join(", ") });
    countOn(made);
  }

  const task = () => document.getElementById("job-wheels")?.dataset.task;

  // "Undo last" means the last touch, also where the shop has not heard of it yet.
  async function lastWaiting() {
    const waiting = await outbox.waiting();
    const undone = new Set(waiting.map((one) => one.cancels));
    return waiting.filter((one) => !one.cancels && !undone.has(one.token)).at(-1);
  }

  // As soon as it is kept here, before the shop has answered: its answer takes the place of this count.
  function countOn(made) {
    const shown = document.querySelector(".count b");
    const left = document.getElementById("left");
    if (shown && made) shown.textContent = Number(shown.textContent) + made;
    if (left && made) left.textContent = Math.max(0, Number(left.textContent) - made);
  }

  async function countWaiting() {
    const waiting = (await outbox.waiting()).filter((one) => one.task === task());
    countOn(waiting.reduce((sum, one) => sum + one.made, 0));
    // The piece in hand was begun with the last touch, which the shop may not know yet.
    if (since !== null) since = Math.max(since, ...waiting.filter((one) => !one.cancels).map((one) => one.at));
  }

  outbox.onAnswer(async ({ item, taken, answer }) => {
    // What was refused took no time: the piece is still in hand since then.
    if (!taken && item.page === loadedAt) since = item.before;
    const isCountedAnew = show(answer);
    if (isCountedAnew) await countWaiting();
    else if (!taken && item.task === task()) countOn(-item.made);
  });

  // Puts the parts of an answer in their places; whether the counts were among them.
  function show(answer) {
    let isCountedAnew = false;
    for (const part of answer.querySelectorAll("body > [data-part]")) {
      // A fact that came late may be about another job than the page.
      if (part.dataset.task && part.dataset.task !== task()) continue;
      document.getElementById(part.id)?.replaceWith(part);
      if (part.id !== "job-controls") continue;
      isCountedAnew = true;
      controls = part;
      since = begun(part, Date.now());
      say(part.dataset.said);
      (document.getElementById("question") ?? document.getElementById(held))?.focus({ preventScroll: true });
    }
    tick();
    return isCountedAnew;
  }

  function say(words) {
    const said = document.getElementById("said");
    if (said) said.textContent = words;
  }

  function tick() {
    const shown = document.getElementById("ticking");
    if (!shown || since === null) return;
    const minutes = Math.floor((Date.now() - since) / 60000);
    const hours = Math.floor(minutes / 60);
    const rest = minutes % 60;
    shown.textContent = hours ? `${hours} h ${String(rest).padStart(2, "0")}` : `${minutes} min`;
  }

  // A page that lay in a pocket may have been overtaken on another device.
  let hiddenAt = 0;
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) hiddenAt = Date.now();
    else if (Date.now() - hiddenAt > 300000 && document.getElementById("unsent")?.hidden && !document.getElementById("question")) location.reload();
  });
  setInterval(tick, 10000);
  countWaiting();
}
