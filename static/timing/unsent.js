// The line that says what waits on this device, and the one that says what the shop did not take.
"use strict";
{
  const line = document.getElementById("unsent");
  const box = document.getElementById("not-taken");
  let refused;

  outbox.onChange(({ items, hand, why, isSlow, isKept }) => {
    const own = items.filter((one) => one.hand === hand);
    const others = items.filter((one) => one.hand !== hand);
    const waiting = own.filter((one) => !one.refused);
    line.dataset.waiting = waiting.length;
    if (waiting.length && !isSlow && line.hidden) return;
    const words = [];
    if (waiting.length) words.push(`${waiting.length}. ${why}`.trim());
    if (!isKept) words.push("This device can’t keep them: leave this page open until they are saved.");
    if (others.length) {
      const names = [...new Set(others.map((one) => one.name))].join(" and ");
      words.push(`${others.length} of ${names}, to be sent when they come in.`);
    }
    line.hidden = !words.length;
    line.querySelector("b").textContent = words.join(" ");
    line.querySelector("button").hidden = !waiting.length;
    line.querySelector("a").hidden = !/come in again/.test(why);
    refused = own.find((one) => one.refused);
    // What is asked about on this very page is answered there.
    box.hidden = !refused || Boolean(document.getElementById("question"));
    box.querySelector("b").textContent = refused ? `${refused.what}: ${refused.refused}` : "";
  });

  line.querySelector("button").addEventListener("click", outbox.sendAll);
  box.addEventListener("click", (event) => {
    const act = event.target.dataset.refused;
    if (act && refused) outbox.decide(refused, act === "send");
  });
}
