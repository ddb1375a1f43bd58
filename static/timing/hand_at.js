// Where the hand is, by this device: the job, and since when its clock runs. While something waits to be sent the
// device knows better than the shop; else the shop's own clock is taken when a page opens.
"use strict";
window.handAt = (() => {
  const { hand } = document.getElementById("unsent").dataset;
  // A page that is gone back to, or that this device kept, says how it was once.
  const isOld = Boolean(document.getElementById("kept")) || performance.getEntriesByType("navigation")[0]?.type === "back_forward";
  const loadedAt = Date.now();
  let at = { kind: "", task: "", since: null };

  function told() {
    const found = document.getElementById("hand-at");
    if (!found) return { ...at, hand };
    const { kind, name, task = "", operation = "", lot = "", wheel = "", helpers, note, elapsed } = found.dataset;
    // The server says how long ago, and no two clocks need agree.
    return { hand, kind, name, task, operation, lot, wheel, helpers: helpers.split(" ").filter(Boolean), note, since: begun(elapsed, loadedAt) };
  }

  function begun(elapsed, moment) {
    return elapsed === undefined ? null : moment - 1000 * Number(elapsed);
  }

  function remembered() {
    try {
      const found = JSON.parse(localStorage.getItem("hand-at"));
      return found?.hand === hand ? found : null;
    } catch {
      return null;
    }
  }

  const ready = outbox.waiting().then((waiting) => {
    const known = (waiting.length || isOld) && remembered();
    if (known || !document.getElementById("hand-at")) at = known || told();
    else move(told());
    show();
  });
  // Another page of this device has told something: no minute is told twice.
  addEventListener("storage", (event) => {
    if (event.key !== "hand-at" || !remembered()) return;
    at = remembered();
    show();
    if (facts.task() !== (at.task || undefined)) kept.comeBack();
  });

  function move(changes) {
    at = { ...at, ...changes, hand };
    try {
      localStorage.setItem("hand-at", JSON.stringify(at));
    } catch {
      // A device that keeps nothing goes on with what this page knows.
    }
    show();
  }

  function show() {
    for (const part of document.querySelectorAll("[data-clock]")) part.hidden = (part.dataset.clock === "running") !== (at.since !== null);
    const ticking = document.getElementById("ticking");
    if (!ticking || at.since === null) return;
    const minutes = Math.max(0, Math.floor((Date.now() - at.since) / 60000));
    const hours = Math.floor(minutes / 60);
    ticking.textContent = hours ? `${hours} h ${String(minutes % 60).padStart(2, "0")}` : `${minutes} min`;
  }

  setInterval(show, 10000);
  return { ready, move, show, begun, get now() { return at; } };
})();
