"""Where names stand in words: which texts surely mean somebody, which may, and which are never touched."""

import re
import unicodedata
import uuid
from datetime import date

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models
from django.urls import reverse

from jobs.models import Customer, Operation, Order
from jobs.writing import writing
from shop.audit import Kind, note_change
from shop.leavers import named_leaver, replace_by_number
from shop.models import AuditLine, Bonus, Hand, Material, PaySheet, Shop
from shop.name_columns import NO_WORDS, PLACES, STAYING
from shop.name_lines import put_in_its_form, words_of
from shop.name_places import MOST_TICKS, How, Named, where_people_wrote_it
from shop.name_stays import what_stays
from shop.name_words import Sought
from shop.past_customers import named_customer
from shop.pay_terms import add_bonus
from shop.people import add_hand, edit_hand, set_left
from tests.factories import MaterialFactory, fact, task
from tests.shop.benching import Wall, text_of
from tests.shop.test_growth import begin_quotes
from tests.shop.test_leavers import found_of, sent_from, sign_in, ticks_of, wall
from tests.shop.test_pay_runs import MONDAY, at, close, paid_shop, week
from timing.models import Stretch, Tally
from timing.record import record

__all__ = ["paid_shop", "wall", "week"]  # fixtures

A_HAND = {"role": "hand", "trade": "bench", "apprentice": False}


@pytest.mark.parametrize(
    ("name", "text", "surely", "nearly"),
    [
        ("Osk", "Osk held it", "Hand 9 held it", None),
        ("Osk", "'Osk' held it", None, "'Hand 9' held it"),
        ("Osk", "told by ‘Osk’, or OSK", "told by ‘Hand 9’, or OSK", "told by ‘Hand 9’, or Hand 9"),
        ("Osk", "Osk-made by Osk", "Osk-made by Hand 9", "Hand 9-made by Hand 9"),
        ("Osk", "Oskar’s own", None, None),
        ("José", "José held it", "Hand 9 held it", None),
        (unicodedata.normalize("NFD", "José"), "JOSÉ held it", None, "Hand 9 held it"),
        ("José", unicodedata.normalize("NFD", "José held it"), None, "Hand 9 held it"),
        ("Jose", unicodedata.normalize("NFD", "José held it"), None, None),
        ("Åé", unicodedata.normalize("NFD", "with Åé"), None, "with Hand 9"),
        ("Åé", "with åÉ", None, "with Hand 9"),
        ("Pat O'Neil", "Pat O’Neil, and Pat  O'Neil", None, "Hand 9, and Hand 9"),
        ("Ольга Й.", "ольга й. held it", None, "Hand 9 held it"),
        (
            "Tom",
            "Tom Senior, O. Tom and tom senior stay; Tom goes",
            "Tom Senior, O. Tom and tom senior stay; Hand 9 goes",
            None,
        ),
        ("Tom", "TOM SENIOR and tom", None, "TOM SENIOR and Hand 9"),
        ("Rose", "Rose came with rose", None, "Hand 9 came with Hand 9"),  # a customer is called so
    ],
)
def test_how_sure_a_text_means_somebody(name: str, text: str, surely: str | None, nearly: str | None) -> None:
    sought = Sought.of([name], ["Tom Senior", "O. Tom", "Rose", "Wren"] if name != "Osk" else ["Wren"])
    sure = sought.put(text, "Hand 9")
    near = sought.put_nearly(sure, "Hand 9")
    assert sure == (surely or text)
    assert near == (nearly or sure)
    assert all(stem.casefold() in text.casefold() for stem in sought.stems)
    assert all(re.search(spelled, text) for spelled in sought.spelled)
    assert sought.stems or sought.spelled


def test_of_two_names_of_one_hand_the_longer_is_looked_for_first() -> None:
    assert (
        Sought.of(["Tom", "Tom Baker"], []).put("cake for Tom Baker, and Tom", "Hand 9")
        == "cake for Hand 9, and Hand 9"
    )


