"""What each wheel has cost, summed by hand from the exported files, with none of the shop's own code.

    python tests/plain_sum.py FOLDER [DAY | FIRST LAST]

FOLDER is what `manage.py export FOLDER` wrote. Prints `order,wheel,pence`, a line a wheel (by its id), and the whole
order as the line of wheel `set`. The rules:

1. The cost of an hour of a hand on a day is the row of `shop_rate.csv` of kind `cost` with the latest `from_on` that
   is not after the day; of several from the same day the one with the highest id. The overhead likewise. Where there
   is none, nothing.
2. A tally of s seconds on its stretch's `done_on` costs s / 3600 hours of the hand and of every helper, and as many
   hours of overhead. An empty s is nothing. Undoing stretches are negative: every row is added up, none left out.
   Where `shop_payterms.csv` says of the hand, by the latest `from_on` not after the day, that it is paid by pieces, and
   the stretch's operation has a piece rate for the height of the task's lot (`shop_rate.csv`, kind `piece`: of the rows
   from a height on that it reaches those from the greatest, else those without; nothing ends it), the hand's own hours
   cost nothing and its units do: units x rate, times its cost rate / its wage where both stand. Units are those made,
   and those spoiled less those lost with them, where a piece spoiled so is paid: by `settings` of the run of
   `shop_payrun.csv` that the day is in, else if the timber did it. A stretch whose token, or that of what it undoes, is
   that of a row of `shop_outwork.csv` that nothing takes back, has no units.
3. Pieces that were moved take cost along. Row by row of `timing_move.csv`, in order of id: of what the task has cost
   so far the share units / (its units so far), at most all, nothing if it has no units. The units of a row are its
   pieces times the `units` of the task in `jobs_task.csv`. A row that undoes another takes back what that one carried.
4. A task of a wheel is that wheel's cost. A task of loose pieces is shared equally by the wheels of its lot that were
   not dropped, or by all if every one was.
5. Outwork and materials are a wheel's, or shared by a lot as loose pieces are, or by the wheels of the order that
   were not dropped, or by all. An issue that names a material was taken from the rack, and costs what came in first:
   what `shop_purchase.csv` bought on one day is one lot at one price, and so is what `shop_stockcount.csv` finds more
   than there should be, at the price of the newest lot bought till then, else at the price of `shop_rate.csv` (kind
   `material`). Issues take from the lots in the order of their days, all those of a day at one price; rows that bring
   back or take back come off their issue, on its day. A count that finds less takes the rest of what was there, after
   the day's issues. What should be there is summed in the order of days, and on one day of `recorded_at`, where a row
   that takes another back has that one's place; what was recorded on a later day (`written_on`, else by the zone of
   `shop_shop.csv`) comes first. A count has its place too, unless it is `at_day_end`: then it comes last. A count that
   was taken back is none, nor is the row that did it. The counts of a day together find or miss in sum. What no lot
   covers has the price of the newest lot, else that of `shop_rate.csv`. What an order without wheels was charged is in
   its `set` alone.
6. With DAY (year-month-day) only what the orders in the shop at its end had cost by then: those with a day of
   `created_at`, in the zone of `shop_shop.csv`, that is not after it, and an `ended_on` that is empty or after it; by
   tallies, moves, outwork, materials, purchases and counts of days up to it, as if nothing had come after. A line an
   order, `order,pence`, and one for `all`.
7. With FIRST and LAST what all orders together had cost by the end of LAST, less what they had by the end of the day
   before FIRST, each by the facts up to then: lines `work`, `outwork`, `materials` and `all`.
8. Nothing is rounded before the end: then each wheel once, half up, and the order once from its unrounded wheels.
"""

import csv
import json
import sys
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from zoneinfo import ZoneInfo

Row = dict[str, str]
Rows = list[Row]


