// The outbox: what the bench tells is kept on the device first, then sent, in order and one at a time, until the
// shop has saved it. It outlives the page, the browser and a flat battery; nothing but facts is ever put in it.
"use strict";
window.outbox = (() => {
  const { hand = "", name = "" } = document.getElementById("unsent").dataset;
  const stored = shelf("bench", "facts", { keyPath: "key", autoIncrement: true });
  const unkept = []; // what a device without a store, or with a full one, can only remember while the page is open
  const answered = [];
  const changed = [];
  const hoped = new Map(); // by token, who waits to hear what became of a fact
  let [sending, again] = [false, false];
  let [pause, timer, why] = [1000, 0, ""];

  async function all() {
    const kept = await stored("readonly", (facts) => facts.getAll()).catch(() => []);
    return [...kept, ...unkept];
  }

  async function keep(item) {
    const place = unkept.indexOf(item);
    try {
      item.key = await stored("readwrite", (facts) => facts.put(item));
      if (place >= 0) unkept.splice(place, 1);
    } catch {
      if (place < 0) unkept.push(item);
    }
  }

  async function forget(item) {
    const place = unkept.indexOf(item);
    if (place >= 0) unkept.splice(place, 1);
    else await stored("readwrite", (facts) => facts.delete(item.key));
  }

  // Keeps a fact, in the place of the same one told before (a question that was answered), and sends what it can.
  async function add(item) {
    for (const before of await all()) if (before.token === item.token) await forget(before);
    await keep({ ...item, hand, name });
    await tell(false);
    sendAll();
  }

  // What this hand told and the shop has not answered yet.
  const waiting = async () => (await all()).filter((one) => one.hand === hand && !one.refused);

  async function sendAll() {
    clearTimeout(timer);
    again = true;
    if (sending) return;
    sending = true;
    why = "";
    let isSlow = false;
    const slow = setTimeout(() => tell(isSlow = true), 700);
    try {
      while (again && !why) {
        again = false;
        for (let item; (item = (await waiting())[0]); ) {
          if (!(await send(item))) break;
          pause = 1000;
          if (isSlow) await tell(true);
        }
      }
    } catch {
      stop("This device could not go on with it: it tries again.");
    } finally {
      sending = false;
    }
    clearTimeout(slow);
    if (why) for (const token of [...hoped.keys()]) hear(token, "waiting");
    await tell(Boolean(why));
    if (!why) return;
    timer = setTimeout(sendAll, pause);
    pause = Math.min(2 * pause, 60000);
  }

  async function send(item) {
    let response, text;
    try {
      // The token of the form is asked anew each time: it changes with every sign-in. Under HTTPS it has a prefix.
      const token = document.cookie.split("; ").sort().find((row) => /^(__Host-)?csrftoken=/.test(row))?.split("=")[1] ?? "";
      response = await fetch(item.url, {
        method: "POST",
        body: new URLSearchParams([...item.fact, ["sent_at", new Date().toISOString()]]),
        headers: { "X-CSRFToken": token, "HX-Request": "true" },
        keepalive: true, // it is sent even where the page is left meanwhile
        signal: AbortSignal.timeout?.(10000),
      });
      text = await response.text();
    } catch {
      return stop("No answer from the shop.");
    }
    if (response.headers.has("HX-Redirect")) return stop("You were signed out: come in again.");
    if (response.status === 403) return stop("Someone else is signed in here: come in again.");
    if (response.status === 507) return stop("The shop’s disk is full: have room made.");
    if (response.status !== 200 && response.status !== 422) return stop(`The shop answered ${response.status}.`);
    const answer = new DOMParser().parseFromString(text, "text/html");
    if (response.status === 200) await forget(item);
    else await keep(Object.assign(item, { refused: reason(answer) }));
    for (const listener of answered) await listener({ item, taken: response.status === 200, answer });
    hear(item.token, response.status === 200 ? "taken" : "refused");
    return true;
  }

  function hear(token, outcome) {
    hoped.get(token)?.(outcome);
    hoped.delete(token);
  }

  // Keeps a fact, and tells what became of it within a breath: "taken", "refused", or "waiting" for the shop's answer.
  async function addAndHear(item) {
    const outcome = new Promise((done) => hoped.set(item.token, done));
    setTimeout(hear, 4000, item.token, "waiting");
    await add(item);
    return outcome;
  }

  function stop(words) {
    why = words;
    return false;
  }

  function reason(answer) {
    const trouble = answer.getElementById("trouble")?.textContent.trim();
    return trouble || answer.querySelector("[data-said]")?.dataset.said || "The shop did not take it.";
  }

  // What is kept now; a sending that takes no longer than a breath is not worth a line on the page.
  async function tell(isSlow) {
    const items = await all();
    for (const listener of changed) listener({ items, hand, why, isSlow, isKept: !unkept.length });
  }

  // Takes back what the shop did not take, to be told in another way.
  async function withdraw(token) {
    for (const item of await all()) if (item.token === token) await forget(item);
    await tell(false);
  }

  async function decide(item, isWanted) {
    if (isWanted) await keep(Object.assign(item, { refused: "" }));
    else await forget(item);
    await sendAll();
  }

  // What is kept is not to be cleared away for want of room; asked once a page, for some browsers ask the person.
  navigator.storage?.persist?.();
  addEventListener("online", sendAll);
  addEventListener("beforeunload", (event) => { if (unkept.length) event.preventDefault(); });
  return { add, addAndHear, waiting, withdraw, decide, sendAll, onAnswer: (act) => answered.push(act), onChange: (act) => changed.push(act) };
})();