@pytest.mark.parametrize(
    ("kind", "column", "text", "after"),
    [
        (Kind.PERSON, "what", "Ash", "Hand 9"),
        (Kind.PERSON, "what", "Ash: PIN", "Hand 9: PIN"),
        (Kind.PERSON, "before", "name: Ash; may use: hand", "name: Hand 9; may use: hand"),
        (Kind.RATE, "what", "Ash: wage an hour, from 2 March 2026", "Hand 9: wage an hour, from 2 March 2026"),
        (Kind.RATE, "what", "Ash: piece rate, from 2 March 2026", None),
        (Kind.RATE, "what", "Ash: price a board foot, from 2 March 2026", None),
        (Kind.PAY, "what", "Ash: bonus, Fair, 2 March 2026", "Hand 9: bonus, Fair, 2 March 2026"),
        (Kind.PAY, "what", "Ash: mean hourly output, from 2 March 2026", None),
        (Kind.PRICE, "what", "Ash", None),
        (Kind.PRICE, "what", "Ash: bought 2 March 2026", None),
        (Kind.PRICE, "before", "name: Ash", None),
        (Kind.OPERATION, "before", "name: Ash", None),
        (Kind.SHOP, "after", "opened, Ash its owner", "opened, Hand 9 its owner"),
        (Kind.PERSON, "what", "Ash Senior", None),
    ],
)
def test_the_programs_own_lines_name_hands_in_some_places_alone(
    kind: Kind, column: str, text: str, after: str | None
) -> None:
    assert put_in_its_form(kind, column, text, ["Ash"], "Hand 9") == (after or text)


@pytest.mark.parametrize(
    ("kind", "column", "text", "words"),
    [
        (Kind.PAY, "what", "Ash: bonus, with Osk, 2 March 2026", ": bonus, with Osk, 2 March 2026"),
        (Kind.PRICE, "what", "Order 12, Gig: outwork of Osk, tyres", "Order 12, Gig: outwork of Osk, tyres"),
        (Kind.PRICE, "after", "taken back: Osk says so", "taken back: Osk says so"),
        (Kind.PRICE, "what", "Ash boards: counted 2 March 2026", ""),
        (Kind.PAY, "what", "Ash: mean hourly output, from 2 March 2026", ""),
        (Kind.OPERATION, "after", "name: Ash", ""),
        (Kind.RATE, "what", "Ash: piece rate, from 2 March 2026", ""),
    ],
)
def test_words_of_people_stand_in_some_lines_alone(kind: Kind, column: str, text: str, words: str) -> None:
    head, rest = words_of(kind, column, text)
    assert (head + rest, rest) == (text, words)