class Files:
    """The exported files, each read whole."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.zone = ZoneInfo(self.rows("shop_shop")[0]["time_zone"])

    def rows(self, name: str) -> list[Row]:
        with (self.folder / f"{name}.csv").open(newline="", encoding="utf-8-sig") as file:
            return list(csv.DictReader(file))


def rate_on(rows: Sequence[Row], day: str) -> Fraction:
    """Pence an hour on a day written year-month-day; rows in order of `from_on` and id."""
    amount = Fraction(0)
    for row in rows:
        if row["from_on"] <= day:
            amount = Fraction(int(row["amount_millipence"]), 1000)
    return amount


LAST_DAY = "9999-12-31"


def by_day(rows: Iterable[Row]) -> list[Row]:
    return sorted(rows, key=lambda row: (row["from_on"], int(row["id"])))


class PieceWork:
    """What is paid by the piece, to whom and for what."""

    def __init__(self, files: Files) -> None:
        self.terms: dict[str, list[Row]] = defaultdict(list)
        for row in by_day(files.rows("shop_payterms")):
            self.terms[row["hand_id"]].append(row)
        self.rates: dict[str, list[Row]] = defaultdict(list)
        for row in by_day(files.rows("shop_rate")):
            if row["kind"] == "piece":
                self.rates[row["operation_id"]].append(row)
        heights = {row["id"]: int(row["height_nm"]) for row in files.rows("jobs_lot")}
        self.heights = {row["id"]: heights[row["lot_id"]] for row in files.rows("jobs_task")}
        outwork = files.rows("shop_outwork")
        undone = {row["cancels_id"] for row in outwork}
        self.outside = {row["token"] for row in outwork if not row["cancels_id"] and row["id"] not in undone}
        self.runs = [
            (row["first_on"], row["last_on"], json.loads(row["settings"])["spoiled"])
            for row in files.rows("shop_payrun")
        ]

    def rate(self, hand: str, operation: str, task: str, day: str) -> Fraction:
        """Pence a unit; nothing where it is paid by the hour."""
        paid = [row["by_pieces"] for row in self.terms[hand] if row["from_on"] <= day]
        if not paid or paid[-1] not in ("True", "1", "true", "yes"):
            return Fraction(0)
        height, rows = self.heights[task], self.rates[operation]
        for least in sorted({int(row["from_height_nm"]) for row in rows if row["from_height_nm"]}, reverse=True):
            sized = [row for row in rows if row["from_height_nm"] == str(least) and row["from_on"] <= day]
            if height >= least and sized:
                return rate_on(sized, day)
        return rate_on([row for row in rows if not row["from_height_nm"]], day)

    def units(self, tally: Row, day: str, token: str) -> int:
        if token in self.outside:
            return 0
        paid = next((reasons for first, last, reasons in self.runs if first <= day <= last), ["timber"])
        made, spoiled, lost = int(tally["made"]), int(tally["spoiled"]), int(tally["lost"])
        if tally["reason"] not in paid:
            return made
        more = max(abs(spoiled) - abs(lost), 0)
        return made - more if spoiled < 0 else made + more


def own_costs(files: Files, until: str = LAST_DAY) -> tuple[dict[str, Fraction], dict[str, int]]:
    """Pence and units of each task by its tallies."""
    rates: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in by_day(files.rows("shop_rate")):
        if row["kind"] in ("cost", "overhead", "wage"):
            rates[row["kind"], row["hand_id"]].append(row)
    pieces = PieceWork(files)
    helpers: dict[str, list[str]] = defaultdict(list)
    for row in files.rows("timing_helper"):
        helpers[row["stretch_id"]].append(row["hand_id"])
    stretches = {row["id"]: row for row in files.rows("timing_stretch")}
    pence: dict[str, Fraction] = defaultdict(Fraction)
    units: dict[str, int] = defaultdict(int)
    for row in files.rows("timing_tally"):
        stretch, task = stretches[row["stretch_id"]], row["task_id"]
        day, hand = stretch["done_on"], stretch["hand_id"]
        if not task or day > until:
            continue
        units[task] += int(row["made"])
        hours = Fraction(int(row["seconds"] or 0), 3600)
        people = [*helpers[row["stretch_id"]], hand]
        pence[task] += len(people) * hours * rate_on(rates["overhead", ""], day)
        piece = pieces.rate(hand, stretch["operation_id"], task, day)
        if piece:
            cost, wage = (rate_on(rates[kind, hand], day) for kind in ("cost", "wage"))
            units_paid = pieces.units(row, day, stretch["cancels_token"] or stretch["token"])
            pence[task] += units_paid * piece * (cost / wage if cost and wage else 1)
            people.remove(hand)
        for person in people:
            pence[task] += hours * rate_on(rates["cost", person], day)
    return pence, units


def carry_moves(files: Files, pence: dict[str, Fraction], units: dict[str, int], until: str = LAST_DAY) -> None:
    """Take along with each moved piece its share of what its task has cost so far."""
    carried: dict[str, Fraction] = {}
    in_a_piece = {row["id"]: int(row["units"]) for row in files.rows("jobs_task")}
    moves = [row for row in files.rows("timing_move") if row["done_on"] <= until]
    for row in sorted(moves, key=lambda row: int(row["id"])):
        source, target, pieces = row["from_task_id"], row["to_task_id"], int(row["pieces"])
        if row["cancels_token"]:
            amount = -carried[row["cancels_token"]]
        elif units[source] > 0:
            amount = min(Fraction(1), Fraction(pieces * in_a_piece[source], units[source])) * pence[source]
        else:
            amount = Fraction(0)
        carried[row["token"]] = amount
        pence[source] -= amount
        pence[target] += amount
        units[source] -= pieces * in_a_piece[source]
        units[target] += pieces * in_a_piece[target]


def rack_costs(files: Files, until: str = LAST_DAY) -> dict[str, Fraction]:
    """Pence of each issue from the rack, by its id."""
    costs: dict[str, Fraction] = {}
    issues = [row for row in files.rows("shop_issue") if row["material_id"] and row["on"] <= until]
    prices: dict[str, list[Row]] = defaultdict(list)
    for row in sorted(files.rows("shop_rate"), key=lambda row: (row["from_on"], int(row["id"]))):
        prices[row["material_id"]].append(row)
    bought, counts = (
        [row for row in files.rows(name) if row["on"] <= until] for name in ("shop_purchase", "shop_stockcount")
    )
    for material in {row["material_id"] for row in issues}:
        came, went, counted = (
            [row for row in rows if row["material_id"] == material] for rows in (bought, issues, counts)
        )
        costs |= costs_of_material(came, went, counted, prices[material], files.zone)
    return costs


def amount_of(row: Row) -> int:
    return int(row["amount_millionths"])


def costs_of_material(bought: Rows, issues: Rows, counts: Rows, prices: Rows, zone: ZoneInfo) -> dict[str, Fraction]:
    """One material: what came in lies on one line in its order, and what went out on another."""
    more_on, counted = found_on_days(bought, issues, counts, zone)
    issued_on = {row["id"]: row["on"] for row in issues}
    on_day = {row["id"]: issued_on[row["returns_id"] or row["cancels_id"] or row["id"]] for row in issues}
    lots: list[tuple[int, Fraction]] = []  # amount and price of one millionth, in the order in which they came in
    wants: list[tuple[str, int]] = []  # the day of issues, or "" for what was missing
    newest = None
    for day in sorted({row["on"] for row in (*bought, *issues)} | counted):
        came = [row for row in bought if row["on"] == day]
        amount = sum(amount_of(row) for row in came)
        if amount:
            newest = Fraction(sum(int(row["paid_pence"]) for row in came), amount)
            lots.append((amount, newest))
        wants.append((day, sum(amount_of(row) for row in issues if on_day[row["id"]] == day)))
        more = more_on[day]
        if more > 0:
            lots.append((more, rate_on(prices, day) / 1_000_000 if newest is None else newest))
        wants.append(("", max(0, -more)))
    price = price_by_day(lots, wants, prices)
    return {row["id"]: amount_of(row) * price.get(on_day[row["id"]], Fraction(0)) for row in issues}


def found_on_days(bought: Rows, issues: Rows, counts: Rows, zone: ZoneInfo) -> tuple[dict[str, int], set[str]]:
    """How much more the counts of each day found than there should be, or less; and the days that were counted."""
    undone = {row["cancels_id"] for row in counts}
    stands = [row for row in counts if row["id"] not in undone and not row["cancels_id"]]
    line: list[tuple[str, bool, bool, datetime, bool, int, int]] = []
    for rows, sign in ((bought, 1), (issues, -1)):
        written = {row["id"]: (datetime.fromisoformat(row["recorded_at"]), row.get("written_on")) for row in rows}
        for row in rows:
            at, written_on = written[row.get("cancels_id") or row["id"]]
            of_its_day = (written_on or at.astimezone(zone).date().isoformat()) <= row["on"]
            line.append((row["on"], False, of_its_day, at, False, int(row["id"]), sign * amount_of(row)))
    for row in stands:
        at = datetime.fromisoformat(row["recorded_at"])
        line.append((row["on"], row["at_day_end"] == "True", True, at, True, int(row["id"]), amount_of(row)))
    more_on: dict[str, int] = defaultdict(int)
    rack = 0
    for day, _, _, _, is_count, _, amount in sorted(line):
        more_on[day] += amount - rack if is_count else 0
        rack = amount if is_count else rack + amount
    return more_on, {row["on"] for row in stands}


def price_by_day(
    lots: list[tuple[int, Fraction]], wants: list[tuple[str, int]], prices: list[Row]
) -> dict[str, Fraction]:
    """The two lines side by side: what lies beside a day's issues is what they cost."""
    found: dict[str, Fraction] = {}
    start = 0
    for day, amount in wants:
        end, pence, low = start + amount, Fraction(0), 0
        for size, price in lots:
            pence += max(0, min(end, low + size) - max(start, low)) * price
            low += size
        beyond = max(0, end - max(start, low))
        pence += beyond * (lots[-1][1] if lots else rate_on(prices, day) / 1_000_000)
        if day and amount:
            found[day] = pence / amount
        start = end
    return found


