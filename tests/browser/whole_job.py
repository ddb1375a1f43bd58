"""The stages of the whole job that go the same way with JavaScript and without."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from fractions import Fraction

from playwright.sync_api import expect

from tests.browser.steps import (
    AtShop,
    add_hand,
    charge,
    day_book_rows,
    enrol,
    open_shop,
    press_for,
    set_rate,
    sign_in,
    sign_out,
    take_order,
    tell,
)

PIN = "4071"
# At 36.00 an hour a second of labour is one penny, and at 18.00 one of overhead is half a penny.
PENCE_A_SECOND = {"Joss": Fraction(1), "Tib": Fraction(1, 2)}
OVERHEAD_A_SECOND = Fraction(1, 2)
LONG_AGO, AN_HOUR_AGO = timedelta(hours=3), timedelta(hours=1)

# What leads from a turned hub to a rim that is ready to be run: operation, how many, a minute a unit.
HUB = (("Get out hub, bore pilot", 2, "lot"), ("Turn hub", 1, "wheel"), ("Strike out hub, stagger", 1, "wheel"))
BANDS = (("Make band", 2, "lot"), ("Shrink on band", 2, "wheel"))
RIM = (
    ("Trim mortise to gauge", 14, "wheel"),
    ("Cut foot", 14, "lot"),
    ("Shave spoke", 14, "lot"),
    ("Drive spoke to the dish gauge", 14, "wheel"),
    ("True and face wheel", 1, "wheel"),
    ("Tongue spoke", 14, "wheel"),
    ("Saw felloe", 7, "lot"),
    ("Plane felloe", 7, "lot"),
    ("Offer up, mark and number felloe", 7, "wheel"),
    ("Cut joint", 7, "wheel"),
    ("Bore tongue hole", 14, "wheel"),
    ("Bore and dowel joint", 7, "wheel"),
    ("Chamfer felloe", 7, "wheel"),
    ("Put on the rim", 7, "wheel"),
    ("Wedge tongue", 14, "wheel"),
    ("Clean off, true the sole", 1, "wheel"),
)


def open_and_man(at: AtShop) -> None:
    """A new shop of Ada's, with a hand who has a PIN, one who has none, and a smith; their rates; this device."""
    began = datetime.now(UTC) - timedelta(days=40)
    open_shop(at, owner="Ada")
    add_hand(at, "Joss", pin=PIN)
    add_hand(at, "Tib")
    add_hand(at, "Col", trade="Smith", smith=True)
    set_rate(at, "overhead an hour", "18.00", began)
    set_rate(at, "cost of an hour of Joss", "36.00", began)
    set_rate(at, "cost of an hour of Tib", "18.00", began)
    enrol(at, "bench 1")


def take_four(at: AtShop) -> int:
    """A wagonette's wheels: fore of 12 spokes and 6 felloes, hind of 14 and 7."""
    number = take_order(
        at,
        customer="Lettice Orme",
        carriage="Wagonette",
        fore="Wagonette, fore",
        hind="Wagonette, hind",
        due_on=datetime.now(UTC) + timedelta(days=60),
    )
    at.go(f"/orders/{number}/")
    at.sees("Nothing done yet")
    at.sees("0 of 28 spokes ready; 0 of 14 felloes ready")
    return number


def tell_all(at: AtShop, told: Iterable[tuple[str, int, str]], *, ago: timedelta) -> None:
    """The tedious middle of the near hind wheel, a minute a unit."""
    where = {"lot": at.lots["hind pair"], "wheel": at.wheels["near hind"]}
    for operation, made, place in told:
        tell(at, operation, made, seconds=60 * made, ago=ago, **{place: where[place]})


def through_the_forge(at: AtShop) -> None:
    """As the smith: the hoop goes to the forge and comes back, is welded in 50 minutes, and goes on."""
    sign_in(at, "Col")
    expect(at.page.get_by_role("heading", level=1)).to_have_text("Smith's list")
    at.sees("Bar 38 × 10 mm")
    hoop = "Bend and weld tyre, near hind"
    press_for(at, "To the forge", hoop)
    at.sees("1 at the forge.")
    press_for(at, "Back", hoop)
    at.sees(f"{hoop}: back.")
    at.follow("Bend and weld tyre")
    at.sees("1 of 1 still wanted.")
    at.answer("Minutes in all", "50")
    at.press("It is made")
    at.sees(f"{hoop}: 1 welded, by Col.")
    press_for(at, "Fired", "Fire, hind pair")
    at.sees("fired, by Col.")
    press_for(at, "On", "Shrink on tyre, quench, near hind")
    at.sees("1 on, Wagonette 1, near hind, by Col, not timed")
    sign_out(at)


def check_cost(at: AtShop, number: int) -> None:
    """The cost on the order's pages against a plain sum over the day book's own file."""
    sign_in(at, "Ada")
    charge(at, number, "outwork", what="hoop", amount="30.00", place="near hind, hind pair", smith="Col")
    charge(at, number, "materials", what="ash", amount="12.01", place="The whole order, shared over its wheels")
    rows = [row for row in day_book_rows(at) if row["order"] == str(number)]
    own = sum((pence(row) for row in rows if row["wheel"]), Fraction(0))
    loose = sum((pence(row) for row in rows if not row["wheel"]), Fraction(0))
    assert {row["wheel"] for row in rows} == {"", "near hind"}
    at.go(f"/orders/{number}/cost/")
    each = wheel_costs(at)
    ash = Fraction(1201, 4)
    assert each["near fore"] == each["off fore"] == in_words(ash)
    assert each["near hind"] == in_words(own + loose / 2 + 3000 + ash)
    assert each["off hind"] == in_words(loose / 2 + ash)
    whole = in_words(own + loose + 3000 + 1201)
    assert each["The set"] == whole
    at.sees(f"The set has cost {whole} so far.")
    at.sees("No cost rate for Col")
    at.go(f"/orders/{number}/")
    expect(at.page.locator("aside tfoot")).to_contain_text(whole)


def wheel_costs(at: AtShop) -> Mapping[str, str]:
    ledger = at.page.locator("#sums table.ledger").first
    return {
        row.locator("th").inner_text().strip(): row.locator("td").last.inner_text().strip()
        for row in ledger.locator("tbody tr, tfoot tr").all()
    }


def pence(row: Mapping[str, str]) -> Fraction:
    seconds = int(row["seconds"] or 0)
    people = [row["hand"], *(name for name in row["helpers"].split(", ") if name)]
    return sum((seconds * (PENCE_A_SECOND.get(name, Fraction(0)) + OVERHEAD_A_SECOND) for name in people), Fraction(0))


def in_words(amount: Fraction) -> str:
    """Pence rounded half up, as "£1,234.56"."""
    whole = int(amount + Fraction(1, 2))
    return f"£{whole // 100:,}.{whole % 100:02d}"
