"""Two people at one form: every form that changes what is there notices what the other did meanwhile."""

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

import shop.forms
from jobs.models import LibraryMakeUp, Operation, Order, Wait
from jobs.operations import set_wait
from jobs.orders import promise, set_state
from shop.forms.seen import Seen
from shop.models import Hand, Material, PayTerms, Rate, Shop
from shop.pay.terms import Terms
from shop.people import set_left
from shop.rates_written import record_rate
from shop.terms_written import record_terms
from tests.conftest import operation
from tests.factories import IN, NOW, MaterialFactory
from tests.shop.order_forms import in_library
from tests.shop.typed import as_sent


@dataclass(frozen=True)
class Edit:
    """A form, what another does meanwhile, what this person types, and what is then said and kept."""

    path: Callable[[Order], str]
    other: Callable[[Order], object]
    typed: dict[str, str]
    said: str
    kept: Callable[[Order], object]
    theirs: object
    mine: object
    opened: Callable[[Order], str] | None = None


def of(name: str, **others: object) -> Callable[[Order], str]:
    return lambda order: reverse(f"shop:{name}", kwargs={"number": order.number, **others})


def at(address: str, model: type, **which: object) -> Callable[[Order], str]:
    return lambda order: reverse(f"shop:{address}", args=[model.objects.get(**which).pk])


def day(name: str, day: int, month: str) -> dict[str, str]:
    return {f"{name}_day": str(day), f"{name}_month": month, f"{name}_year": "2026"}


def rate(amount: int, order: Order) -> Rate:
    wren = Hand.objects.get(name="Wren").user
    return record_rate(kind="overhead", amount_millipence=amount, from_on=date(2026, 3, 1), at=NOW, by=wren)


def another_promise(order: Order) -> None:
    tamsin = Hand.objects.get(name="Tamsin").user
    promise(Order.objects.get(), date(2026, 12, 4), reason="frost", told_on=None, by=tamsin)


def wait_of(order: Order) -> tuple[str, int]:
    wait = Wait.objects.get(operation__key="saw-felloe", on_operation__key="turn-hub")
    return wait.how, wait.standing_minutes


def another_wait(order: Order) -> None:
    set_wait(operation("saw-felloe"), operation("turn-hub"), how=Wait.How.WHEEL, standing_minutes=960)


def terms_of_osk(*, by_pieces: bool) -> None:
    osk, wren = Hand.objects.get(name="Osk"), Hand.objects.get(name="Wren").user
    record_terms(osk, Terms(by_pieces), from_on=date(2026, 3, 1), at=NOW, by=wren)