def live_or_all(wheels: Sequence[Row]) -> list[str]:
    return [wheel["id"] for wheel in wheels if not wheel["dropped_at"]] or [wheel["id"] for wheel in wheels]


class Wheels:
    """The wheels of each lot and order, and what has been laid on each."""

    def __init__(self, files: Files) -> None:
        self.order_of_lot = {lot["id"]: lot["order_id"] for lot in files.rows("jobs_lot")}
        by_lot: dict[str, list[Row]] = defaultdict(list)
        by_order: dict[str, list[Row]] = defaultdict(list)
        self.order_of_wheel: dict[str, str] = {}
        for wheel in files.rows("jobs_wheel"):
            order = self.order_of_lot[wheel["lot_id"]]
            by_lot[wheel["lot_id"]].append(wheel)
            by_order[order].append(wheel)
            self.order_of_wheel[wheel["id"]] = order
        self.of_lot = {lot: live_or_all(wheels) for lot, wheels in by_lot.items()}
        self.of_order = {order: live_or_all(wheels) for order, wheels in by_order.items()}
        self.pence: dict[str, Fraction] = dict.fromkeys(self.order_of_wheel, Fraction(0))
        self.unplaced: dict[str, Fraction] = defaultdict(Fraction)

    def lay_on(self, amount: Fraction, *, wheel: str, lot: str, order: str = "") -> None:
        """On a wheel, else shared by its lot, else by its order."""
        over = [wheel] if wheel else self.of_lot.get(lot, []) if lot else self.of_order.get(order, [])
        if not over:
            self.unplaced[order or self.order_of_lot[lot]] += amount
        for one in over:
            self.pence[one] += amount / len(over)


