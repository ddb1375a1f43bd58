// The bench: every touch becomes one fact with its own token and moments, and goes into the outbox.
"use strict";
window.bench = (() => {
  let held = "";
  const { isShaking, tell, what, itemOf, task, loadedAt } = facts;

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!["timed", "", "as it stands"].includes(form.dataset.fact)) return;
    event.preventDefault();
    if (isShaking(form)) return;
    const button = form.querySelector("button");
    held = button.id;
    take(form, button);
  });

  async function take(form, button) {
    const before = handAt.now.since;
    const fact = tell(form, form.dataset.fact === "timed");
    const more = { made: Number(fact.get("made") ?? 0), before, touch: true, what: what(button.innerText) };
    if (form.dataset.fact === "as it stands") Object.assign(more, { made: 0, touch: false });
    if (fact.has("cancels")) {
      const last = await lastWaiting();
      if (!last && !fact.get("cancels")) return;
      if (last) fact.set("cancels", last.token);
      Object.assign(more, { made: -(last?.made ?? 0), touch: false, task: last?.task ?? task() });
      // The piece is in hand again since it was begun.
      if (last?.before) handAt.move({ since: last.before });
    }
    await outbox.add(itemOf(fact, form.action, more));
    if (more.task === undefined || more.task === task()) countOn(more.made);
  }

  // "Undo last" means the last touch, also where the shop has not heard of it yet.
  async function lastWaiting() {
    const waiting = await outbox.waiting();
    const undone = new Set(waiting.map((one) => one.cancels));
    return waiting.filter((one) => one.touch && !undone.has(one.token)).at(-1);
  }

  // As soon as it is kept here, before the shop has answered: its answer takes the place of this count.
  function countOn(made) {
    const shown = document.querySelector(".count b");
    const left = document.getElementById("left");
    const undo = document.getElementById("undo");
    if (!shown || !made) return;
    shown.textContent = Number(shown.textContent) + made;
    if (made > 0 && undo) undo.disabled = false;
    // Its words are about the last that the shop knew of.
    undo?.querySelector(".note")?.remove();
    picture.step(made);
    const caption = document.querySelector(".in-hand figcaption")?.firstChild;
    if (caption) caption.data = caption.data.replace(/^(\s*)(\d+)( of| to go)/, (_, space, number, rest) => `${space}${Math.max(0, Number(number) + (rest === " of" ? made : -made))}${rest}`);
    if (!left) return;
    left.textContent = Math.max(0, Number(left.textContent) - made);
    const allLeft = document.getElementById("all-left");
    if (!allLeft) return;
    const form = allLeft.closest("form");
    allLeft.textContent = `(${left.textContent})`;
    form.elements.made.value = left.textContent;
    form.hidden = Number(left.textContent) < 2;
  }

  async function countWaiting() {
    const waiting = await outbox.waiting();
    countOn(waiting.reduce((sum, one) => sum + (one.task === task() ? one.made : 0), 0));
    if (waiting.some((one) => one.touch)) document.querySelector("#undo .note")?.remove();
  }

  outbox.onAnswer(async ({ item, taken, answer }) => {
    // What was refused took no time: the piece is still in hand since then.
    if (!taken && item.touch && item.page === loadedAt && item.task === handAt.now.task) handAt.move({ since: item.before });
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
      const place = document.getElementById(part.id);
      if (place) place.replaceWith(part);
      else if (part.classList.contains("question")) putAlone(part);
      if (part.id !== "job-controls") continue;
      isCountedAnew = Boolean(part.dataset.task);
      if (isCountedAnew) goOnFrom(part);
      document.getElementById("said").textContent = part.dataset.said;
      (document.getElementById("question") ?? document.getElementById(held))?.focus({ preventScroll: true });
    }
    handAt.show();
    return isCountedAnew;
  }

  // A page without a place for it is asked alone.
  function putAlone(part) {
    const asked = document.createElement("div");
    asked.className = "bench asked";
    asked.append(part);
    document.getElementById("main").replaceChildren(asked);
  }

  // The clock as the shop has it, unless it has not heard all from this device yet; it tells whole seconds only.
  async function goOnFrom(part) {
    const since = handAt.begun(part.dataset.elapsed, Date.now());
    const waits = (await outbox.waiting()).length;
    const isSame = since !== null && Math.abs(since - handAt.now.since) < 2000;
    if (!waits && !isSame && part.dataset.task === handAt.now.task) handAt.move({ since });
  }

  handAt.ready.then(() => document.getElementById("kept") || countWaiting());
  return { countOn, countWaiting };
})();