def test_others_material_and_what_must_be_kept_are_left_as_they_are(
    week: Shop, wren: Hand, osk: Hand, order: Order
) -> None:
    tom, senior = (add_hand(name=name, **A_HAND) for name in ("Tom Baker", "Tom Senior"))  # type: ignore[arg-type]
    edit_hand(tom, name="Tom", **A_HAND)  # type: ignore[arg-type]
    told = {"amount_pence": 500, "on": MONDAY, "by": wren.user, "at": at(1)}
    add_bonus(token=uuid.uuid4(), hand=osk, what="cake for Tom Baker, with Tom Senior", **told)  # type: ignore[arg-type]
    close(Shop.objects.get(), wren, at(7))
    for minute, note in enumerate(("Tom held it", "TOM held it", "Tom Senior held it")):
        record(fact(task(order, "rough-spoke"), senior, minutes=None, note=note, done_at=at(1, minute / 60)), now=at(1))
    with writing():
        note_change(Kind.PRICE, "Tom: price a board foot", by=wren.user, before="name: Tom", after="£2")
    Order.objects.update(note="Tom knows the way")
    lots = order.lots.update(name="Tom’s pair")
    stretch = Stretch.objects.order_by("pk").first()
    Tally.objects.create(stretch=stretch, old_order="Tom’s trap", old_wheel="Tom", made=1)
    set_left(tom, date(2010, 1, 1))
    soon, late = found_of(tom, today=date(2026, 4, 1)), found_of(tom)
    assert lots
    assert {(one.place.key, one.how.value) for one in soon} == {
        # A line of material may tell of a timber that is called so.
        ("lines", "nearly"),
        # Whatever the spelling: "TOM held it" is another's record as well.
        *(("work", "kept"), ("bonuses", "kept"), ("orders", "sure")),
        *(("old_book", "sure"), ("lines", "sure")),
    }
    assert {one.place.key for one in late if one.how == "sure"} == {"work", "bonuses", "orders", "old_book", "lines"}
    replace_by_number(tom, texts=ticks_of(soon), at=at(30), shop=Shop.objects.get(), by=wren.user)
    number = f"Hand {tom.pk}"
    # Frozen, and another's: not ticked.
    assert PaySheet.objects.get().told["lines"][-1][1].startswith("cake for Tom Baker, with Tom Senior")
    assert Bonus.objects.get().what == "cake for Tom Baker, with Tom Senior"
    (lot,) = order.lots.all()
    tally = Tally.objects.get(task=None)
    assert (lot.name, Order.objects.get().note) == (f"{number}’s pair", f"{number} knows the way")
    assert (tally.old_order, tally.old_wheel) == (f"{number}’s trap", number)
    lines = list(AuditLine.objects.order_by("pk").values_list("what", "before", "after"))
    assert ("Tom: price a board foot", "name: Tom", "£2") in lines
    assert (number, "name: " + number, "name: " + number) in lines
    assert ("Tom Senior", "", "taken on: hand, bench") in lines
    assert any(what.startswith(f"Osk: bonus, cake for {number}, with Tom Senior, ") for what, _, _ in lines)


def test_a_name_is_found_in_the_database_however_its_accents_were_typed(shop: Shop, wren: Hand, order: Order) -> None:
    hands = [add_hand(name=name, **A_HAND) for name in ("José", "Åé", "Ольга")]  # type: ignore[arg-type]
    for hand in hands:
        notes = [unicodedata.normalize(form, f"{name} came") for form in ("NFC", "NFD") for name in _spelled(hand.name)]
        Stretch.objects.all().update(note="")
        for note in dict.fromkeys(notes):
            record(fact(task(order, "rough-spoke"), wren, minutes=None, note=note, done_at=at(1)), now=at(1))
        told = {"what": notes[0], "amount_pence": 5, "on": MONDAY, "by": wren.user, "at": at(1)}
        add_bonus(token=uuid.uuid4(), hand=wren, **told)  # type: ignore[arg-type]
        found = found_of(hand)
        assert sum(one.count for one in found if one.place.key == "work") == len(set(notes)), hand.name
        assert [one.place.key for one in found if one.how == "sure"] == ["work", "bonuses", "lines"]


def _spelled(name: str) -> tuple[str, str]:
    return name, name.upper()


def test_no_other_word_is_lost_where_the_number_does_not_fit(shop: Shop, wren: Hand, order: Order, wall: Wall) -> None:
    jo = add_hand(name="Jo", **A_HAND)  # type: ignore[arg-type]
    fits, full, nearly = f"Jo {'x' * 190}", f"JO {'x' * 193} Jo", f"JO {'x' * 197}"
    for note in (fits, full, nearly):
        record(fact(task(order, "rough-spoke"), wren, minutes=None, note=note, done_at=at(1)), now=at(1))
    set_left(jo, date(2010, 1, 1))
    owner, path = sign_in(wren, wall, at(365 * 14)), reverse("shop:records-hand", args=[jo.pk])
    page = owner.get(path)
    assert "Notes of work, where the number is too long: 3 times" in text_of(page)
    found = found_of(jo)
    assert [(one.how.value, [text.after for text in one.texts]) for one in found] == [
        ("sure", [f"Hand {jo.pk} {'x' * 190}"]),
        ("long", [f"JO {'x' * 193} …", f"… {'x' * 193} …", f"… {'x' * 197}"]),
    ]
    sent = sent_from(page)
    assert sent["texts"] == found[0].ticks
    replace_by_number(jo, texts=[*found[0].ticks, *found[1].ticks], at=at(365 * 14), shop=shop, by=wren.user)
    assert list(Stretch.objects.order_by("pk").values_list("note", flat=True)) == [
        f"Hand {jo.pk} {'x' * 190}",
        f"… {'x' * 193} …",
        f"… {'x' * 197}",
    ]


