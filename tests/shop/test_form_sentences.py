"""Every form says in plain words of our own what is wrong with an answer: no stock sentence of Django's stands."""

import importlib
import pkgutil
import re
import uuid
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date
from typing import Any

import pytest
from django import forms
from django.test import Client
from django.urls import reverse

import shop.forms
from jobs.makeup.problems import PLAIN_WORDS
from jobs.models import LibraryMakeUp, Operation, Order
from jobs.orders import WheelRow
from shop.forms import (
    allowances,
    attendance,
    bench,
    changes,
    charges,
    cutting,
    day_book,
    found,
    inspector,
    iron,
    makeups,
    materials,
    operations,
    order_rows,
    orders,
    output,
    pay,
    pay_settings,
    people,
    period,
    period_costs,
    piece_rates,
    quotes,
    rates,
    records,
    sizes,
    stores,
    timber,
    timber_list,
    times,
    trades,
    what_if,
    words,
)
from shop.forms import shop as the_shop
from shop.models import Hand, Shop
from shop.quoting.rows import MaterialRow
from shop.views.bench_who import PinForm
from tests.factories import NOW, MaterialFactory, fact, makeup, task
from timing.models import Stretch, Tally
from timing.record import record

STOCK = re.compile(
    "This field|Select a valid|Enter a |Enter the|Enter an|Ensure th|Ensure that|is not a valid|must be|Null char"
    "|No file|cannot be null|Complete value|not one of the available|Value .* is not"
)
TODAY = date(2026, 3, 4)
OFFER = timber_list.Offer("hub-elm", "Hub blanks, elm", is_hub=True, materials=())
NAMED: dict[str, Any] = {"words": PLAIN_WORDS}

# How each form is made that needs more than its answers; what the page would give it.
MADE: Mapping[type[forms.BaseForm], Callable[[Order, Hand], dict[str, Any]]] = {
    attendance.DayThereForm: lambda order, hand: {"today": TODAY, "zone": UTC},
    attendance.TouchForm: lambda order, hand: {"today": TODAY},
    bench.SpoiledForm: lambda order, hand: {"units": 1, "good": 3, "is_hub": False, "in_wheel": {}},
    changes.WhichWheelsForm: lambda order, hand: {"wheels": list(order.lots.get().wheels.all())},
    changes.PiecesForm: lambda order, hand: {"stages": [], **NAMED},
    charges.ChargeForm: lambda order, hand: {"order": order, "currency": "GBP", "today": TODAY},
    charges.OutworkForm: lambda order, hand: {"order": order, "currency": "GBP", "today": TODAY},
    day_book.DayBookForm: lambda order, hand: NAMED,
    day_book.PutRightForm: lambda order, hand: {
        "stretch": Stretch.objects.get(),
        "tallies": list(Tally.objects.select_related("task__lot__order")),
        "today": TODAY,
    },
    found.FoundForm: lambda order, hand: {"usual": list(Operation.objects.all()[:2]), **NAMED},
    makeups.MakeUpForm: lambda order, hand: {"unit": "mm", **NAMED},
    makeups.KnownMakeUpForm: lambda order, hand: {"unit": "mm", **NAMED},
    materials.MaterialForm: lambda order, hand: {"unit": "mm"},
    operations.OperationForm: lambda order, hand: NAMED,
    operations.WaitForm: lambda order, hand: {"operation": Operation.objects.all()[0], **NAMED},
    order_rows.RowForm: lambda order, hand: {"place": 0, "library": list(LibraryMakeUp.objects.all()), **row_asked()},
    orders.HoldForm: lambda order, hand: {"lots": list(order.lots.all()), "wheels": []},
    orders.SparesForm: lambda order, hand: {"felloes": "felloes"},
    orders.MoveForm: lambda order, hand: {"stages": [], "lots": []},
    charges.AmountForm: lambda order, hand: {"currency": "GBP", "today": TODAY},
    output.EndForm: lambda order, hand: {"today": TODAY},
    output.OutputTestForm: lambda order, hand: {"by_pieces": [hand], "by_hours": [], "today": TODAY},
    output.EstimateForm: lambda order, hand: {"tests": [(1, "Shave spoke")], "today": TODAY},
    output.NoticeForm: lambda order, hand: {"hands": [hand], "today": TODAY},
    output.OvertimeForm: lambda order, hand: {"today": TODAY},
    pay.BonusForm: lambda order, hand: {"currency": "GBP", "today": TODAY, "begins": TODAY},
    period_costs.OverheadForm: lambda order, hand: {"currency": "GBP", "today": TODAY},
    period_costs.OnForm: lambda order, hand: {"today": TODAY},
    people.PasswordForm: lambda order, hand: {"hand": hand},
    people.LeftForm: lambda order, hand: {"today": TODAY},
    quotes.PriceForm: lambda order, hand: {"currency": "GBP"},
    quotes.FiguresForm: lambda order, hand: {"currency": "GBP", "rows": [MaterialRow("ash", "Ash", "3 planks")]},
    quotes.OutworkItemForm: lambda order, hand: {"currency": "GBP"},
    quotes.GoodsItemForm: lambda order, hand: {"currency": "GBP"},
    quotes.RateItemForm: lambda order, hand: {"currency": "GBP"},
    what_if.WhatIfForm: lambda order, hand: {"like": WheelRow(makeup(), "hind pair", ["near", "off"]), **in_mm()},
    piece_rates.PieceRateForm: lambda order, hand: {"currency": "GBP", "today": TODAY},
    inspector.InspectorForm: lambda order, hand: {"today": TODAY},
    records.YearsForm: lambda order, hand: {"rules": "gb"},
    records.ReplaceForm: lambda order, hand: {"found": []},
    rates.RateForm: lambda order, hand: {"currency": "GBP"},
    the_shop.ShopForm: lambda order, hand: {"instance": Shop.objects.get()},
    pay_settings.PaySettingsForm: lambda order, hand: {"instance": Shop.objects.get()},
    words.WordsForm: lambda order, hand: {"instance": Shop.objects.get()},
    stores.PurchaseForm: lambda order, hand: {**material_asked(), "currency": "GBP"},
    stores.CountForm: lambda order, hand: material_asked(),
    stores.FromRackForm: lambda order, hand: {**material_asked(), "order": order},
    stores.BackToRackForm: lambda order, hand: material_asked(),
    stores.IssuePlanForm: lambda order, hand: {
        **{"order": order, "materials": [MaterialFactory.build(pk=1)], "today": TODAY, "unit": "mm"}
    },
    stores.OffcutsKeptForm: lambda order, hand: {"unit": "mm", "kept": {1_200_000_000: 2}},
    stores.WhichMaterialForm: lambda order, hand: {"offers": [(1, "Ash boards")]},
    sizes.SizesForm: lambda order, hand: {"makeup": makeup(), "unit": "mm"},
    timber.PieceForm: lambda order, hand: {"unit": "mm", **NAMED},
    timber.BoardForm: lambda order, hand: {"unit": "mm"},
    timber.LogForm: lambda order, hand: {"unit": "mm"},
    allowances.AllowancesForm: lambda order, hand: {"instance": Shop.objects.get()},
    timber_list.TimberListForm: lambda order, hand: {"unit": "mm", "offers": [OFFER], "of_order": False},
    cutting.CuttingForm: lambda order, hand: {"unit": "mm", "currency": "GBP"},
    cutting.OffcutsForm: lambda order, hand: {"unit": "mm", "bars": [("offcuts-1-2", "Bar 38 × 12 mm")]},
    iron.IronForm: lambda order, hand: {"unit": "mm"},
    iron.OrderIronForm: lambda order, hand: {"unit": "in", "currency": "GBP"},
    iron.HotDayForm: lambda order, hand: {"unit": "mm"},
    trades.BackForm: lambda order, hand: {"currency": "GBP", "may_price": True},
    times.PaceForm: lambda order, hand: {"usual": {"wheels": 4, "hours": 8, "days": 5, "bench": 2}},
    trades.AsMadeForm: lambda order, hand: {"unit": "mm"},
}


