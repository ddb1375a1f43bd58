// A touch put into the form of a fact: its own token, its own moments, and a few words to know it by.
"use strict";
window.facts = (() => {
  const loadedAt = Date.now();
  let pressed = { what: "", at: 0 };
  const moment = (milliseconds) => new Date(milliseconds).toISOString();
  const task = () => document.getElementById("job-wheels")?.dataset.task;

  function mintToken() {
    // crypto.randomUUID is not there on plain HTTP.
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
  }

  // A finger that shakes is no second piece, and “Go on” stands where “Pause” was. The button isn't disabled: that
  // would take the keyboard away from it.
  function isShaking(form) {
    const what = ["pause", "go-on"].includes(form.dataset.turn) ? "clock" : `${form.action} ${form.querySelector("button").id}`;
    if (what === pressed.what && Date.now() - pressed.at < 500) return true;
    pressed = { what, at: Date.now() };
    navigator.vibrate?.(30);
    return false;
  }

  // Who helps is known of the job in hand, also where its page was kept before they were ticked.
  function addHelpers(fact) {
    const { operation, lot, wheel, helpers } = handAt.now;
    const isInHand = operation && fact.get("operation") === operation && (fact.get("wheel") ?? "") === wheel && (fact.get("lot") ?? "") === lot;
    if (!isInHand) return;
    fact.delete("helper");
    for (const helper of helpers ?? []) fact.append("helper", helper);
  }

  // What a form tells, as a fact of this moment; a timed one since the last, by the clock of this device.
  function tell(form, isTimed) {
    const fact = new FormData(form);
    fact.delete("csrfmiddlewaretoken");
    if (form.dataset.fact === "as it stands") return fact;
    const now = Date.now();
    const { since } = handAt.now;
    fact.set("token", mintToken());
    fact.set("done_at", moment(now));
    fact.delete("started_at");
    addHelpers(fact);
    if (isTimed && since !== null) {
      fact.set("started_at", moment(Math.min(since, now)));
      handAt.move({ since: now });
    }
    return fact;
  }

  const what = (words) => `${handAt.now.name}: ${words.trim().replace(/\s+/g, " ")}`;

  function itemOf(fact, url, more) {
    return { url, token: fact.get("token"), fact: [...fact], cancels: fact.get("cancels") ?? "", made: 0, at: Date.now(), page: loadedAt, task: task(), ...more };
  }

  return { mintToken, moment, isShaking, tell, what, itemOf, task, loadedAt };
})();
