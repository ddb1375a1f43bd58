// Coming, going and breaks: kept in the outbox as every fact is, apart from the job clock, and shown at once.
"use strict";
{
  const leadsTo = { came: "here", back: "here", break: "resting", went: "out" };

  function show(kind) {
    for (const part of document.querySelectorAll("[data-here]")) part.hidden = !part.dataset.here.split(" ").includes(leadsTo[kind]);
  }

  // What the shop has not heard yet is truer than the page.
  async function showWaiting() {
    const last = (await outbox.waiting()).filter((one) => one.here).at(-1);
    if (last) show(last.here);
  }

  // Before the other listeners, which know of work only.
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (form.dataset.fact !== "here") return;
    event.preventDefault();
    event.stopPropagation();
    if (facts.isShaking(form)) return;
    const fact = new FormData(form);
    fact.delete("csrfmiddlewaretoken");
    fact.set("token", facts.mintToken());
    fact.set("done_at", facts.moment(Date.now()));
    const here = fact.get("kind");
    const outcome = await outbox.addAndHear(facts.itemOf(fact, form.action, { here, what: form.querySelector("button").innerText }));
    if (outcome === "taken") return location.assign(form.dataset.then);
    if (outcome !== "waiting") return;
    show(here);
    kept.say("Kept on this device. It is sent when the shop answers.");
  }, true);

  handAt.ready.then(showWaiting);
  document.addEventListener("kept", showWaiting);
}
