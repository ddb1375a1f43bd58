"""What each hand is paid for a closed period, summed by hand from the exported files, with none of the shop's own code.

    python tests/plain_pay.py FOLDER

FOLDER is what `manage.py export FOLDER` wrote. Prints `run,hand,pence`, a line for each hand of each run (by their
ids). The rules, for a shop under those of Great Britain, whose days have one coming and one going each:

1. A hand's day lasts from coming to going, less breaks of half an hour and more. What was taken back is left out. Where
   nothing was told of coming and going, all stretches but breaks are added up, those that a hand helped in too.
2. For one who is paid by pieces that day, each unit made at an operation with a piece rate earns that rate, if its
   stretch was passed: that of the greatest height which the lot's wheels reach, else the plain one. A piece spoiled by
   the timber, less units lost with it, earns as much. The hours at such work are taken off the day.
3. What is left of the day, if anything, earns the wage of that day.
4. If the pieces of the period earn less than their hours at the guarantee, they earn that.
5. Bonuses that stand, and were written down by the closing, are added.
6. If all that is less than the minimum wage for the hours of 2 and 3, it is made up: that of the band which stands on
   the period's first day, or, of one who had neither wage nor work in it before, the first that stands. The hours at
   rated output work are not those really worked but pieces ÷ mean hourly output × 1.2, passed or not: where on the
   first day a mean stands, the hand keeps its own hours, its newest notice from before that day tells this mean and the
   rates of that day, and the pieces earn the rate that it tells. Of these, what was written down by the closing counts.
   Of such pieces without their time, the hours which the mean gives come off what 3 leaves of their day, as far as it
   goes.
7. It is rounded once, half up; where it is made up, or would be less than the minimum by that, up.
"""

import csv
import json
import sys
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from fractions import Fraction
from math import ceil
from pathlib import Path

Row = dict[str, str]
Key = tuple[str, str]

# Pence an hour from a day on: GOV.UK, "National Minimum Wage and National Living Wage rates".
MINIMUM = {
    "2024-04-01": {"adult": 1144, "apprentice": 640},
    "2025-04-01": {"adult": 1221, "apprentice": 755},
    "2026-04-01": {"adult": 1271, "apprentice": 800},
}


