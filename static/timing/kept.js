// What this device keeps of the bench, to go on where the network is away: each page is shown from here when the shop
// does not answer, and every way off the page asks first whether it does.
"use strict";
window.kept = (() => {
  const { hand } = document.getElementById("unsent").dataset;
  const away = document.getElementById("away");
  const { keptAt: address, worker } = away.dataset;
  const here = document.getElementById("kept");
  const seen = new Map(); // pages that were left, as they were left
  let shown = facts.task() ? `job-${facts.task()}` : "first";
  let [book, asking, keeping] = [null, null, null];

  const onShelf = shelf("bench-kept", "pages");
  // What can't be kept is only not there without the network: the page itself goes on.
  const stored = (mode, act) => onShelf(mode, act).catch(() => null);

  // Asked anew with every page, and again while it stays open.
  function refresh() {
    if (here || !hand) return;
    asking = new AbortController();
    keeping = keep(asking.signal);
  }

  async function keep(signal) {
    try {
      const response = await fetch(address, { headers: { "X-By-Itself": "1" }, signal });
      if (!response.ok || response.redirected) return;
      const copy = response.clone();
      const html = await response.text();
      if (away.hidden) book = null; // else a list that is shown would lose its jobs
      await stored("readwrite", (pages) => pages.put({ hand, html }, "bench"));
      if (window.caches) await keepFiles(copy, html, signal);
    } catch {
      // The network went meanwhile: what was kept before stays.
    }
  }

  // For the service worker: the page itself, and the files that it asks for.
  async function keepFiles(copy, html, signal) {
    const box = await caches.open("bench-kept");
    const files = [...new Set([...html.matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)].map((found) => found[1]))];
    await Promise.all(files.map(async (file) => (await box.match(file)) ?? box.add(new Request(file, { signal }))));
    await box.put(address, copy);
    for (const old of await box.keys()) if (![address, ...files].includes(new URL(old.url).pathname)) await box.delete(old);
  }

  // What was just being kept would else come back after all was thrown away.
  async function forget() {
    asking?.abort();
    await keeping;
    await stored("readwrite", (pages) => pages.clear());
    await window.caches?.delete("bench-kept");
  }

  async function pages() {
    if (here) return document;
    if (book) return book;
    const found = await stored("readonly", (kept) => kept.get("bench"));
    if (found?.hand === hand) book = new DOMParser().parseFromString(found.html, "text/html");
    return book;
  }

  const find = async (key) => (await pages())?.querySelector(`template[data-kept="${CSS.escape(key)}"]`) ?? null;

  const keyOf = () => (handAt.now.kind === "work" ? `job-${handAt.now.task}` : `kind-${handAt.now.kind}`);

  // The key of a page by its address; none for what is not kept.
  function keyAt(path, search = "") {
    if (search) return "";
    const task = handAt.now.task;
    return { "/bench/": keyOf(), "/bench/job/": keyOf(), "/bench/jobs/": "jobs", "/bench/job/number/": `number-${task}`, "/bench/job/spoiled/": `spoiled-${task}` }[path] ?? "";
  }

  const pathOf = (key) => (key === "jobs" ? "/bench/jobs/" : key.startsWith("number-") ? "/bench/job/number/" : key.startsWith("spoiled-") ? "/bench/job/spoiled/" : "/bench/job/");

  // Shows a page from here, in the place of the one that is shown. A page that was left before is shown as it was left.
  async function show(key, isBack = false) {
    const template = await find(key);
    const again = /^(job|kind)-|^first$/.test(key) ? seen.get(key) : undefined;
    if (!again && !template) return false;
    const main = document.getElementById("main");
    seen.set(shown, { nodes: [...main.childNodes], title: document.title, path: location.pathname });
    if (!history.state) history.replaceState({ kept: shown }, "");
    main.replaceChildren(...(again?.nodes ?? [document.importNode(template.content, true)]));
    const note = main.querySelector("[data-note]");
    if (note) note.textContent = handAt.now.note;
    document.title = again?.title ?? template.dataset.title;
    if (!isBack) history.pushState({ kept: key }, "", again?.path ?? pathOf(key));
    shown = key;
    scrollTo(0, 0);
    main.focus({ preventScroll: true });
    handAt.show();
    say(here?.dataset.at ? `The shop does not answer. This was kept at ${here.dataset.at}.` : "The shop does not answer: this page is kept on this device.", true);
    if (!again) await bench.countWaiting();
    document.dispatchEvent(new CustomEvent("kept", { detail: key }));
    return again ? "again" : "fresh";
  }

  // The usual words are left out where the line above says as much.
  function say(words, isUsual = false) {
    away.hidden = !words;
    away.classList.toggle("usual", isUsual);
    away.querySelector("p").textContent = words;
  }

  // Whether the shop answers: any file of its own will do, as long as no store on the way gives it.
  async function reachable() {
    if (navigator.onLine === false) return false;
    try {
      const file = document.querySelector("script[src]").src;
      return (await fetch(`${file}?here`, { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout?.(2500) })).ok;
    } catch {
      return false;
    }
  }

  async function go(url) {
    const { pathname, search } = new URL(url, location.href);
    if (await reachable()) location.assign(url);
    else if (!(await show(keyAt(pathname, search)))) say("The shop does not answer, and that page needs it. What you are at goes on here.");
  }

  // Back to the shop's own page, once it answers and nothing waits; not from under a hand that is writing.
  async function comeBack() {
    if (document.getElementById("question") || document.activeElement?.matches("input, textarea, select")) return;
    if (/^(number|spoiled)-/.test(shown) || (await outbox.waiting()).length || !(await reachable())) return;
    location.replace(shown === "first" && !here ? location.href : pathOf(shown));
  }

  // A page that lay in a pocket, or that was gone back to, may have been overtaken on another device.
  let hiddenAt = 0;
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) hiddenAt = Date.now();
    else if (Date.now() - hiddenAt > 300000) comeBack();
  });
  addEventListener("pageshow", (event) => {
    if (event.persisted || performance.getEntriesByType("navigation")[0]?.type === "back_forward") comeBack();
  });
  setInterval(() => away.hidden || comeBack(), 10000);
  setInterval(() => document.hidden || refresh(), 300000);
  outbox.onChange(({ items, why }) => { if (!away.hidden && !items.length && !why) comeBack(); });

  handAt.ready.then(async () => {
    if (!here) return refresh();
    if (location.pathname === address && (await reachable())) return location.replace("/bench/");
    return (await show(keyAt(location.pathname, location.search) || "jobs", true)) || show("jobs", true);
  });
  navigator.serviceWorker?.register(worker);
  return { forget, find, show, keyOf, reachable, go, say, comeBack };
})();