def half_up(pence: Fraction) -> int:
    """Whole pence; a half goes away from nothing."""
    whole = int(abs(pence) + Fraction(1, 2))
    return whole if pence >= 0 else -whole


def costs(folder: Path) -> dict[str, dict[str, int]]:
    """Pence by order id: of each wheel by its id, and of the whole as "set"."""
    files = Files(folder)
    pence, units = own_costs(files)
    carry_moves(files, pence, units)
    wheels = Wheels(files)
    for task in files.rows("jobs_task"):
        wheels.lay_on(pence.get(task["id"], Fraction(0)), wheel=task["wheel_id"], lot=task["lot_id"])
    rack = rack_costs(files)
    for name in ("shop_outwork", "shop_issue"):
        for row in files.rows(name):
            amount = Fraction(int(row["amount_pence"])) + rack.get(row["id"], 0) * (name == "shop_issue")
            wheels.lay_on(amount, wheel=row["wheel_id"], lot=row["lot_id"], order=row["order_id"])
    found: dict[str, dict[str, int]] = defaultdict(dict)
    sums: dict[str, Fraction] = defaultdict(Fraction, wheels.unplaced)
    for wheel, exact in wheels.pence.items():
        found[wheels.order_of_wheel[wheel]][wheel] = half_up(exact)
        sums[wheels.order_of_wheel[wheel]] += exact
    for order, exact in sums.items():
        found[order]["set"] = half_up(exact)
    return dict(found)


