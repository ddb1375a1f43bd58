// Moves the outline of the piece in hand on by some pieces, before the shop has drawn the wheel anew.
"use strict";
window.picture = (() => {
  const angle = (piece) => Number(/rotate\((-?[\d.]+)/.exec(piece.getAttribute("transform"))?.[1] ?? 0);

  // The pieces of one kind in the order of the work: those of a wheel by their turn, loose ones as they lie.
  function inOrder(drawn, kind) {
    const pieces = [...drawn.querySelectorAll(`path.${kind}`)];
    return drawn.classList.contains("w-wheel") ? pieces.sort((one, other) => angle(one) - angle(other)) : pieces;
  }

  function put(piece, kind, state) {
    piece.setAttribute("class", `${kind} ${state}`.trim());
    if (state === "w-done" || state === "w-todo") piece.removeAttribute("fill");
    else piece.setAttribute("fill", `url(#w-hatch-${kind.slice(2)})`);
  }

  function step(made) {
    const inHand = document.querySelector(".in-hand svg .w-hand");
    const kind = ["w-spoke", "w-felloe"].find((one) => inHand?.classList.contains(one));
    if (!kind || !made) return;
    const pieces = inOrder(inHand.closest("svg"), kind);
    const from = pieces.indexOf(inHand);
    const to = Math.max(0, Math.min(from + made, pieces.length));
    const isDone = pieces.slice(0, from).some((piece) => piece.classList.contains("w-done"));
    for (let place = Math.min(from, to); place < Math.max(from, to); place += 1) put(pieces[place], kind, made < 0 ? "w-todo" : isDone ? "w-done" : "");
    if (made < 0) put(inHand, kind, "w-todo");
    if (pieces[to]) put(pieces[to], kind, "w-hand");
  }

  return { step };
})();
