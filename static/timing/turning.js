// Turning to another job, pausing and going on: what was under way is told first, as a fact of its own. A number and
// spoiled pieces go the same way. Every link and form of the bench asks first whether the shop answers.
"use strict";
{
  let asked = null; // what follows once a question about the time so far is answered

  // The time so far of what is under way, with nothing made of it; none where the clock stands.
  function closing(now) {
    const { since, kind, operation, lot, wheel, helpers, note } = handAt.now;
    if (since === null || now - since < 1000 || (kind === "work" && !operation)) return null;
    const fact = new FormData();
    const fields = { token: facts.mintToken(), kind, made: "0", started_at: facts.moment(since), done_at: facts.moment(now), hand: handAt.now.hand };
    Object.assign(fields, kind === "work" ? { operation, [wheel ? "wheel" : "lot"]: wheel || lot } : { note: note ?? "" });
    for (const [name, value] of Object.entries(fields)) fact.set(name, value);
    for (const helper of helpers ?? []) fact.append("helper", helper);
    return fact;
  }

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    const { turn: act, fact } = form.dataset;
    if (["timed", "", "as it stands"].includes(fact)) return;
    const wish = new FormData(form, event.submitter);
    event.preventDefault();
    if (!act && !fact) {
      const isLeaving = form.action.endsWith("/sign-out/");
      if (isLeaving) await kept.forget();
      if (isLeaving || (await kept.reachable())) form.submit();
      else kept.say("The shop does not answer, and this needs it.");
    } else if (!facts.isShaking(form)) {
      await handAt.ready;
      await (act ? turn(act, wish, form, event.submitter?.dataset) : count(form));
    }
  });

  async function turn(act, wish, form, place) {
    const kind = wish.get("kind") ?? "work";
    const key = kind === "work" ? `job-${wish.get("task")}` : `kind-${kind}`;
    const isSame = act === "start" && key === kept.keyOf() && kind === "work";
    if (act === "start" && !(await kept.find(key)) && !(await kept.reachable())) return kept.say("The shop does not answer, and that work is not kept on this device.");
    const now = Date.now();
    const follow = () => turnAt(now, act, wish, form, { key, kind, isSame, place });
    const fact = act === "go-on" || (isSame && handAt.now.since !== null) ? null : closing(now);
    if (!fact) return follow();
    const url = document.getElementById("unsent").dataset.facts;
    const outcome = await outbox.addAndHear(facts.itemOf(fact, url, { before: handAt.now.since, what: facts.what("the time so far") }));
    if (outcome !== "refused") return follow();
    asked = { token: fact.get("token"), follow };
  }

  outbox.onAnswer(async ({ item, taken }) => {
    // The page was made before the shop heard of it.
    if (taken && item.turn && item.page !== facts.loadedAt && !(await outbox.waiting()).length) kept.comeBack();
    if (!taken) return;
    // A question that came late is answered: the job is drawn anew.
    if (asked?.token !== item.token) {
      if (document.querySelector(".question [name=token]")?.value === item.token) location.assign("/bench/job/");
      return;
    }
    const { follow } = asked;
    asked = null;
    setTimeout(follow);
  });

  async function turnAt(now, act, wish, form, { key, kind, isSame, place }) {
    const fact = new FormData();
    for (const name of ["task", "kind", "note"]) if (wish.get(name)) fact.set(name, wish.get(name));
    fact.set("token", facts.mintToken());
    fact.set("hand", handAt.now.hand);
    fact.set("closed", "1");
    fact.set("done_at", facts.moment(now));
    const url = act === "leave" ? document.getElementById("unsent").dataset.pause : form.action;
    const isStart = act === "start";
    if (isStart && !isSame) handAt.move({ kind, task: wish.get("task") ?? "", ...(await placeOf(key, place)), helpers: [], note: wish.get("note") ?? "", since: now });
    else handAt.move({ since: act === "pause" || act === "leave" ? null : handAt.now.since ?? now });
    const words = { start: "begun", pause: "paused", leave: "stopped" }[act] ?? "gone on with";
    const outcome = await outbox.addAndHear(facts.itemOf(fact, url, { what: facts.what(words), turn: true }));
    if (act === "leave") await leave(outcome, form);
    else if (isStart && outcome === "taken") location.assign("/bench/job/");
    else if (isStart && outcome === "waiting" && !(await kept.show(key))) kept.say("The shop does not answer. Your time counts on what you turned to; its page comes when the network does.");
  }

  async function placeOf(key, place) {
    const { operation = "", lot = "", wheel = "", title = "the next job" } = (await kept.find(key))?.dataset ?? place ?? {};
    return { operation, lot, wheel, name: title };
  }

  async function leave(outcome, form) {
    if (outcome !== "taken") return kept.say("The clock is stopped. What is not saved yet is sent when the network is back: end the day here then, or leave this page open.");
    await kept.forget();
    form.submit();
  }

  // A number or spoiled pieces: kept first, as every fact; then the job, or the same form with what was wrong with it.
  async function count(form) {
    const isNumber = form.dataset.fact === "number";
    const made = isNumber ? Number(form.elements.made.value) : 0 - Number(form.elements.lost?.value ?? 0);
    if (isNumber ? !/^\s*[1-9][0-9]{0,2}\s*$/.test(form.elements.made.value) : !form.elements.reason.value) return form.submit();
    const before = handAt.now.since;
    const fact = facts.tell(form, isNumber || form.dataset.timed !== undefined);
    const { task } = handAt.now;
    const item = facts.itemOf(fact, form.dataset.post ?? form.action, { made, before, task, touch: true, what: facts.what(isNumber ? `${made} done` : "Spoiled") });
    const outcome = await outbox.addAndHear(item);
    if (outcome === "taken") return location.assign("/bench/job/");
    if (outcome === "refused") return again(form, item);
    const page = await kept.show(kept.keyOf());
    if (page === "again") bench.countOn(made);
    if (!page) kept.say("Kept on this device. The shop does not answer: leave this page open, or come back to it.");
  }

  // The shop's own page says what is wrong, beside what was typed.
  async function again(form, item) {
    await outbox.withdraw(item.token);
    for (const before of form.querySelectorAll("[name=started_at], [name=helper]")) before.remove();
    for (const [name, value] of item.fact) {
      if (name === "started_at" || name === "helper") form.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
    }
    form.submit();
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[href]");
    if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    if (link.target || link.origin !== location.origin || link.getAttribute("href").startsWith("#")) return;
    event.preventDefault();
    kept.go(link.href);
  });
  handAt.ready.then(outbox.sendAll);
  addEventListener("popstate", (event) => {
    if (event.state?.kept) kept.show(event.state.kept, true);
  });
}
