"""The pages of usual times: what stands on them, who sees whose, and what is said and written there."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from django.test import Client

from jobs.models import Operation, Order
from shop.models import AuditLine, Hand, Shop
from tests.factories import IN, NOW, fact, task
from tests.shop.test_order_iron import words_of
from timing.facts import Yield
from timing.models import Stretch, Tally, Verdict
from timing.record import record
from timing.usual import the_usual, work_out

SHAVE = "/times/shave-spoke/"


@pytest.fixture
def shaved(order: Order, osk: Hand, wren: Hand) -> Order:
    """Twelve spokes shaved by Osk in 8 to 9 minutes, two by Wren in 14; a clock that ran on for three hours."""
    shaving = task(order, "shave-spoke")
    told = [(osk, 8 + n % 3 / 2) for n in range(12)] + [(wren, 14), (wren, 14), (osk, 180)]
    for number, (hand, minutes) in enumerate(told):
        at = NOW - timedelta(days=20 - number)
        record(fact(shaving, hand, done_at=at, started_at=at - timedelta(minutes=minutes)), now=NOW)
    work_out(at=NOW)
    return order


def look(client: Client, path: str, *, status: int = 200) -> str:
    answered = client.get(path)
    assert answered.status_code == status
    return words_of(answered.content.decode())


def test_the_list_says_what_each_rests_on_and_what_is_newer(owner: Client, shaved: Order, osk: Hand) -> None:
    page = look(owner, "/times/")
    assert "Worked out on 2 March 2026 at 10.00 from 15 timings." in page
    assert "Work them out now" not in page
    row = page[page.index("Shave spoke ") :]
    # Usual, eight in ten, book, timings; then how it turns with size and run.
    found = re.match(
        r"Shave spoke ([\d.]+) ([\d.]+) to ([\d.]+) 11 15 since Feb 2026 \d+ % longer [\d.]+ "
        r"([\d.]+) in 12, ([\d.]+) in 48",
        row,
    )
    assert found
    each, low, high, one, four = map(float, found.groups())
    assert low < each < high
    assert 8 < each < 11
    # Each run has the same pace in it, so that its length changes little.
    assert one == pytest.approx(four, rel=0.15)
    assert re.search(r"Chop mortise [\d.]+ [\d.]+ to [\d.]+ 9 book time only ", page)
    Operation.objects.filter(key="chop-mortise").update(key="chop-by-machine")
    page = look(owner, "/times/")
    assert "there is more by now" in page
    assert re.search(r"Chop mortise 9 added since the times were worked out", page)
    assert "This operation was added since the times were worked out." in look(owner, "/times/chop-by-machine/")
    assert owner.post("/times/all/work-out/").status_code == 302
    assert "Worked out from 15 timings." in look(owner, "/times/")
    assert the_usual().knows("chop-by-machine")
    made_at = the_usual().made_at
    owner.post("/times/all/work-out/")
    assert the_usual().made_at == made_at


def test_without_timings_the_list_goes_by_book_times_and_says_so(owner: Client) -> None:
    page = look(owner, "/times/")
    assert "Nothing is worked out yet: these are book times alone" in page
    assert re.search(r"Shave spoke [\d.]+ [\d.]+ to [\d.]+ 11 book time only ", page)
    assert "Work them out now" in page
    assert "No time of this has been told yet." in look(owner, SHAVE)
    Operation.objects.update(retired_at=NOW)
    assert "No operations are in use" in look(owner, "/times/")


def test_an_operation_shows_each_timing_what_is_usual_and_what_strays(owner: Client, shaved: Order) -> None:
    html = owner.get(SHAVE).content.decode()
    assert len(re.findall(r'<circle cx="[\d.]+%"', html)) == 14
    assert len(re.findall(r'<circle class="stray" cx="[\d.]+%"', html)) == 1
    page = words_of(html)
    assert "14 timings, 10 February 2026 to 24 February 2026." in page
    assert "15 timings, 2 hands, 1 order , since 10 February 2026" in page.replace("1 order,", "1 order ,")
    usual = float(re.search(r"Usual ([\d.]+) minutes", page)[1])  # type: ignore[index]
    # A book time is of the run of a pair, as what is usual is.
    assert f"On the 24 of a pair the book time is {24 * (11 - usual):.1f} minutes too long." in page
    assert re.search(r"24 Feb 2026 , Osk .* Strays, and hardly counts. 180 for 1 spoke [\d.]+ Count it", page)
    # The three hours and Wren's 14 aside: mean 8.5 of twelve, told with what was said of them.
    assert "On the 14 timings drawn as dots" in page
    by_hand = owner.get(f"{SHAVE}?by=hand").content.decode()
    assert ">Osk</text>" in by_hand
    assert ">Wren</text>" in by_hand


def test_a_word_on_a_timing_shows_at_once_and_moves_the_times_later(owner: Client, shaved: Order, wren: Hand) -> None:
    long = Tally.objects.get(seconds=180 * 60)
    before = the_usual()
    said = owner.post(f"/times/timing/{long.pk}/", {"counts": "1", "back": "by=hand&by\n=x&next=//there"})
    assert said["Location"] == f"{SHAVE}?by=hand#strays"
    page = look(owner, SHAVE)
    assert "Counted by Wren," in page
    assert "Leave it out" in page
    assert "Half of them lie" in page
    assert "the longest 180" in page
    assert the_usual() is before
    owner.post("/times/all/work-out/")
    assert the_usual().strays == ()
    # Still there to be taken back.
    assert "Leave it out" in look(owner, SHAVE)
    owner.post(f"/times/timing/{long.pk}/", {"counts": "0"})
    assert (Verdict.objects.get().counts, Verdict.objects.get().said_by) == (False, wren.user)
    assert "Left out by Wren," in look(owner, SHAVE)


def test_the_usual_is_written_as_book_time_unless_another_wrote_meanwhile(owner: Client, shaved: Order) -> None:
    page = owner.get(SHAVE).content.decode()
    sent = dict(re.findall(r'<input type="hidden" name="(minutes|seen_booktimeform)" value="([^"]*)"', page))
    sent = {name: value.replace("&quot;", '"') for name, value in sent.items()}
    assert f"Write {sent['minutes']} as book time" in page
    Operation.objects.filter(key="shave-spoke").update(book_seconds=720)
    overtaken = owner.post(f"{SHAVE}book-time/", sent)
    assert overtaken.status_code == 409
    assert "Changed to “12” by another while you had this open" in words_of(overtaken.content.decode())
    Operation.objects.filter(key="shave-spoke").update(book_seconds=660)
    assert owner.post(f"{SHAVE}book-time/", sent).status_code == 302
    assert Operation.objects.get(key="shave-spoke").book_seconds == round(float(sent["minutes"]) * 60)
    line = AuditLine.objects.newest_first()[0]
    assert (line.before, line.after) == ("book minutes: 11", f"book minutes: {float(sent['minutes']):g}")
    assert "as book time" not in owner.get(SHAVE).content.decode()
    assert owner.post(f"{SHAVE}book-time/", {"minutes": "much"}).status_code == 422


def test_a_hand_sees_the_times_of_others_only_where_the_owner_says_so(
    client: Client, shaved: Order, osk: Hand, tamsin: Hand
) -> None:
    client.force_login(osk.user)
    page = look(client, f"{SHAVE}?by=hand")
    assert "Your own timings alone: 12 timings" in page
    assert "Yours Hand Usual Eight in ten Drawn here Osk" in page
    assert "Wren" not in page
    assert "Count it" not in page
    token = Tally.objects.get(seconds=180 * 60).stretch.token
    assert f"/bench/mine/{token}/" in client.get(SHAVE).content.decode()
    Shop.objects.update(hands_see_times=True)
    page = look(client, f"{SHAVE}?by=hand")
    assert re.search(r"By hand Hand Usual Eight in ten Drawn here Osk .* Wren ", page)
    # The desk sees all whatever is set, and says what counts; book times are the owner's.
    Shop.objects.update(hands_see_times=False)
    client.force_login(tamsin.user)
    page = look(client, SHAVE)
    assert "14 timings, 10 February" in page
    assert "Count it" in page
    assert "as book time" not in page


def test_a_stray_of_an_old_book_stays_as_it_came(owner: Client, shaved: Order, osk: Hand) -> None:
    shaving = task(shaved, "shave-spoke")
    old = (Yield(made=12, old_order="77", old_wheel="near", old_diameter_nm=42 * IN),)
    told = fact(shaving, osk, yields=old, minutes=None, seconds=30 * 3600, confirmed=True)
    stretch = record(replace(told, source=Stretch.Source.OLD_BOOK), now=NOW).stretch
    assert stretch is not None
    owner.post(f"/times/timing/{stretch.tallies.get().pk}/", {"counts": "0"})
    html = owner.get(SHAVE).content.decode()
    page = words_of(html)
    assert "near, order 77 of an old book. Left out by Wren," in page
    assert "Of an old book, which stays as it came" in page
    assert f"/day-book/{stretch.pk}/put-right/" not in html


def test_the_moment_is_told_by_the_shops_clock(owner: Client, shaved: Order) -> None:
    work_out(at=NOW.replace(month=7))
    assert "Worked out on 2 July 2026 at 11.00 from 15 timings." in look(owner, "/times/")


def test_a_verdict_says_which_and_a_conflict_asks_on_at_the_pages_own_address(owner: Client, shaved: Order) -> None:
    long = Tally.objects.get(seconds=180 * 60)
    assert owner.post(f"/times/timing/{long.pk}/", {"back": ""}).status_code == 422
    assert not Verdict.objects.exists()
    wrong = owner.post(f"{SHAVE}book-time/", {"minutes": "none"})
    assert wrong.status_code == 422
    assert f'href="{SHAVE}?by=hand"' in wrong.content.decode()
    page = look(owner, SHAVE)
    assert re.search("Count it : [^:]*Leave it out : ", page)
