"""A small shop with one of everything, the people who may come to it, and every form that they meet there."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from html import unescape
from http.cookies import SimpleCookie
from urllib.parse import urlsplit

from django.test import Client
from django.urls import Resolver404, resolve, reverse

from jobs.models import Operation, Task, Wheel
from jobs.starting import start_library, start_operations
from shop.models import Hand
from shop.people import BENCH_SESSION, DEVICE_COOKIE, enrol_device
from shop.pins import set_pin
from tests import addresses, factories
from tests.addresses import ADDRESSES, Things
from tests.fuzz.forms import Field, forms_on
from timing.record import record

LINK = re.compile(r'<a\b[^>]*\bhref="([^"]+)"')
# How many pages of one address are read for their forms.
MOST = 2
# Loads the example, which is a test of its own.
LEFT_OUT = {"open-example"}
BEGIN_AT = {
    "owner": ("/orders/", "/orders/closed/", "/make-ups/", "/smith/", "/day-book/", "/settings/", "/bench/jobs/"),
    "desk": ("/orders/",),
    "hand": ("/bench/jobs/", "/bench/mine/"),
    "smith": ("/smith/",),
    "bench": ("/bench/jobs/", "/bench/mine/"),
    "device": ("/bench/",),
    "stranger": ("/sign-in/",),
}
ROLES = tuple(BEGIN_AT)
# What a form would be given by a person, by the end of its field's name: what a page leaves empty is filled from here.
PLAUSIBLE = {
    "_day": "2",
    "_month": "March",
    "_year": "2026",
    "amount": "12.50",
    "minutes": "30",
    "made": "1",
    "units": "1",
    "spoiled": "1",
    "pin": "4071",
    "password": "a long wooden gate",
    "again": "a long wooden gate",
    "pieces": "1",
    "_nm": "46 in",
    "from": "12.00",
    "to": "12.45",
    "token": "5f0a4d1e-7f0e-4a7b-9a51-2f1d3a6c8e11",
}


@dataclass(frozen=True)
class Seed:
    """A form as one person met it, and where it goes."""

    role: str
    name: str
    kwargs: Mapping[str, int | str]
    query: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class Answer:
    """A page as one role was answered it: its address in the end, what stands on it, and where its links lead."""

    here: str
    page: str
    links: tuple[str, ...]


@dataclass
class World:
    cookies: dict[str, dict[str, str]]
    seeds: list[Seed] = field(default_factory=list)
    # A page of each address for each role, by role and name.
    pages: dict[tuple[str, str], str] = field(default_factory=dict)
    ids: list[str] = field(default_factory=list)
    # What each role was answered so far, and the addresses that answered with a file: no form stands in one.
    answers: dict[tuple[str, str], "Answer"] = field(default_factory=dict)
    files: set[tuple[str, str]] = field(default_factory=set)

    def client(self, role: str) -> Client:
        """A browser in which nothing has been done yet, signed in as this role."""
        client = Client()
        client.cookies = SimpleCookie(self.cookies[role])
        return client


def make_world() -> World:
    """Build the shop, sign everyone in, and read the forms of their pages."""
    start_operations()
    start_library()
    factories.ShopFactory.create(name="Alder Lane Wheel Shop", smith_name="Bram", smith_days=[3])
    people = {
        "owner": factories.HandFactory.create(name="Wren", role=Hand.Role.OWNER),
        "desk": factories.HandFactory.create(name="Tamsin", role=Hand.Role.DESK),
        "hand": factories.HandFactory.create(name="Osk"),
        "smith": factories.HandFactory.create(name="Bram", role=Hand.Role.SMITH, trade=Hand.Trade.SMITH),
    }
    people["bench"] = factories.HandFactory.create(name="Idris")
    set_pin(people["bench"], "4071")
    things = _work(people)
    world = World(_sign_in(people))
    world.ids = _ids()
    _read_own(world, things)
    for role, begin in BEGIN_AT.items():
        _read(world, role, begin)
    _start_clocks(world)
    named = {seed.name for seed in world.seeds}
    for name in sorted(set(ADDRESSES) - named - LEFT_OUT):
        kwargs = ADDRESSES[name].kwargs(things)
        world.seeds.append(Seed("owner", name, kwargs, "", tuple(Field(one, None) for one in PLAUSIBLE)))
    return world


def _work(people: Mapping[str, Hand]) -> Things:
    """Two orders, with work told of one of them, and one of each thing that an address may name."""
    order = factories.take_pair()
    things = addresses.make_things(order, people["owner"], people["hand"])
    for key in ("rough-spoke", "cut-foot", "saw-felloe"):
        for who in ("hand", "bench", "owner"):
            record(factories.fact(factories.task(order, key), people[who], made=9), now=factories.NOW)
    repair = factories.WheelRow(factories.makeup(), "a wheel to mend", ["loose"], work="retyre")
    factories.take_pair(rows=[repair])
    return things


def _sign_in(people: Mapping[str, Hand]) -> dict[str, dict[str, str]]:
    device, secret = enrol_device(name="bench 1", by=people["owner"].user, at=addresses.NOW)
    cookies: dict[str, dict[str, str]] = {"stranger": {}, "device": {DEVICE_COOKIE: secret}}
    for role, hand in people.items():
        client = Client()
        client.force_login(hand.user)
        if role == "bench":
            client.cookies[DEVICE_COOKIE] = secret
            session = client.session
            session[BENCH_SESSION] = device.pk
            session.save()
        cookies[role] = {name: morsel.value for name, morsel in client.cookies.items()}
    return cookies


def _ids() -> list[str]:
    """Ids that are something somewhere, and the names of what is counted by them."""
    tasks = [str(pk) for pk in Task.objects.values_list("pk", flat=True)[:8]]
    wheels = [str(pk) for pk in Wheel.objects.values_list("pk", flat=True)]
    operations = [str(pk) for pk in Operation.objects.values_list("pk", flat=True)[:4]]
    return sorted({*tasks, *wheels, *operations, *(f"wheel-{pk}" for pk in wheels), "lot-1", "order"})


def _read_own(world: World, things: Things) -> None:
    """The pages that only a thing made for it has, whether or not a link leads there."""
    for name, address in ADDRESSES.items():
        if name not in LEFT_OUT and not address.post:
            role = "hand" if "owner" not in address.roles and "anyone" not in address.roles else "owner"
            _read(world, role, (reverse(f"shop:{name}", kwargs=address.kwargs(things)),), follow=())
    # Some things are only made when an address asks for them: pages that were read before say less than they do now.
    world.answers.clear()


def _read(world: World, role: str, begin: tuple[str, ...], *, follow: tuple[str, ...] = ("/",)) -> None:
    """Follow links from some pages on, those that begin with `follow`, and keep each form that is met."""
    client = world.client(role)
    seen, waiting = set(begin), list(begin)
    read: dict[str, int] = {}
    while waiting:
        path = waiting.pop(0)
        name = _name_of(path)
        if name is None or read.get(name, 0) >= MOST:
            continue
        read[name] = read.get(name, 0) + 1
        answer = _answer(world, client, role, path, name)
        if answer is None:
            continue
        world.pages.setdefault((role, name), path)
        world.seeds += [seed for seed in _seeds(role, answer.here, answer.page) if seed not in world.seeds]
        for target in answer.links:
            if target not in seen and target.startswith(follow):
                seen.add(target)
                waiting.append(target)


def _answer(world: World, client: Client, role: str, path: str, name: str) -> Answer | None:
    """What this role is answered there, asked once; None where it is no page."""
    kind = (name, urlsplit(path).query)
    if kind in world.files:
        return None
    if (role, path) not in world.answers:
        answer = client.get(path, follow=True)
        if answer.streaming or "Content-Disposition" in answer:
            world.files.add(kind)
        if answer.status_code != 200 or kind in world.files:
            return None
        page = answer.content.decode()
        targets = [unescape(href).partition("#")[0] for href in LINK.findall(page)]
        links = tuple(target for target in targets if target.startswith("/"))
        world.answers[role, path] = Answer(answer.request["PATH_INFO"], page, links)
    return world.answers[role, path]


def _seeds(role: str, here: str, page: str) -> Iterator[Seed]:
    for form in forms_on(page):
        parts = urlsplit(form.action or here)
        name = _name_of(parts.path)
        if name and form.method == "post" and name not in LEFT_OUT:
            yield Seed(role, name, resolve(parts.path).kwargs, parts.query, tuple(form.fields))


def _name_of(path: str) -> str | None:
    try:
        return resolve(urlsplit(path).path).url_name
    except Resolver404:
        return None


def _start_clocks(world: World) -> None:
    """Have everyone at the bench begin a job, and read the pages that only one at work sees."""
    at_work = ("hand", "bench", "owner")
    for role in at_work:
        seed = next(seed for seed in world.seeds if seed.name == "bench-start" and seed.role == role)
        told = {one.name: one.value or (one.choices or [""])[0] for one in seed.fields}
        answer = world.client(role).post(reverse("shop:bench-start"), told)
        assert answer.status_code in (200, 302), answer.status_code
    # No other pages show that someone is at work.
    changed = ("/bench/", "/orders/")
    world.answers = {place: answer for place, answer in world.answers.items() if not place[1].startswith(changed)}
    for role in at_work:
        begin = ("/bench/job/", "/bench/job/number/", "/bench/job/spoiled/", "/bench/job/helpers/")
        _read(world, role, begin, follow=changed)
