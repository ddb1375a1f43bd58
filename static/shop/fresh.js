// Asks now and then whether others have changed the page, and puts what they did in its place: parts marked
// data-fresh, down to the smallest that differs. What somebody is at just now is let be until they have done.
"use strict";
{
  const [EVERY, SELDOM] = [15000, 120000];
  // What is put in its place as one piece; what holds such pieces stays.
  const WHOLE = "[data-said], a, dl, fieldset, figure, form, h1, h2, li, p, svg, tr";
  const main = document.getElementById("main");
  // Each part as the shop sent it last.
  const known = document.createElement("div");
  for (const part of document.querySelectorAll("[data-fresh]")) known.append(plain(part));
  const news = line("unseen");
  const age = line("line as-at");
  let tag = main.dataset.tag;
  let asAt = new Date();
  let pause = EVERY;
  let timer;
  let isAsking = false;
  // The browser's own keeping of the place would be added to ours.
  document.documentElement.style.overflowAnchor = "none";

  function line(names) {
    const made = document.createElement("p");
    made.className = names;
    made.setAttribute("role", "status");
    document.body.append(made);
    return made;
  }

  // A part as the shop draws it, without the tokens of its forms: they are others each time.
  function plain(part) {
    const copy = part.cloneNode(true);
    for (const one of copy.querySelectorAll("[name=csrfmiddlewaretoken], [name=token]")) one.removeAttribute("value");
    return copy;
  }

  const inside = (part) => [...part.childNodes].map((one) => (one.nodeType === 1 ? `${one.tagName}#${one.id}` : one.data.trim())).join();
  const shell = (part) => part.cloneNode(false).outerHTML;
  const alike = (one, other) => [shell, inside].every((part) => part(one) === part(other));

  // Puts `next` for `live`, as far as the two differ; gives what was put there. `before` and `now` are both plain.
  function renew(live, before, now, next) {
    if (before.isEqualNode(now)) return [];
    const holds = before.childElementCount && alike(before, now) && inside(before) === inside(live);
    if (holds && !live.matches(WHOLE)) {
      const rows = [live, before, now, next].map((part) => [...part.children]);
      return rows[0].flatMap((_, at) => renew(...rows.map((row) => row[at])));
    }
    if (isBusy(live)) {
      tag = "";
      return [];
    }
    const changed = [...next.querySelectorAll("[data-said][id]")].filter((one) => {
      const [was, is] = [before, now].map((part) => part.querySelector(`#${CSS.escape(one.id)}`));
      return !was?.isEqualNode(is);
    });
    const focus = opened(live, next);
    live.replaceWith(next);
    before.replaceWith(now);
    focus();
    return changed.length ? changed : [next];
  }

  const words = (part) => part.textContent.replace(/\d+/g, "").trim();
  const mark = (one) => [one.tagName, one.id, one.getAttribute("href"), one.form?.getAttribute("action"), words(one)].join();

  // Leaves open what is open; gives what brings the keyboard back to where it was.
  function opened(live, next) {
    const folds = (part) => [...part.querySelectorAll("details")].map((one) => [words(one.querySelector("summary")), one]);
    const were = new Map(folds(live));
    for (const [name, one] of folds(next)) one.open = were.get(name)?.open ?? one.open;
    const at = document.activeElement;
    if (!live.contains(at)) return () => {};
    const same = [...next.querySelectorAll("a, button, summary")].find((one) => mark(one) === mark(at));
    return () => (same ?? main).focus({ preventScroll: true });
  }

  function isBegun(field) {
    if (field === document.activeElement) return true;
    if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
    if (field.type === "hidden") return false;
    if (!field.options) return field.value !== field.defaultValue;
    return field.selectedIndex !== Math.max(0, [...field.options].findIndex((one) => one.defaultSelected));
  }

  function isBusy(part) {
    const chosen = getSelection();
    if (!chosen.isCollapsed && chosen.containsNode(part, true)) return true;
    return part.matches(":active") || Boolean(part.querySelector("dialog[open]")) || [...part.querySelectorAll("input, select, textarea")].some(isBegun);
  }

  function take(text) {
    const page = new DOMParser().parseFromString(text, "text/html");
    const top = (one) => one.getBoundingClientRect().top;
    const near = [...main.querySelectorAll("[id]")].filter((one) => one.getClientRects().length && top(one) >= 0 && top(one) < innerHeight);
    const stood = near.map((one) => [one.id, top(one)]);
    const changed = [...known.children].flatMap((before) => {
      const [live, next] = [document, page].map((one) => one.getElementById(before.id));
      return live && next ? renew(live, before, plain(next), next) : [];
    });
    const [id, was] = stood.find((one) => document.getElementById(one[0])) ?? [];
    if (id && scrollY) scrollBy({ top: top(document.getElementById(id)) - was, behavior: "instant" });
    if (changed.length) say(changed);
  }

  function say(changed) {
    for (const one of changed) one.classList.add("changed");
    setTimeout(() => changed.forEach((one) => one.classList.remove("changed")), 8000);
    const names = [...new Set(changed.map(named))];
    const more = names.length > 3 ? ` and ${names.length - 3} more` : "";
    news.textContent = `Changed: ${names.slice(0, 3).join(", ")}${more}.`;
  }

  // As the row itself is called, or else the heading over it, or else the whole part.
  function named(one) {
    const part = one.closest("[data-fresh]");
    const heading = one.querySelector("h2") ?? [...part.querySelectorAll("h2")].findLast((each) => each === one || each.compareDocumentPosition(one) & 4);
    return one.closest("[data-said]")?.dataset.said ?? heading?.textContent ?? part.dataset.fresh;
  }

  function tell(words, link) {
    age.textContent = words && `As at ${asAt.toTimeString().slice(0, 5).replace(":", ".")}: ${words}`;
    if (link) age.append(" ", Object.assign(document.createElement("a"), { href: location.href, textContent: link }));
  }

  async function ask() {
    clearTimeout(timer);
    if (document.hidden || isAsking) return;
    isAsking = true;
    const headers = { "X-By-Itself": "1", ...(tag && { "If-None-Match": tag }) };
    const signal = AbortSignal.timeout?.(20000);
    const answer = await fetch(location.href, { headers, signal, cache: "no-store", redirect: "manual" }).catch(() => ({}));
    const text = answer.ok && (await answer.text().catch(() => ""));
    isAsking = false;
    const isNew = answer.status === 304 || Boolean(text);
    pause = isNew ? EVERY : Math.min(2 * pause, SELDOM);
    timer = setTimeout(ask, pause * (0.9 + 0.2 * Math.random()));
    if (answer.type === "opaqueredirect") return tell("your sign-in has ended.", "Sign in again");
    if (!isNew) return tell(answer.status ? `the shop answered ${answer.status}.` : "no answer from the shop.");
    asAt = new Date();
    tell("");
    if (!text) return;
    tag = answer.headers.get("ETag");
    take(text);
  }

  document.addEventListener("visibilitychange", ask);
  addEventListener("online", ask);
  timer = setTimeout(ask, EVERY);
}
