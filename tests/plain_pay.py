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
6. If all that is less than the minimum wage for the hours of 2 and 3, it is made up.
7. It is rounded once, half up.
"""

import csv
import sys
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from fractions import Fraction
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


def pieces(files: Files, terms: Sequence[Row]) -> dict[Key, tuple[Fraction, Fraction]]:
    """Pence earned by pieces, and hours at them, by hand and day."""
    heights = {row["id"]: int(row["height_nm"]) for row in files.rows("jobs_lot")}
    lots = {row["id"]: row["lot_id"] for row in files.rows("jobs_task")}
    stretches = {row["id"]: row for row in files.rows("timing_stretch")}
    by_token = {row["token"]: row["id"] for row in stretches.values()}
    passed = {row["stretch_id"] for row in files.rows("shop_passed")}
    rates = files.rows("shop_rate")
    found: dict[Key, tuple[Fraction, Fraction]] = {}
    for tally in files.rows("timing_tally"):
        stretch = stretches[tally["stretch_id"]]
        hand, day = stretch["hand_id"], stretch["done_on"]
        paid_so = standing((row for row in terms if row["hand_id"] == hand), day)
        if not tally["task_id"] or not paid_so or paid_so["by_pieces"] != "1":
            continue
        rate = piece_rate(rates, stretch["operation_id"], heights[lots[tally["task_id"]]], day)
        if rate is None:
            continue
        made, spoiled, lost = (int(tally[name]) for name in ("made", "spoiled", "lost"))
        if tally["reason"] == "timber":
            more = max(abs(spoiled) - abs(lost), 0)
            made += more if spoiled > 0 else -more
        original = by_token.get(stretch["cancels_token"], stretch["id"])
        pence, hours = found.get((hand, day), (Fraction(0), Fraction(0)))
        earned = made * rate if original in passed else Fraction(0)
        found[hand, day] = (pence + earned, hours + Fraction(int(tally["seconds"] or 0), 3600))
    return found


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

    def rate(self, kind: str, hand: str, day: str) -> Fraction:
        return amount((row for row in self.rates if row["kind"] == kind and row["hand_id"] == hand), day)

    def pay(self, hand: str, run: Row) -> int:
        """Pence of one hand for one run's own period."""
        first, last = run["first_on"], run["last_on"]
        days = sorted({day for who, day in (*self.there, *self.pieces) if who == hand and first <= day <= last})
        by_pieces = by_hours = hours = guaranteed = Fraction(0)
        for day in days:
            pence, at_pieces = self.pieces.get((hand, day), (Fraction(0), Fraction(0)))
            other = max(self.there.get((hand, day), Fraction(0)) - at_pieces, Fraction(0))
            by_pieces += pence
            by_hours += other * self.rate("wage", hand, day)
            guaranteed += at_pieces * self.rate("guarantee", hand, day)
            hours += at_pieces + other
        whole = max(by_pieces, guaranteed) + by_hours + self.bonus(hand, run)
        return half_up(max(whole, hours * self.minimum(hand, first)) if days else whole)

    def bonus(self, hand: str, run: Row) -> int:
        gone = {row["cancels_id"] for row in self.bonuses}
        return sum(
            int(row["amount_pence"])
            for row in self.bonuses
            if row["hand_id"] == hand and run["first_on"] <= row["on"] <= run["last_on"]
            if not row["cancels_id"] and row["id"] not in gone
            if datetime.fromisoformat(row["recorded_at"]) <= datetime.fromisoformat(run["closed_at"])
        )

    def minimum(self, hand: str, first: str) -> int:
        row = standing((row for row in self.terms if row["hand_id"] == hand), first)
        newest = max(day for day in MINIMUM if day <= first)
        return MINIMUM[newest][row["band"] if row else "adult"]


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
