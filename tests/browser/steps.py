"""What people do in the shop, step by step, as its pages let them: with JavaScript or without."""

import csv
import io
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from html import unescape

from playwright.sync_api import Locator, Page, expect

PASSWORD = "cleft-oak-and-elm"


@dataclass
class AtShop:
    """A page on which somebody is at work in a shop, and the numbers of things that are asked for often."""

    page: Page
    url: str
    lots: dict[str, int] = field(default_factory=dict)
    wheels: dict[str, int] = field(default_factory=dict)
    operations: dict[str, int] = field(default_factory=dict)

    def go(self, path: str) -> None:
        self.page.goto(self.url + path)

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def follow(self, name: str) -> None:
        self.page.get_by_role("link", name=name, exact=True).first.click()

    def answer(self, label: str, text: str) -> None:
        # Begins with: a label may go on with a note of what may be left out.
        self.page.get_by_label(re.compile(f"^{re.escape(label)}")).first.fill(text)

    def day(self, day: datetime, legend: str) -> None:
        there = self.page.get_by_role("group", name=legend)
        for part, text in (("Day", f"{day:%d}"), ("Month", f"{day:%B}"), ("Year", f"{day:%Y}")):
            there.get_by_label(part, exact=True).fill(text)

    def sees(self, words: str) -> None:
        """A line of words somewhere in the page itself."""
        expect(self.page.locator("main")).to_contain_text(words)


def open_shop(at: AtShop, *, owner: str) -> None:
    at.go("/")
    expect(at.page.get_by_role("heading", level=1)).to_have_text("Open your shop")
    at.answer("Name of the shop", "Lark Lane Wheels")
    at.page.locator("#id_owner").fill(owner)
    at.page.locator("#id_password").fill(PASSWORD)
    at.page.locator("#id_again").fill(PASSWORD)
    at.press("Open my shop")
    at.sees("Your shop is open.")


def add_hand(at: AtShop, name: str, *, trade: str = "At the bench", smith: bool = False, pin: str = "") -> None:
    at.go("/settings/hands/new/")
    at.answer("Name", name)
    at.page.get_by_label("Works as").select_option(label=trade)
    if smith:
        at.page.locator("input[name=role][value=smith]").check()
    at.press("Add the hand")
    # The page that it leads to is the hand's own.
    at.sees(f"{name} is on the list.")
    if pin:
        at.page.locator("#bench-pin").locator("..").locator("input[name=pin]").fill(pin)
        at.press("Set the PIN")
        at.sees("A PIN is set.")
    if smith:
        secrets = at.page.locator("#desk-password").locator("..")
        secrets.locator("input[name=password]").fill(PASSWORD)
        secrets.locator("input[name=again]").fill(PASSWORD)
        at.press("Set the password")
        at.sees("A password is set.")


def set_rate(at: AtShop, whose: str, amount: str, from_on: datetime) -> None:
    """`whose` as the page of rates names the link: "overhead an hour", "cost of an hour of Joss"."""
    at.go("/settings/rates/")
    at.page.get_by_role("link", name=re.compile(rf", {whose}$")).click()
    at.answer("Amount", amount)
    at.day(from_on, "From")
    at.press("Write it down")
    at.sees(f"{amount} from")


def take_order(at: AtShop, *, customer: str, carriage: str, fore: str, hind: str, due_on: datetime) -> int:
    """A set of four from the library; the number of the order."""
    at.go("/orders/new/")
    at.answer("Customer", customer)
    at.answer("Carriage", carriage)
    at.day(due_on, "Due")
    at.press("Set of four")
    for place, makeup in enumerate((fore, hind)):
        at.page.locator(f"select[name=row-{place}-makeup]").select_option(label=makeup)
    at.press("Keep the order")
    expect(at.page.get_by_role("heading", level=1)).to_contain_text("set of four")
    found = re.search(r"/orders/(\d+)/(#|$)", at.page.url)
    assert found, at.page.url
    number = int(found[1])
    learn_numbers(at, number)
    return number


def learn_numbers(at: AtShop, order: int) -> None:
    """Which numbers the shop gave its lots, wheels and operations: they stand in the addresses of its pages."""
    at.go(f"/orders/{order}/")
    for line in at.page.locator("p.acts", has=at.page.get_by_role("link", name="Make-up", exact=True)).all():
        name, make_up = line.locator("b").inner_text(), line.get_by_role("link", name="Make-up", exact=True)
        at.lots[name.rstrip(":").lower()] = number_in(make_up, r"/lots/(\d+)/$")
    at.go(f"/orders/{order}/cost/")
    for link in at.page.locator('a.title[href*="#wheel-"]').all():
        at.wheels[link.inner_text().strip().lower()] = number_in(link, r"#wheel-(\d+)$")
    at.go("/settings/operations/")
    for number, name in re.findall(r'href="/settings/operations/(\d+)/">([^<]+)</a>', at.page.content()):
        at.operations[unescape(name)] = int(number)