MEANWHILE = "by another while you had this open; you wrote"
EDITS = {
    "pay": Edit(
        lambda order: "/settings/pay/",
        lambda order: Shop.objects.update(pay_first_on=date(2026, 1, 12)),
        day("pay_first_on", 19, "January"),
        f"Changed to 12 January 2026 {MEANWHILE} 19 January 2026.",
        lambda order: Shop.objects.get().pay_first_on,
        date(2026, 1, 12),
        date(2026, 1, 19),
    ),
    "terms of pay": Edit(
        at("pay-terms", Hand, name="Osk"),
        lambda order: terms_of_osk(by_pieces=False),
        {"paid_by": "pieces", **day("from_on", 1, "March")},
        "from 1 March 2026 was written down by Wren",
        lambda order: PayTerms.objects.latest("pk").by_pieces,
        False,
        True,
    ),
    "records": Edit(
        lambda order: "/settings/records/",
        lambda order: Shop.objects.update(records_years=8),
        {"years": "10"},
        f"Changed to “8” {MEANWHILE} “10”.",
        lambda order: Shop.objects.get().records_years,
        *(8, 10),
    ),
    "details": Edit(
        of("order-details"),
        lambda order: Order.objects.update(carriage="Gig"),
        {"carriage": "Dog-cart"},
        f"Changed to “Gig” {MEANWHILE} “Dog-cart”.",
        lambda order: Order.objects.get().carriage,
        "Gig",
        "Dog-cart",
    ),
    "promise": Edit(
        of("order-promise"),
        another_promise,
        {**day("promised_on", 2, "December"), "reason": "no elm"},
        "Changed to 4 December 2026 by Tamsin while you had this open; you wrote 2 December 2026.",
        lambda order: Order.objects.get().due_on,
        date(2026, 12, 4),
        date(2026, 12, 2),
    ),
    "spares": Edit(
        lambda order: reverse("shop:lot-spares", args=[order.number, order.lots.get().pk]),
        lambda order: order.lots.update(spare_spokes=3),
        {"spokes": "1"},
        f"Changed to “3” {MEANWHILE} “1”.",
        lambda order: order.lots.get().spare_spokes,
        3,
        1,
    ),
    "library": Edit(
        at("makeup-change", LibraryMakeUp),
        lambda order: LibraryMakeUp.objects.update(source="an old wheel"),
        {"source": "a drawing"},
        f"Changed to “an old wheel” {MEANWHILE} “a drawing”.",
        lambda order: LibraryMakeUp.objects.get().source,
        "an old wheel",
        "a drawing",
    ),
    "measures": Edit(
        at("makeup-change", LibraryMakeUp),
        lambda order: LibraryMakeUp.objects.update(dish_nm=IN),
        {"dish_nm": "30 mm"},
        f"Changed to “25.4 mm” {MEANWHILE} “30 mm”.",
        lambda order: LibraryMakeUp.objects.get().dish_nm,
        IN,
        30_000_000,
    ),
    "operation": Edit(
        at("operation", Operation, key="saw-felloe"),
        lambda order: Operation.objects.filter(key="saw-felloe").update(book_seconds=600),
        {"minutes": "12"},
        f"Changed to “10” {MEANWHILE} “12”.",
        lambda order: operation("saw-felloe").book_seconds,
        600,
        720,
    ),
    "wait": Edit(
        at("wait-add", Operation, key="saw-felloe"),
        another_wait,
        {"on": "turn-hub", "standing_minutes": "5"},
        "What it waits on was changed by another to",
        wait_of,
        (Wait.How.WHEEL, 960),
        (Wait.How.PIECE, 5),
        opened=at("operation", Operation, key="saw-felloe"),
    ),
    "hand": Edit(
        at("hand", Hand, name="Osk"),
        lambda order: Hand.objects.filter(name="Osk").update(trade="painter"),
        {"trade": "smith"},
        f"Changed to “Painter” {MEANWHILE} “Smith”.",
        lambda order: Hand.objects.get(name="Osk").trade,
        "painter",
        "smith",
    ),
    "left": Edit(
        at("hand-left", Hand, name="Osk"),
        lambda order: set_left(Hand.objects.get(name="Osk"), date(2026, 2, 3)),
        day("left_on", 1, "March"),
        f"Changed to 3 February 2026 {MEANWHILE} 1 March 2026.",
        lambda order: Hand.objects.get(name="Osk").left_on,
        date(2026, 2, 3),
        date(2026, 3, 1),
        opened=at("hand", Hand, name="Osk"),
    ),
    "shop": Edit(
        lambda order: "/settings/shop/",
        lambda order: Shop.objects.update(smith_days=[3]),
        {"smith_days": "1"},
        f"Changed to Thursday {MEANWHILE} Tuesday.",
        lambda order: Shop.objects.get().smith_days,
        [3],
        [1],
    ),
    "allowances": Edit(
        lambda order: "/settings/materials/allowances/",
        lambda order: Shop.objects.update(allow_hub_length_nm=2 * IN),
        {"allow_hub_length_nm": "30 mm"},
        f"Changed to “50.8 mm” {MEANWHILE} “30 mm”.",
        lambda order: Shop.objects.get().allow_hub_length_nm,
        2 * IN,
        30_000_000,
    ),
    "material": Edit(
        at("material", Material),
        lambda order: Material.objects.update(width_nm=10 * IN),
        {"width": "230 mm"},
        f"Changed to “254 mm” {MEANWHILE} “230 mm”.",
        lambda order: Material.objects.get().width_nm,
        10 * IN,
        230_000_000,
    ),
    "words": Edit(
        lambda order: "/settings/words/",
        lambda order: Shop.objects.update(word_hub="nave"),
        {"word_hub": "stock"},
        f"Changed to “nave” {MEANWHILE} “stock”.",
        lambda order: Shop.objects.get().word_hub,
        "nave",
        "stock",
    ),
    "rate": Edit(
        lambda order: "/settings/rates/overhead/",
        lambda order: rate(1_850_000, order),
        {"amount": "20", **day("from_on", 1, "March")},
        "A rate of £18.50 from 1 March 2026 was written down by",
        lambda order: Rate.objects.latest("pk").amount_millipence,
        1_850_000,
        2_000_000,
    ),
}


