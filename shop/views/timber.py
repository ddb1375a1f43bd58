"""Timber: a piece and the air of its use, boards and logs by measure. It is asked by plain GET; nothing is kept."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.timber import TimberError
from shop.access import may
from shop.asked import Asked, asked
from shop.forms.timber import BoardForm, LogForm, PieceForm
from shop.timber_page import answer_boards, answer_log, answer_piece, known_timbers

PIECE, BOARDS, LOG = "piece", "boards", "log"


@may("desk", "bench")
def timber(request: HttpRequest) -> HttpResponse:
    """Three questions, of which one is answered at a time."""
    ask = asked(request)
    what = request.GET.get("what", "")
    piece, boards, log = _forms(request, ask, what)
    form = {PIECE: piece, BOARDS: boards, LOG: log}.get(what)
    context: dict[str, object] = {"piece": piece, "boards": boards, "log": log, "form": form, "known": known_timbers()}
    if form is not None and form.is_valid():
        try:
            context |= {
                "piece_answer": answer_piece(piece, ask.words) if what == PIECE else None,
                "figures": answer_boards(boards) if what == BOARDS else answer_log(log) if what == LOG else None,
            }
        except TimberError as refused:
            piece.add_error("species", str(refused))
    wrong = form is not None and bool(form.errors)
    return render(request, "shop/orders/timber.html", context, status=HTTPStatus.UNPROCESSABLE_ENTITY if wrong else 200)


def _forms(request: HttpRequest, ask: Asked, what: str) -> tuple[PieceForm, BoardForm, LogForm]:
    data = {each: request.GET if what == each else None for each in (PIECE, BOARDS, LOG)}
    return (
        PieceForm(data[PIECE], words=ask.words, unit=ask.unit, auto_id="piece-%s"),
        BoardForm(data[BOARDS], unit=ask.unit, auto_id="boards-%s"),
        LogForm(data[LOG], unit=ask.unit, auto_id="log-%s"),
    )
