// The service worker: opens the bench where the shop does not answer, from what the device keeps. It sends nothing and
// stores nothing; where the shop answers, everything comes from the shop.
"use strict";
const WAIT = 6000;

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || new URL(request.url).origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (new URL(request.url).pathname.startsWith("/static/")) event.respondWith(fetch(request).catch(() => keptOr(request)));
});

async function page(request) {
  const late = new Promise((done, failed) => setTimeout(failed, WAIT, new Error("The shop does not answer.")));
  try {
    return await Promise.race([fetch(request), late]);
  } catch {
    return keptOr("/bench/kept/");
  }
}

async function keptOr(asked) {
  return (await caches.match(asked)) ?? Response.error();
}
