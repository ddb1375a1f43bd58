"""The cutting list of a make-up and of an order. It is asked by plain GET; nothing is kept."""

from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.models import LibraryMakeUp, Order
from shop.access import may, roles_of
from shop.asked import Asked, asked
from shop.conditional import conditional
from shop.file_answers import FileLink, as_paper, kept, paper_links, refused
from shop.order_words import due_in_words
from shop.stores.given import given_to
from shop.stores.offered import Offered, offer_issues
from shop.stores.plans import of_timber
from shop.timber_asked import TimberAsked
from shop.timber_list import TimberList, makeup_timber_list, order_timber_list
from shop.timber_paper import timber_paper
from shop.views.orders import find_order


@dataclass(frozen=True, slots=True)
class Subject:
    """Whose list it is, what a paper says of that besides, and the page that it is reached from."""

    name: str
    about: tuple[str, ...]
    back: str
    back_url: str
    order: Order | None
    listed: Callable[[int], TimberList]
    papers: Callable[[dict[str, str]], list[FileLink]]

    @property
    def of_order(self) -> bool:
        return self.order is not None


def _of_makeup(pk: int, here: Asked) -> Subject:
    row = get_object_or_404(LibraryMakeUp, pk=pk)

    def listed(wheels: int) -> TimberList:
        return makeup_timber_list(row.makeup, wheels, here.shop.allowances, words=here.words, unit=here.unit)

    def papers(given: dict[str, str]) -> list[FileLink]:
        return paper_links("makeup-timber-paper", pk, asked=given)

    back_url = reverse("shop:makeup", args=[pk])
    return Subject(row.name, (), row.name, back_url, order=None, listed=listed, papers=papers)


def _of_order(number: int, here: Asked) -> Subject:
    order = find_order(number)

    def listed(_: int) -> TimberList:
        return order_timber_list(order, here.shop.allowances, words=here.words, unit=here.unit)

    def papers(given: dict[str, str]) -> list[FileLink]:
        return paper_links("order-timber-paper", number, asked=given)

    about = (f"{order.carriage}, for {order.customer}. {due_in_words(order, here.today)}",)
    back, back_url = f"Order {number}, {order.carriage}", reverse("shop:order", args=[number])
    return Subject(f"order {number}", about, back, back_url, order=order, listed=listed, papers=papers)


@may("desk", "bench")
@conditional("day")
def makeup_timber(request: HttpRequest, pk: int) -> HttpResponse:
    """The timber of so many wheels of a make-up in the library."""
    here = asked(request)
    return _show(request, here, _of_makeup(pk, here))


@may("desk", "bench")
def makeup_timber_on_paper(request: HttpRequest, pk: int, paper: str) -> HttpResponse:
    """The same to print, with boxes to tick off what is cut."""
    here = asked(request)
    return _paper(request, here, _of_makeup(pk, here), paper)


@may("desk", "bench")
@conditional("day")
def order_timber(request: HttpRequest, number: int) -> HttpResponse:
    """The timber of all new wheels of an order."""
    here = asked(request)
    return _show(request, here, _of_order(number, here))


@may("desk", "bench")
def order_timber_on_paper(request: HttpRequest, number: int, paper: str) -> HttpResponse:
    """The same to print, with boxes to tick off what is cut."""
    here = asked(request)
    return _paper(request, here, _of_order(number, here), paper)


def _asked(request: HttpRequest, here: Asked, subject: Subject) -> TimberAsked:
    given = given_to(subject.order) if subject.order else ()
    return TimberAsked(request.GET, here, subject.listed, of_order=subject.of_order, given=given)


def _show(request: HttpRequest, here: Asked, subject: Subject) -> HttpResponse:
    told = _asked(request, here, subject)
    form = told.form
    context = {
        "subject": subject,
        "form": form,
        "told": told,
        "groups": [(group, told.rows.get(group.key), form.of(group.key)) for group in told.list.groups],
        "papers": subject.papers(kept(request, form)),
        "is_desk": here.is_desk,
        "to_issue": _to_issue(request, here, subject, told),
        "is_owner": "owner" in roles_of(request),
    }
    status = HTTPStatus.UNPROCESSABLE_ENTITY if form.errors else HTTPStatus.OK
    return render(request, "shop/orders/timber_list.html", context, status=status)


def _to_issue(request: HttpRequest, here: Asked, subject: Subject, told: TimberAsked) -> Offered | None:
    if subject.order is None:
        return None
    return offer_issues(of_timber(told.rows.values()), subject.order, here, plan_url=request.get_full_path())


def _paper(request: HttpRequest, here: Asked, subject: Subject, paper: str) -> HttpResponse:
    told = _asked(request, here, subject)
    if told.form.errors:
        return refused(told.form)
    document = timber_paper(told, name=subject.name, about=subject.about)
    return as_paper(document, paper, name=f"{subject.name[:1].upper()}{subject.name[1:]}, timber")