class Files:
    """The exported files, each read whole, in order of the ids."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def rows(self, name: str) -> list[Row]:
        with (self.folder / f"{name}.csv").open(newline="", encoding="utf-8-sig") as file:
            return sorted(csv.DictReader(file), key=lambda row: int(row["id"]))


def standing(rows: Iterable[Row], day: str) -> Row | None:
    """Of rows in order of their ids, the one that stands on a day written year-month-day."""
    found = None
    for row in rows:
        if row["from_on"] <= day and (found is None or row["from_on"] >= found["from_on"]):
            found = row
    return found


def amount(rows: Iterable[Row], day: str) -> Fraction:
    row = standing(rows, day)
    return Fraction(int(row["amount_millipence"]), 1000) if row else Fraction(0)


def hours_there(files: Files) -> dict[Key, Fraction]:
    """Hours by hand and day."""
    rows = files.rows("shop_attendance")
    gone = {row["cancels_token"] for row in rows}
    told: dict[Key, dict[str, datetime]] = defaultdict(dict)
    for row in rows:
        if not row["cancels_token"] and row["token"] not in gone:
            told[row["hand_id"], row["done_on"]][row["kind"]] = datetime.fromisoformat(row["done_at"])
    found: dict[Key, Fraction] = {}
    for key, at in told.items():
        seconds = int((at["went"] - at["came"]).total_seconds()) if "went" in at and "came" in at else 0
        if seconds and "break" in at:
            rest = int((at["back"] - at["break"]).total_seconds())
            seconds -= rest if rest >= 1800 else 0
        found[key] = Fraction(seconds, 3600)
    clocked: dict[Key, Fraction] = defaultdict(Fraction)
    helpers: dict[str, list[str]] = defaultdict(list)
    for row in files.rows("timing_helper"):
        helpers[row["stretch_id"]].append(row["hand_id"])
    for row in files.rows("timing_stretch"):
        if row["kind"] != "break" and row["source"] != "old_book":
            for hand in (row["hand_id"], *helpers[row["id"]]):
                clocked[hand, row["done_on"]] += Fraction(int(row["seconds"] or 0), 3600)
    return {key: hours for key, hours in clocked.items() if hours > 0} | found


def piece_rate(rates: Sequence[Row], operation: str, height: int, day: str) -> Fraction | None:
    """Pence a unit, None where the work is paid by the hour."""
    own = [
        row for row in rates if row["kind"] == "piece" and row["operation_id"] == operation and row["from_on"] <= day
    ]
    heights = {int(row["from_height_nm"] or 0) for row in own}
    reached = max((one for one in heights if one <= height), default=None)
    return None if reached is None else amount((row for row in own if int(row["from_height_nm"] or 0) == reached), day)


# By hand, day, operation and height of the wheels: pence; units whether or not they are passed; hours; units untimed.
Pieces = dict[tuple[str, str, str, int], tuple[Fraction, int, Fraction, int]]


def pieces(files: Files, terms: Sequence[Row]) -> Pieces:
    heights = {row["id"]: int(row["height_nm"]) for row in files.rows("jobs_lot")}
    lots = {row["id"]: row["lot_id"] for row in files.rows("jobs_task")}
    stretches = {row["id"]: row for row in files.rows("timing_stretch")}
    by_token = {row["token"]: row["id"] for row in stretches.values()}
    passed = {row["stretch_id"] for row in files.rows("shop_passed")}
    rates = files.rows("shop_rate")
    found: Pieces = {}
    for tally in files.rows("timing_tally"):
        stretch = stretches[tally["stretch_id"]]
        hand, day = stretch["hand_id"], stretch["done_on"]
        paid_so = standing((row for row in terms if row["hand_id"] == hand), day)
        if not tally["task_id"] or not paid_so or paid_so["by_pieces"] != "1":
            continue
        height = heights[lots[tally["task_id"]]]
        rate = piece_rate(rates, stretch["operation_id"], height, day)
        if rate is None:
            continue
        made, spoiled, lost = (int(tally[name]) for name in ("made", "spoiled", "lost"))
        if tally["reason"] == "timber":
            more = max(abs(spoiled) - abs(lost), 0)
            made += more if spoiled > 0 else -more
        original = by_token.get(stretch["cancels_token"], stretch["id"])
        key = hand, day, stretch["operation_id"], height
        pence, units, hours, untimed = found.get(key, (Fraction(0), 0, Fraction(0), 0))
        paid = made if original in passed else 0
        hours += Fraction(int(tally["seconds"] or 0), 3600)
        found[key] = pence + paid * rate, units + made, hours, untimed + (0 if tally["seconds"] else made)
    return found


class Output:
    """What was known of rated output work at a moment."""

    def __init__(self, files: Files, closed_at: str) -> None:
        def known(name: str) -> list[Row]:
            closed = datetime.fromisoformat(closed_at)
            return [row for row in files.rows(name) if datetime.fromisoformat(row["recorded_at"]) <= closed]

        self.means = known("shop_outputmean")
        self.tried = files.rows("shop_outputtried")
        self.notices = known("shop_outputnotice")
        self.rates = [row for row in known("shop_rate") if row["kind"] == "piece"]

    def hourly(self, mean: Row) -> Fraction | None:
        """Pieces an hour: the mean of what each hand who was tried made in one."""
        own = [
            Fraction(int(one["pieces"]) * 3600, int(one["seconds"]))
            for one in self.tried
            if one["mean_id"] == mean["id"]
        ]
        return sum(own, Fraction(0)) / len(own) if own else None

    def told(self, hand: str, operation: str, first: str) -> Row | None:
        """The newest notice of a day before that a hand was given of an operation."""
        of_it = [row["id"] for row in self.means if row["operation_id"] == operation]
        given = [row for row in self.notices if row["hand_id"] == hand and row["mean_id"] in of_it]
        before = [row for row in given if row["given_on"] < first]
        return max(before, key=lambda row: (row["given_on"], int(row["id"])), default=None)

    def rated(self, hand: str, operation: str, first: str) -> Fraction | None:
        """The mean by which a hand's pieces are rated in the period from a day on; None where they are not."""
        mean = standing((row for row in self.means if row["operation_id"] == operation), first)
        told = self.told(hand, operation, first)
        if mean is None or told is None:
            return None
        named = next(row for row in self.means if row["id"] == told["mean_id"])
        same = self.hourly(named) == self.hourly(mean) and json.loads(told["rates"]) == self.paid(operation, first)
        return self.hourly(mean) if same else None

    def as_told(self, hand: str, operation: str, height: int, first: str, day: str) -> bool:
        """Whether a piece of a day earns what the notice tells of wheels so high."""
        told = self.told(hand, operation, first)
        if told is None:
            return True
        by_notice, now = (
            [pence for least, pence in rates if (least or 0) <= height]
            for rates in (json.loads(told["rates"]), self.paid(operation, day))
        )
        return by_notice[-1:] == now[-1:]

    def paid(self, operation: str, day: str) -> list[list[int | None]]:
        """What is paid a unit: the plain rate, and those from a height on, in their order."""
        own = [row for row in self.rates if row["operation_id"] == operation]
        heights = sorted({row["from_height_nm"] for row in own}, key=lambda height: int(height or 0))
        now = [(height, amount((row for row in own if row["from_height_nm"] == height), day)) for height in heights]
        return [[int(height) if height else None, int(pence * 1000)] for height, pence in now if pence]