@pytest.fixture
def things(owner: Client, tamsin: Hand, osk: Hand, order: Order) -> Order:
    in_library()
    MaterialFactory.create()
    return order


def typed_into(owner: Client, order: Order, edit: Edit) -> dict[str, list[str]]:
    path = edit.path(order)
    page = owner.get(edit.opened(order) if edit.opened else path).text
    typed = edit.typed
    if "on" in typed:
        typed = typed | {"on": str(operation(typed["on"]).pk), "how": Wait.How.PIECE}
    return as_sent(page, path, **typed)


@pytest.mark.parametrize("name", sorted(EDITS))
def test_the_other_is_told_and_not_written_over(owner: Client, things: Order, name: str) -> None:
    edit = EDITS[name]
    sent = typed_into(owner, things, edit)
    edit.other(things)
    answer = owner.post(edit.path(things), sent)
    assert answer.status_code == 409
    assert edit.said in unescape(answer.text)
    assert edit.kept(things) == edit.theirs
    # As it was typed; and sent once more it is meant.
    again = as_sent(answer.text, edit.path(things))
    assert {field: again[field] for field in sent if "seen" not in field} == {
        field: value for field, value in sent.items() if "seen" not in field
    }
    assert owner.post(edit.path(things), again).status_code == 302
    assert edit.kept(things) == edit.mine


@pytest.mark.parametrize("name", sorted(EDITS))
def test_alone_at_it_nothing_is_asked(owner: Client, things: Order, name: str) -> None:
    edit = EDITS[name]
    sent = typed_into(owner, things, edit)
    for _ in range(2):  # sent twice it is meant once, and overtakes nobody
        assert owner.post(edit.path(things), sent).status_code == 302
    assert edit.kept(things) == edit.mine


def kinds_of(one: type) -> set[str]:
    return {child.__name__ for child in one.__subclasses__()}.union(*map(kinds_of, one.__subclasses__()))


def test_every_form_that_changes_what_is_there_is_walked() -> None:
    walked = {"DetailsForm", "PromiseForm", "SparesForm", "LibraryForm", "KnownMakeUpForm", "OperationForm"}
    walked |= {"WaitForm", "HandForm", "LeftForm", "ShopForm", "WordsForm", "RateForm", "AllowancesForm", "TermsForm"}
    # By the tests of their own pages: test_quote_pages.py, test_times.py, test_agreed_overtime.py and test_issuing.py.
    walked |= {"OvertimeForm", "DraftHead", "PriceForm", "FiguresForm", "BookTimeForm", "AlterationTermsForm"}
    walked |= {"MaterialForm", "PaySettingsForm", "YearsForm", "OffcutsKeptForm"}
    only_dropped = {"HoldForm", "WhichWheelsForm"}
    for module in pkgutil.iter_modules(shop.forms.__path__, "shop.forms."):
        importlib.import_module(module.name)
    assert kinds_of(Seen) == walked | only_dropped


def test_what_only_the_other_changed_is_kept_and_told(owner: Client, things: Order) -> None:
    path = reverse("shop:order-details", args=[things.number])
    sent = as_sent(owner.get(path).text, path, note="by rail")
    Order.objects.update(carriage="Gig")
    assert owner.post(path, sent).status_code == 302
    order = Order.objects.get()
    assert (order.carriage, order.note) == ("Gig", "by rail")
    told = unescape(owner.get(f"/orders/{things.number}/").text)
    assert "Changed meanwhile by another, and left so: Carriage, “Gig”." in told


