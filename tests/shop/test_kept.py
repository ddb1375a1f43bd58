"""Nothing deletes what pay is reckoned from, what was paid, or what it rests on: neither alone nor with another."""

import ast
from pathlib import Path

import pytest
from django.apps import apps
from django.db.models import PROTECT, ForeignKey, Model, ProtectedError

from jobs.kept import KeptQuerySet, KeptRow, MustBeKept
from jobs.models import Order
from shop.models import (
    Attendance,
    Bonus,
    Hand,
    Issue,
    Offcut,
    OutputMean,
    OutputNotice,
    OutputTried,
    Outwork,
    OverheadSpent,
    OvertimeAgreement,
    Passed,
    PayAdjustment,
    PayRun,
    PaySheet,
    PayTerms,
    Purchase,
    Rate,
    RulesBefore,
    StockCount,
)
from tests.addresses import closed_sheet, make_things, of_touch, own_stretch
from timing.models import Helper, Move, Stretch, Tally

ROOT = Path(__file__).resolve().parent.parent.parent
RECORDS: list[type[Model]] = [
    *(Attendance, Bonus, Passed, PayAdjustment, PayRun, PaySheet, PayTerms, Rate, Hand),
    *(Stretch, Helper, Tally, Move, Order, Outwork, Issue, OverheadSpent),
    *(Purchase, StockCount, Offcut, RulesBefore),
    *(OutputMean, OutputTried, OutputNotice, OvertimeAgreement),
]
# Each is looked at, made anew or thrown away by its own rules: a try at a PIN, a clock that only shows.
NO_RECORDS = {"PinTry", "Clock", "SavedFit", "SignInTry", "Device", "AwaitedCancel", "AuditLine", "Verdict"}


@pytest.mark.parametrize("model", RECORDS)
def test_no_record_is_deleted_by_itself_or_among_many(model: type[Model]) -> None:
    assert issubclass(model, KeptRow)
    assert isinstance(model._default_manager.all(), KeptQuerySet)
    with pytest.raises(MustBeKept, match="must be kept"):
        model(pk=1).delete()
    with pytest.raises(MustBeKept, match="must be kept"):
        model._default_manager.filter(pk=1).delete()


@pytest.mark.parametrize("model", RECORDS)
def test_no_record_goes_with_what_it_names(model: type[Model]) -> None:
    keys = [field for field in model._meta.concrete_fields if isinstance(field, ForeignKey)]
    assert {field.name: field.remote_field.on_delete for field in keys} == dict.fromkeys(
        [field.name for field in keys], PROTECT
    )


def test_every_model_that_tells_of_a_hand_is_a_record_or_is_known_to_be_none() -> None:
    """What names a hand as its subject, and is not in the list above, would be forgotten by it."""
    told = {
        model.__name__
        for room in ("timing", "shop")
        for model in apps.get_app_config(room).get_models()
        if any(field.name in ("hand", "stretch", "sheet", "run") for field in model._meta.concrete_fields)
    }
    assert told <= {model.__name__ for model in RECORDS} | NO_RECORDS


def test_a_hand_stays_with_all_that_is_known(wren: Hand, osk: Hand, order: Order) -> None:
    things = make_things(order, wren, osk)
    closed_sheet(things)
    of_touch(things)
    own_stretch(things, osk)
    count = {model: model._default_manager.count() for model in RECORDS}
    with pytest.raises(ProtectedError):
        osk.user.delete()
    with pytest.raises(ProtectedError):
        type(osk.user)._default_manager.filter(pk=osk.user_id).delete()
    assert {model: model._default_manager.count() for model in RECORDS} == count


def test_nothing_reaches_beneath_the_guard() -> None:
    """`_raw_delete` and the SQL of it stand in no module of the program, but in migrations."""
    for room in ("jobs", "timing", "shop"):
        for path in (ROOT / room).rglob("*.py"):
            if "migrations" in path.parts:
                continue
            source = path.read_text(encoding="utf-8")
            named = {node.attr for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Attribute)}
            assert "_raw_delete" not in named, path
            assert "DELETE FROM" not in source.upper(), path