def half_up(pence: Fraction) -> int:
    """Whole pence; a half goes away from nothing."""
    whole = int(abs(pence) + Fraction(1, 2))
    return whole if pence >= 0 else -whole


class Books:
    """All that a period's pay is summed from."""

    def __init__(self, files: Files) -> None:
        self.there = hours_there(files)
        self.terms = files.rows("shop_payterms")
        self.pieces = pieces(files, self.terms)
        self.rates = files.rows("shop_rate")
        self.bonuses = files.rows("shop_bonus")
        self.output = {run["id"]: Output(files, run["closed_at"]) for run in files.rows("shop_payrun")}

    def rate(self, kind: str, hand: str, day: str) -> Fraction:
        return amount((row for row in self.rates if row["kind"] == kind and row["hand_id"] == hand), day)

    def pay(self, hand: str, run: Row) -> int:
        """Pence of one hand for one run's own period."""
        first, last = run["first_on"], run["last_on"]
        own = {
            (day, work, height): told
            for (who, day, work, height), told in self.pieces.items()
            if who == hand and first <= day <= last
        }
        days = sorted(
            {day for who, day in self.there if who == hand and first <= day <= last} | {day for day, *_ in own}
        )
        by_pieces = by_hours = hours = guaranteed = Fraction(0)
        left = {}
        for day in days:
            of_day = [told for (on, *_), told in own.items() if on == day]
            pence, at_pieces = sum(told[0] for told in of_day), sum((told[2] for told in of_day), Fraction(0))
            other = max(self.there.get((hand, day), Fraction(0)) - at_pieces, Fraction(0))
            by_pieces, left[day] = by_pieces + pence, other
            by_hours += other * self.rate("wage", hand, day)
            guaranteed += at_pieces * self.rate("guarantee", hand, day)
            hours += at_pieces + other
        whole = max(by_pieces, guaranteed) + by_hours + self.bonus(hand, run)
        terms, output = self.terms_of(hand, run, min(days, default=last)), self.output[run["id"]]
        if terms and terms["hours_are_controlled"] == "0":
            for (day, work, height), (_, units, worked, untimed) in own.items():
                hourly = output.rated(hand, work, first)
                if hourly is not None and output.as_told(hand, work, height, first, day):
                    taken = min(left[day], max(untimed, 0) / hourly)
                    left[day] -= taken
                    hours += units / hourly * Fraction(6, 5) - worked - taken
        newest = max(day for day in MINIMUM if day <= first)
        minimum = MINIMUM[newest][terms["band"] if terms else "adult"]
        return half_up(whole) if not days or half_up(whole) >= hours * minimum else ceil(hours * minimum)

    def terms_of(self, hand: str, run: Row, there_from: str) -> Row | None:
        """The terms of the period's first day; of a hand that began with the first within it, those."""
        own = [row for row in self.terms if row["hand_id"] == hand]
        begun = min((row["from_on"] for row in own), default="")
        wages = [row["from_on"] for row in self.rates if row["kind"] == "wage" and row["hand_id"] == hand]
        is_new = run["first_on"] < begun <= run["last_on"] and min([there_from, *wages]) >= begun
        return standing(own, begun if is_new else run["first_on"])

    def bonus(self, hand: str, run: Row) -> int:
        gone = {row["cancels_id"] for row in self.bonuses}
        return sum(
            int(row["amount_pence"])
            for row in self.bonuses
            if row["hand_id"] == hand and run["first_on"] <= row["on"] <= run["last_on"]
            if not row["cancels_id"] and row["id"] not in gone
            if datetime.fromisoformat(row["recorded_at"]) <= datetime.fromisoformat(run["closed_at"])
        )


def paid(folder: Path) -> dict[Key, int]:
    """Pence by the ids of run and hand, for each sheet that was closed."""
    files = Files(folder)
    books = Books(files)
    runs = {row["id"]: row for row in files.rows("shop_payrun")}
    sheets = files.rows("shop_paysheet")
    return {(row["run_id"], row["hand_id"]): books.pay(row["hand_id"], runs[row["run_id"]]) for row in sheets}


if __name__ == "__main__":
    print("run,hand,pence")
    for (run_id, hand_id), pence in paid(Path(sys.argv[1])).items():
        print(f"{run_id},{hand_id},{pence}")