def number_in(link: Locator, pattern: str) -> int:
    found = re.search(pattern, link.get_attribute("href") or "")
    assert found
    return int(found[1])


def enrol(at: AtShop, name: str) -> None:
    at.go("/settings/devices/")
    at.answer("Name of this device", name)
    at.press("Enrol this device")
    at.sees(f"It is enrolled as {name}")


def sign_out(at: AtShop) -> None:
    at.go("/")
    at.page.locator("details.go-to summary").click()
    at.page.locator("details.go-to").get_by_role("button", name="Sign out").click()
    expect(at.page.get_by_role("heading", level=1)).to_have_text("Sign in")


def sign_in(at: AtShop, name: str) -> None:
    at.go("/sign-in/")
    at.answer("Name", name)
    at.answer("Password", PASSWORD)
    at.press("Sign in")
    expect(at.page.get_by_role("heading", level=1)).not_to_have_text("Sign in")


def come_in(at: AtShop, name: str, pin: str = "") -> None:
    at.go("/bench/")
    expect(at.page.get_by_role("heading", level=1)).to_have_text("Who is at work?")
    if pin:
        at.follow(name)
        at.answer("PIN", pin)
        at.press("Go to work")
    else:
        at.press(name)
    expect(at.page.locator("header .at-work")).to_contain_text(name)


def end_day(at: AtShop) -> None:
    at.press("End the day")
    expect(at.page.get_by_role("heading", level=1)).to_have_text("Who is at work?")


def begin(at: AtShop, job: str, place: str) -> None:
    """Start a job from the list of what is ready, as "Rough out spoke" for the "hind pair"."""
    at.go("/bench/jobs/")
    row = at.page.locator("li").filter(has_text=job).filter(has_text=place)
    row.get_by_role("button").first.click()
    expect(at.page.get_by_role("heading", level=1)).to_have_text(job)
    expect(at.page.locator(".job")).to_contain_text(place, ignore_case=True)


def counted(at: AtShop) -> tuple[int, int]:
    """The count that the bench shows: good, and of how many."""
    found = re.match(r"(\d+)\s+of (\d+) ", at.page.locator(".count").inner_text())
    assert found
    return int(found[1]), int(found[2])


def expect_count(at: AtShop, good: int, of: int) -> None:
    expect(at.page.locator(".count")).to_contain_text(re.compile(rf"^\s*{good}\s+of {of} "))
    # Counted as soon as the device has it; a page that is left then might be ahead of the shop.
    expect(at.page.locator('#unsent[data-waiting]:not([data-waiting="0"])')).to_have_count(0)


def one_done(at: AtShop) -> Locator:
    return at.page.locator("#one-done")


def tell(at: AtShop, operation: str, made: int, *, seconds: int | None = None, ago: timedelta, **place: int) -> None:
    """Post the documented fact from the signed-in page: `wheel` or `lot`, so many made, so long ago."""
    now = datetime.now(UTC)
    fact: dict[str, str] = {
        "token": str(uuid.uuid4()),
        "operation": str(at.operations[operation]),
        "made": str(made),
        "done_at": (now - ago).isoformat(),
        "sent_at": now.isoformat(),
        **{name: str(number) for name, number in place.items()},
    }
    if seconds is not None:
        fact["seconds"] = str(seconds)
    token = next(cookie["value"] for cookie in at.page.context.cookies() if cookie["name"] == "csrftoken")
    answer = at.page.request.post(
        f"{at.url}/bench/fact/",
        form=fact,  # type: ignore[arg-type]
        headers={"X-CSRFToken": token, "HX-Request": "true", "Referer": at.url},
    )
    assert answer.status == 200, f"{operation}: {answer.status} {answer.text()[:300]}"


def day_book_rows(at: AtShop) -> list[Mapping[str, str]]:
    """The day book's own file: every stretch, to the second."""
    answer = at.page.request.get(f"{at.url}/day-book/file.csv")
    assert answer.ok
    return list(csv.DictReader(io.StringIO(answer.text().lstrip("\N{ZERO WIDTH NO-BREAK SPACE}"))))


def charge(at: AtShop, order: int, kind: str, *, what: str, amount: str, place: str, smith: str = "") -> None:
    """Enter outwork or materials as bought today."""
    at.go(f"/orders/{order}/{kind}/")
    if smith:
        at.page.get_by_label("Trade").select_option(label="Smith")
        at.answer("By whom", smith)
    at.answer("What", what)
    at.answer("Amount", amount)
    at.page.get_by_label("On what").select_option(label=place)
    at.day(datetime.now(UTC), "Day")
    at.press("Enter it")
    expect(at.page.get_by_role("heading", level=1)).to_contain_text("Cost of the")


def press_for(at: AtShop, act: str, piece: str) -> None:
    """Press an act on a trade's list, as "Back" for "Bend and weld tyre, near hind"."""
    at.page.get_by_role("button", name=re.compile(rf"^{act} ?: {piece}")).click()