def in_mm() -> dict[str, Any]:
    return {"unit": "mm", **NAMED}


def material_asked() -> dict[str, Any]:
    return {"material": MaterialFactory.build(), "today": TODAY}


def row_asked() -> dict[str, Any]:
    class Here:
        words = PLAIN_WORDS
        unit = "mm"

    return {"asked": Here()}


def every_form() -> Iterator[type[forms.BaseForm]]:
    """Each form of the shop's forms that a page shows."""
    yield PinForm
    for module in pkgutil.iter_modules(shop.forms.__path__, "shop.forms."):
        for one in vars(importlib.import_module(module.name)).values():
            if not (isinstance(one, type) and issubclass(one, forms.BaseForm)):
                continue
            # What other forms are made of asks nothing itself.
            ours = one.__module__ == module.name and not one.__name__.startswith("_") and hasattr(one, "base_fields")
            if ours and one is not period.PeriodForm:
                yield one


ABSURD = ["", "  ", "x" * 5000, "-7", "7" * 20, "7" * 5000, "½/0", "2026-13-45", "a\0b", "<b>", "25.99", "\u2028"]


def answers(form: forms.BaseForm, text: str) -> dict[str, Any]:
    """The same answer to every field, whatever it asks."""
    told: dict[str, Any] = {}
    for name, field in form.fields.items():
        key = form.add_prefix(name)
        many = isinstance(field, forms.MultipleChoiceField)
        told[key] = [text] if many else text
        told |= {f"{key}_{part}": text for part in ("day", "month", "year", 0, 1, 2)}
    return told


@pytest.fixture
def told(order: Order, osk: Hand) -> Order:
    """An order with one stretch of work, for the forms that put something right."""
    record(fact(task(order, "rough-spoke"), osk), now=NOW)
    return order


@pytest.mark.parametrize("form", list(every_form()), ids=lambda form: f"{form.__module__}.{form.__name__}")
def test_no_form_says_a_stock_sentence(form: type[forms.BaseForm], told: Order, osk: Hand) -> None:
    others = MADE[form](told, osk) if form in MADE else {}
    wrong = 0
    for text in ABSURD:
        filled = form(answers(form(**others), text), **others)
        said = [str(error) for errors in filled.errors.values() for error in errors]
        wrong += len(said)
        assert not [sentence for sentence in said if STOCK.search(sentence)]
        assert all(len(sentence) < 250 for sentence in said)
    assert wrong


def test_the_page_says_what_and_where(client: Client, shop: Shop, wren: Hand) -> None:
    client.force_login(wren.user)
    page = client.post(reverse("shop:order-new"), {"token": str(uuid.uuid4()), "rows": "1", "do": "take"})
    assert page.status_code == 422
    assert "Customer: Fill this in." in page.content.decode()


@pytest.mark.parametrize(("typed", "said"), [("pounds", "“pounds” is not a currency"), ("££", "“££” is not")])
def test_a_currency_typed_in_full_is_told_as_no_code(typed: str, said: str) -> None:
    with pytest.raises(forms.ValidationError, match=said):
        the_shop.CurrencyField().clean(typed)