@pytest.mark.parametrize(
    ("name", "typed", "column", "theirs"),
    [
        ("settings-shop", {"name": "Lark Lane"}, "smith_days", [2, 4]),
        ("settings-shop", {"name": "Lark Lane"}, "units", "in"),
        ("words", {"word_hub": "nave"}, "word_tyre", "tire"),
    ],
)
def test_a_choice_left_alone_takes_the_others(
    owner: Client, shop: Shop, name: str, typed: dict[str, str], column: str, theirs: object
) -> None:
    path = reverse(f"shop:{name}")
    sent = as_sent(owner.get(path).text, path, **typed)
    Shop.objects.update(**{column: theirs})
    assert owner.post(path, sent).status_code == 302
    assert getattr(Shop.objects.get(), column) == theirs
    assert {field: getattr(Shop.objects.get(), field) for field in typed} == typed


def test_a_band_that_another_took_off_is_not_put_back(owner: Client, things: Order) -> None:
    path = reverse("shop:makeup-change", args=[LibraryMakeUp.objects.get().pk])
    sent = as_sent(owner.get(path).text, path, source="a drawing")
    LibraryMakeUp.objects.update(bands=[])
    assert owner.post(path, sent).status_code == 302
    row = LibraryMakeUp.objects.get()
    assert (row.bands, row.source) == ([], "a drawing")


def test_a_note_is_shown_whole_as_it_stands(owner: Client, things: Order) -> None:
    path = reverse("shop:order-details", args=[things.number])
    sent = as_sent(owner.get(path).text, path, note="goes by rail")
    long = "colour: blue, and " + "red lines " * 30 + "within"
    Order.objects.update(note=long)
    page = unescape(owner.post(path, sent).text)
    assert (long in page, "goes by rail</textarea>" in page) == (True, True)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("order-details", {"note": "by rail"}),
        ("order-promise", {"reason": "no elm"}),
        ("order-hold", {"kind": "timber", "what": "elm", "where": "order"}),
        ("lot-spares", {"spokes": "2"}),
        ("lot-change", {"name": "hind pair, anew", "dish_nm": "30 mm"}),
    ],
)
def test_an_order_dropped_meanwhile_is_told_with_what_was_typed(
    owner: Client, things: Order, name: str, typed: dict[str, str]
) -> None:
    lot = [things.lots.get().pk] if name.startswith("lot-") else []
    path = reverse(f"shop:{name}", args=[things.number, *lot])
    sent = as_sent(owner.get(path).text, path, **typed)
    set_state(Order.objects.get(), Order.State.DROPPED, on=NOW.date())
    answer = owner.post(path, sent)
    assert answer.status_code == 409
    assert "The order was dropped while you had this open." in answer.text
    again = as_sent(answer.text, path)
    assert {field: again[field] for field in typed} == {field: [value] for field, value in typed.items()}
    assert owner.post(path, again).status_code == 302


def test_a_make_up_and_an_operation_retired_meanwhile_are_told(owner: Client, things: Order) -> None:
    makeup, saw = LibraryMakeUp.objects.get(), operation("saw-felloe")
    for name, row, sentence in (
        ("makeup-change", makeup, "This make-up was retired while you had this open."),
        ("operation", saw, "The operation was retired while you had this open."),
    ):
        path = reverse(f"shop:{name}", args=[row.pk])
        sent = as_sent(owner.get(path).text, path)
        type(row).objects.filter(pk=row.pk).update(retired_at=NOW)
        answer = owner.post(path, sent)
        assert (answer.status_code, sentence in answer.text) == (409, True)


def test_wheels_changed_meanwhile_are_told_with_what_was_typed(owner: Client, things: Order) -> None:
    lot = things.lots.get()
    path = reverse("shop:lot-change", args=[things.number, lot.pk])
    sent = as_sent(owner.get(path).text, path, dish_nm="30 mm")
    lot.wheels.filter(number=1).update(dropped_at=NOW)
    answer = owner.post(path, sent)
    assert answer.status_code == 409
    assert "wheel was changed or dropped meanwhile" in answer.text
    assert 'value="30 mm"' in answer.text


@pytest.mark.parametrize("seen", ["", "nonsense", "[1]", '{"carriage": 3}', '{"no-such": "0"}'])
def test_a_form_that_brings_no_mark_is_taken_as_it_is(owner: Client, things: Order, seen: str) -> None:
    path = reverse("shop:order-details", args=[things.number])
    told = {"customer": "Ash Farm", "carriage": "Cart", "seen_detailsform": seen}
    answer = owner.post(path, told)
    assert answer.status_code == (409 if "carriage" in seen else 302)