def test_every_text_is_shown_with_a_tick_and_none_goes_unseen(shop: Shop, wren: Hand, order: Order, wall: Wall) -> None:
    jo = add_hand(name="Jo", **A_HAND)  # type: ignore[arg-type]
    set_left(jo, date(2010, 1, 1))

    def write(note: str) -> None:
        record(fact(task(order, "rough-spoke"), wren, minutes=None, note=note, done_at=at(1)), now=at(1))

    for count in range(13):
        write(f"Jo number {count}")
    Order.objects.update(note="as Jo said")
    owner, path = sign_in(wren, wall, at(365 * 14)), reverse("shop:records-hand", args=[jo.pk])
    page = owner.get(path)
    assert all(f"Jo number {count}" in page.text for count in range(13))
    sent = sent_from(page)
    assert len(sent["texts"]) == 14  # type: ignore[arg-type]
    write("Jo came again")
    answer = owner.post(path, sent)
    assert answer.status_code == 409
    assert "look at all of it once more" in text_of(answer)
    assert Hand.objects.get(pk=jo.pk).name == "Jo"
    sent = sent_from(answer)
    (order_tick,) = ticks_of(found_of(jo), "orders")
    sent["texts"] = [tick for tick in sent["texts"] if tick != order_tick]  # type: ignore[attr-defined]
    assert owner.post(path, sent).status_code == 302
    assert Order.objects.get().note == "as Jo said"
    assert not Stretch.objects.filter(note__contains="Jo").exists()


def test_more_texts_than_can_be_ticked_one_by_one_are_all_shown(
    shop: Shop, wren: Hand, order: Order, wall: Wall
) -> None:
    jo = add_hand(name="Jo", **A_HAND)  # type: ignore[arg-type]
    set_left(jo, date(2010, 1, 1))
    for count in range(51):
        record(fact(task(order, "rough-spoke"), wren, minutes=None, note=f"Jo, {count}", done_at=at(1)), now=at(1))
    owner, path = sign_in(wren, wall, at(365 * 14)), reverse("shop:records-hand", args=[jo.pk])
    page = owner.get(path)
    assert "All 51 texts" in text_of(page)
    assert len(PLACES) * len(How) * MOST_TICKS < settings.DATA_UPLOAD_MAX_NUMBER_FIELDS
    assert all(f"Jo, {count}<" in page.text for count in range(51))
    assert len(sent_from(page)["texts"]) == 1  # type: ignore[arg-type]
    assert owner.post(path, sent_from(page)).status_code == 302
    assert not Stretch.objects.filter(note__startswith="Jo").exists()


def test_every_column_of_words_is_looked_at_or_holds_none_for_a_reason() -> None:
    words = models.CharField, models.TextField, models.JSONField, models.BinaryField
    there = {
        (model, field.name)
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if isinstance(field, words) and not field.choices
    }
    looked_at = {column for place in (*PLACES, *STAYING) for column in place.columns}
    others = [(model, name) for told in NO_WORDS.values() for model, names in told.items() for name in names]
    assert len(others) == len(set(others))
    assert not looked_at & set(others)
    assert looked_at | set(others) == there


