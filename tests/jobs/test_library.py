"""The library of make-ups."""

from datetime import timedelta

import pytest

from jobs.library import (
    LibraryRefused,
    add_to_library,
    bring_back_to_library,
    change_in_library,
    retire_from_library,
)
from jobs.models import LibraryMakeUp
from jobs.orders import WheelRow
from jobs.starting import start_library
from shop.models import Shop
from tests.factories import NOW, makeup, take_pair

ABOUT = {"name": "Our hind", "carriage": "wagonette", "place": "hind", "source": "an old wheel"}


def test_it_works(db: None) -> None:
    row = add_to_library(makeup(), **ABOUT)
    assert row.makeup == makeup()
    assert (row.status, row.place) == ("our own", "hind")


def test_sent_twice_is_one_make_up(db: None) -> None:
    assert add_to_library(makeup(), **ABOUT) == add_to_library(makeup(), **ABOUT)
    assert LibraryMakeUp.objects.count() == 1


def test_a_name_is_used_once(db: None) -> None:
    add_to_library(makeup(), **ABOUT)
    with pytest.raises(LibraryRefused, match="“Our hind” already"):
        add_to_library(makeup(spokes=12, felloes=6), **(ABOUT | {"name": "our HIND"}))


def test_a_change_leaves_orders_as_they_are(shop: Shop) -> None:
    row = add_to_library(makeup(), **ABOUT)
    order = take_pair(rows=[WheelRow(row.makeup, "pair", ["near", "off"], library=row)])
    change_in_library(row, makeup(spokes=12, felloes=6), **ABOUT)
    assert LibraryMakeUp.objects.get().spokes == 12
    assert order.lots.get().spokes == 14


def test_a_published_make_up_stays_as_printed(db: None) -> None:
    start_library()
    row = LibraryMakeUp.objects.filter(status="published")[0]
    with pytest.raises(LibraryRefused, match="copy it"):
        change_in_library(row, makeup(), **ABOUT)
    assert LibraryMakeUp.objects.get(pk=row.pk).makeup == row.makeup


def test_a_retired_make_up_may_come_back(db: None) -> None:
    row = add_to_library(makeup(), **ABOUT)
    retire_from_library(row, at=NOW)
    retire_from_library(row, at=NOW + timedelta(days=1))
    assert LibraryMakeUp.objects.get().retired_at == NOW
    bring_back_to_library(row)
    assert LibraryMakeUp.objects.get().retired_at is None
