"""A standard time on an operation's page: the sums that it shows, and what it says of a question it can't take."""

import re

import pytest
from django.test import Client
from django.utils.http import urlencode

from jobs.models import Order
from shop.forms.times import StandardTimeForm
from shop.times_standard import Standard
from shop.times_study import FEW_RUNS
from tests.factories import NOW, HandFactory, fact, task
from tests.shop.test_order_iron import words_of
from timing.record import record
from timing.usual import work_out

SHAVE = "/times/shave-spoke/"


def ask(client: Client, *, status: int = 200, **question: object) -> str:
    answered = client.get(f"{SHAVE}?{urlencode(question)}")
    assert answered.status_code == status
    return words_of(answered.content.decode())


def test_runs_to_come_and_a_standard_time_are_told_by_what_was_timed(owner: Client, order: Order) -> None:
    shaving = task(order, "shave-spoke")
    hands = HandFactory.create_batch(FEW_RUNS)
    for place, hand in enumerate(hands[:-1]):
        record(fact(shaving, hand, made=4, minutes=32 + place), now=NOW)
    work_out(at=NOW)
    assert "nothing yet: that wants 10 runs, and 9 are drawn here" in ask(owner)
    record(fact(shaving, hands[-1], made=4, minutes=36), now=NOW)
    page = ask(owner)
    told = re.search(
        r"nine runs in ten like that come to less than ([\d.]+) minutes a spoke, and nine in ten between ([\d.]+) and "
        r"([\d.]+) By the 10 runs drawn here",
        page,
    )
    assert told
    under, low, high = map(float, told.groups())
    usual = float(re.search(r"Usual ([\d.]+) minutes", page)[1])  # type: ignore[index]
    assert low < usual < under < high < 2 * usual
    assert "a spoke = " not in page

    page = ask(owner, rating="90", allowance="15", of="day", by="hand")
    seen, basic, standard = map(
        float,
        re.search(  # type: ignore[union-attr]
            r"Basic ([\d.]+) × 90 % = ([\d.]+) minutes .* Standard ([\d.]+) minutes a spoke = \2 ÷ \(1 − 15 %\)", page
        ).groups(),
    )
    assert round(seen, 1) == usual
    assert basic == pytest.approx(0.9 * seen, abs=0.006)
    assert standard == pytest.approx(basic / 0.85, abs=0.012)
    assert "15 % of the day is 17.6 % of the job" in page
    assert "1,275 looks at chance moments would tell that share to within 2 % of the day" in page
    assert '<input type="hidden" name="by" value="hand">' in owner.get(f"{SHAVE}?by=hand").content.decode()

    page = ask(owner, rating="", allowance="15", of="job", looks="", elements="fetch 90 every 2: 0.5 0.7\n80 %: 6 7, 8")
    # 0.6 / 2 × 0.9 + 7 × 0.8 = 5.87, and 15 % on it.
    assert "fetch 0.600 2 spokes 90 % 0.270 Element 2 7.000 spoke 80 % 5.600" in page
    assert "Standard 6.751 minutes a spoke = 5.870 × (1 + 15 %)" in page

    page = ask(owner, status=422, rating="0", allowance="100", of="day")
    assert "Rating of the pace, %: A rating is a pace, and so above 0" in page
    assert "Allowance, %: An allowance of the whole day leaves no time to work in." in page
    assert "a spoke = " not in page


def test_what_looks_leave_open_goes_into_the_standard_time() -> None:
    found = Standard(10.0, 1.0, 0.20, "day", looks=400, elements=[])
    # 2 × √(0.2 × 0.8 / 400) = 0.04: of the day 16 to 24 %.
    assert found.error_shown == "4.0"
    assert found.by_looks == pytest.approx((10 / 0.84, 10 / 0.76))
    assert found.minutes == pytest.approx(12.5)
    # A quarter of the job is a fifth of the day: the same time, and as many looks.
    of_job = Standard(10.0, 1.0, 0.25, "job", looks=None, elements=[])
    assert of_job.minutes == pytest.approx(12.5)
    assert of_job.allowance_said == "25 % of the job is 20 % of the day"
    assert of_job.looks_wanted == found.looks_wanted == 1600
    # Nine tenths after two looks: that may be the whole day.
    assert Standard(10.0, 1.0, 0.9, "day", looks=2, elements=[]).by_looks is None
    assert Standard(None, 1.0, 0.1, "day", looks=2, elements=[]).minutes is None


@pytest.mark.parametrize(
    ("elements", "said"),
    [
        ("fetch: 0.4", "Line 1: write its rating, a colon and its readings, like “90 %: 0.44 0.50 0.43”."),
        ("90: 1\n\n90 0.4", "Line 3: write its rating"),
        ("0 %: 1", "Line 1: a rating is above 0 and up to 200 %."),
        ("90 every 0: 1", "Line 1: it is done at every piece, or every 2nd, up to every 1000th."),
        ("90:", "Line 1: write from 1 to 100 readings after the colon."),
        ("90: 0.4 1,5", "Line 1: “1,5” is not minutes: write them like 0.45."),
        ("90: 0.4 0", "Line 1: a reading is above 0 and up to 6,000 minutes."),
        ("90: 1\n" * 31, "Write at most 30 elements: there are 31."),
    ],
)
def test_elements_that_cannot_be_read_are_told_by_their_line(elements: str, said: str) -> None:
    form = StandardTimeForm({"of": "job", "elements": elements})
    assert [sentence[: len(said)] for sentence in form.errors["elements"]] == [said]


def test_elements_have_names_ratings_of_their_own_and_how_often() -> None:
    form = StandardTimeForm({"of": "day", "elements": "fetch 2 spokes: by hand 90 % Every 4: .4; 0.6, 0.5\n\n 85.5:1"})
    assert form.is_valid(), form.errors
    first, second = form.cleaned_data["elements"]
    assert (first.name, first.rating, list(first.readings), first.every) == (
        "fetch 2 spokes: by hand",
        0.9,
        [0.4, 0.6, 0.5],
        4,
    )
    assert (second.name, second.rating, second.every) == ("Element 3", 0.855, 1)
    assert (form.cleaned_data["rating"], form.cleaned_data["allowance"]) == (None, 0)
    said = StandardTimeForm({"of": "job", "rating": ""}).errors["rating"]
    assert said == ["Write at what pace the work goes: 100 is the pace of a standard time."]