def test_what_things_are_called_is_a_perhaps_and_what_was_frozen_is_shown(
    week: Shop, wren: Hand, order: Order, wall: Wall
) -> None:
    perry = add_hand(name="Perry", **A_HAND)  # type: ignore[arg-type]
    set_left(perry, date(2010, 1, 1))
    MaterialFactory.create(name="Perry’s oak", timber="perry elm")
    operation = Operation.objects.get(key="rough-spoke")
    Operation.objects.filter(pk=operation.pk).update(name="Shave as Perry", notes="Perry shows how")
    order.lots.update(bands=[{"name": "Perry’s band", "width_nm": 1, "thickness_nm": 1}])
    add_bonus(token=uuid.uuid4(), hand=wren, what="with Perry", amount_pence=5, on=MONDAY, by=wren.user, at=at(1))
    close(Shop.objects.get(), wren, at(7))
    Shop.objects.update(address="Perry House")
    quote = begin_quotes(wren, count=1)
    timber = {"key": "hub-perry", "name": "Oak", "rests_on": "“Perry’s oak” at £2"}
    frozen = {"timber": [timber], "notes": ["Perry stands"]}
    sums = {"price_pence": 1, "tax_pence": 0, "deposit_pence": 0, "last_on": MONDAY}
    quote.revisions.update(state="sent", sent_at=at(1), frozen=frozen, **sums)
    owner, path = sign_in(wren, wall, at(365 * 14)), reverse("shop:records-hand", args=[perry.pk])
    page = text_of(owner.get(path))
    things = [one for one in found_of(perry) if one.place.key == "things"]
    assert [(one.how.value, [text.before for text in one.texts]) for one in things] == [
        ("sure", ["Perry shows how"]),
        ("nearly", ["Perry’s oak", "Shave as Perry"]),
    ]
    stays = {(text, where): one.label for one in what_stays(_named(perry)) for text, where, _ in one.texts}
    assert {text for text, _ in stays} >= {"Perry stands", "“Perry’s oak” at £2", "perry elm", "Perry House"}
    assert ("Perry’s band", f"order {order.number}") in stays
    assert not {text for text, _ in stays} & {"with Perry", "hub-perry"}
    assert f"“Perry’s oak” at £2 Quotation {quote.number}, revision 1" in page
    assert "that is a record, and stays as it was" in page
    everything = [tick for one in found_of(perry) for tick in one.ticks]
    replace_by_number(perry, texts=everything, at=at(365 * 14), shop=Shop.objects.get(), by=wren.user)
    number = f"Hand {perry.pk}"
    assert Material.objects.get(timber="perry elm").name == f"{number}’s oak"
    operation.refresh_from_db()
    assert (operation.name, operation.notes, operation.key) == (
        f"Shave as {number}",
        f"{number} shows how",
        "rough-spoke",
    )
    assert quote.revisions.get().frozen == frozen
    assert f"with {number}" in str(PaySheet.objects.get(hand=wren.user).told["lines"])
    # Who is called as a timber is may never be meant.
    ash = add_hand(name="Ash", **A_HAND)  # type: ignore[arg-type]
    MaterialFactory.create(timber="ash")
    Order.objects.update(note="Ash came in wet")
    assert {one.how.value for one in found_of(ash)} == {"nearly"}


def _named(hand: Hand) -> Named:
    return named_leaver(hand, Shop.objects.get(), today=date(2040, 1, 1))


def test_a_customer_is_looked_for_in_wheels_and_in_how_others_are_reached(order: Order) -> None:
    Customer.objects.create(name="Lettice Orme", contact="ask at Corbel Hall stables")
    Customer.objects.create(name="Corbel Hall stables, the groom")
    order.lots.update(name="Corbel Hall stables hind pair")
    Order.objects.update(note="for Corbel Hall stables, the groom")
    (found,) = where_people_wrote_it(named_customer(order.customer, Shop.objects.get(), today=date(2040, 1, 1)))
    number = f"Customer {order.customer_id}"
    assert {text.after for text in found.texts} == {f"{number} hind pair", f"ask at {number}"}