def spent_by(files: Files, day: str) -> dict[tuple[str, str], Fraction]:
    """Pence by the id of an order and by what it was: work, outwork or materials."""
    pence, units = own_costs(files, day)
    carry_moves(files, pence, units, day)
    order_of_lot = {lot["id"]: lot["order_id"] for lot in files.rows("jobs_lot")}
    spent: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    for task in files.rows("jobs_task"):
        spent[order_of_lot[task["lot_id"]], "work"] += pence.get(task["id"], Fraction(0))
    rack = rack_costs(files, day)
    for row in files.rows("shop_outwork"):
        spent[row["order_id"], "outwork"] += int(row["amount_pence"]) * (row["on"] <= day)
    for row in files.rows("shop_issue"):
        if row["on"] <= day:
            spent[row["order_id"], "materials"] += int(row["amount_pence"]) + rack.get(row["id"], 0)
    return spent


def in_a_period(folder: Path, first: str, last: str) -> dict[str, int]:
    """Pence by what it was; "all" together."""
    files = Files(folder)
    before = (date.fromisoformat(first) - timedelta(days=1)).isoformat()
    sums: dict[str, Fraction] = defaultdict(Fraction)
    for sign, day in ((1, last), (-1, before)):
        for (_, what), pence in spent_by(files, day).items():
            sums[what] += sign * pence
            sums["all"] += sign * pence
    return {what: half_up(exact) for what, exact in sums.items()}


def in_the_shop(folder: Path, day: str) -> dict[str, int]:
    """Pence by order number, of the orders in the shop at the end of a day; "all" of them together."""
    files = Files(folder)
    spent: dict[str, Fraction] = defaultdict(Fraction)
    for (order, _), pence in spent_by(files, day).items():
        spent[order] += pence
    there = {
        order["number"]: spent[order["id"]]
        for order in files.rows("jobs_order")
        if datetime.fromisoformat(order["created_at"]).astimezone(files.zone).date().isoformat() <= day
        and (not order["ended_on"] or order["ended_on"] > day)
        and spent[order["id"]]
    }
    return {number: half_up(exact) for number, exact in there.items()} | {
        "all": half_up(sum(there.values(), Fraction(0)))
    }


def lines(found: dict[str, dict[str, int]]) -> Iterable[str]:
    yield "order,wheel,pence"
    for order, wheels in found.items():
        for wheel, pence in wheels.items():
            yield f"{order},{wheel},{pence}"


def day_lines(found: dict[str, int], what: str = "order") -> Iterable[str]:
    yield f"{what},pence"
    for order, pence in found.items():
        yield f"{order},{pence}"


if __name__ == "__main__":
    where = Path(sys.argv[1])
    if len(sys.argv) > 3:
        told = day_lines(in_a_period(where, sys.argv[2], sys.argv[3]), "what")
    else:
        told = day_lines(in_the_shop(where, sys.argv[2])) if len(sys.argv) > 2 else lines(costs(where))
    for line in told:
        print(line)
