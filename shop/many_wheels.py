"""A lot of many wheels on a page: which of them are spelled out, how the others are told, and how each is reached."""

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Self, TypeVar

from django.http import QueryDict
from django.utils.http import urlencode

from jobs.models import Lot, Wheel
from jobs.work import Work

# Of more wheels than this only some are spelled out; of an order of several such lots, fewer of each.
MOST_SHOWN, FEWER_SHOWN, MANY_LOTS = 12, 6, 3
LEAST_SHOWN = 3
A_PAGE = 48

T = TypeVar("T")


class Stage(IntEnum):
    """How far a wheel is; those that a person is likeliest to look for come first."""

    UNDER_WAY = 0
    NOT_BEGUN = 1
    DONE = 2

    @property
    def words(self) -> str:
        return self.name.replace("_", " ").lower()


@dataclass(frozen=True, slots=True)
class Wished:
    """What a page is asked to show whole, from the one after a number: a lot, or what was left out of an order."""

    lot_id: int = 0
    operation_id: int = 0
    # Of a list in parts: which of them, from 1.
    part: int = 0
    left_out: int = 0
    after: int = 0

    @classmethod
    def of(cls, query: QueryDict) -> Self:
        """What can't be read as a number counts as not asked."""
        return cls(*(_number(query.get(name, "")) for name in ("lot", "operation", "part", "left_out", "after")))

    @property
    def is_of_operation(self) -> bool:
        """Whether the wheels of one lot are asked for that want one operation."""
        return bool(self.lot_id and self.operation_id)

    def url(self, *, after: int = 0, anchor: str = "", **others: str | int) -> str:
        """Another page of the same; `others` come first in the query."""
        asked = {"lot": self.lot_id, "operation": self.operation_id, "part": self.part}
        asked |= {"left_out": self.left_out, "after": after}
        query = urlencode({name: value for name, value in (others | asked).items() if value})
        return f"?{query}{anchor and f'#{anchor}'}"


@dataclass(frozen=True, slots=True)
class PageLink:
    """One page of a lot's wheels, named by the numbers of its first and last."""

    label: str
    url: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class Window:
    """The wheels of a lot that are spelled out, in the order of their numbers.

    `rest` tells of the others in words and `all_url` leads to them; `pages` are there where all are asked for.
    """

    wheels: list[Wheel]
    rest: str = ""
    all_url: str = ""
    total: int = 0
    pages: tuple[PageLink, ...] = ()

    @property
    def is_large(self) -> bool:
        return self.total > MOST_SHOWN


def windows(
    work: Work, lots: Sequence[Lot], wished: Wished, *, at_work: Collection[int] = frozenset()
) -> dict[int, Window]:
    """What of each lot is spelled out; `at_work` are the tasks on which a clock runs."""
    most = most_of([len(work.wheels(lot)) for lot in lots])
    return {lot.pk: _window(work, lot, wished, most, at_work) for lot in lots}


def most_of(counts: Sequence[int]) -> int:
    """How many wheels of each large lot are spelled out, where the lots have so many."""
    return FEWER_SHOWN if sum(count > MOST_SHOWN for count in counts) >= MANY_LOTS else MOST_SHOWN


def _window(work: Work, lot: Lot, wished: Wished, most: int, at_work: Collection[int]) -> Window:
    wheels = work.wheels(lot)
    if len(wheels) <= MOST_SHOWN:
        return Window(wheels, total=len(wheels))
    if wished.lot_id == lot.pk:
        shown, pages = page_of(wheels, wished, number=lambda wheel: wheel.number, anchor=f"lot-{lot.pk}")
        return Window(shown, total=len(wheels), pages=pages)
    stages = {wheel.pk: stage_of(work, wheel, at_work) for wheel in wheels}
    first = sorted(wheels, key=lambda wheel: (stages[wheel.pk], wheel.number))
    return Window(
        sorted(first[:most], key=lambda wheel: wheel.number),
        rest=rest_in_words([stages[wheel.pk] for wheel in first[most:]]),
        all_url=Wished(lot.pk).url(anchor=f"lot-{lot.pk}"),
        total=len(wheels),
    )


def stage_of(work: Work, wheel: Wheel, at_work: Collection[int] = frozenset()) -> Stage:
    """How far a wheel's own tasks are; loose pieces belong to no wheel yet."""
    tasks = work.tasks(wheel=wheel)
    if tasks and not any(work.left(task) for task in tasks):
        return Stage.DONE
    begun = any(task.made > 0 or task.seconds > 0 or task.pk in at_work for task in tasks)
    return Stage.UNDER_WAY if begun else Stage.NOT_BEGUN


def rest_in_words(stages: Sequence[Stage]) -> str:
    """As "And 188 more: 150 not begun, 38 done."."""
    counts = [(stages.count(stage), stage.words) for stage in Stage]
    return f"And {len(stages)} more: {', '.join(f'{count} {words}' for count, words in counts if count)}."


@dataclass(frozen=True, slots=True)
class More:
    """Rows of one operation and lot that follow on those listed, and where all of them are."""

    count: int
    url: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Wheels left out of an order with the seconds spent on them; of many, those that took longest, or a page."""

    rows: list[tuple[Wheel, int]]
    more: int = 0
    more_seconds: int = 0
    more_url: str = "?left_out=1#left-out"
    pages: tuple[PageLink, ...] = ()


def see_left_out(rows: Sequence[tuple[Wheel, int]], wished: Wished) -> LeftOut:
    """What is listed of the wheels left out of an order."""
    if len(rows) <= MOST_SHOWN:
        return LeftOut(list(rows))
    if wished.left_out:
        by_key = sorted(rows, key=lambda row: row[0].pk)
        shown, pages = page_of(
            by_key, wished, key=lambda row: row[0].pk, number=lambda row: row[0].number, anchor="left-out"
        )
        return LeftOut(shown, pages=pages)
    longest = sorted(rows, key=lambda row: -row[1])
    rest = longest[MOST_SHOWN:]
    return LeftOut(longest[:MOST_SHOWN], len(rest), sum(seconds for _, seconds in rest))


def page_of(
    rows: Sequence[T],
    wished: Wished,
    *,
    number: Callable[[T], int],
    key: Callable[[T], int] | None = None,
    anchor: str = "",
    **others: str | int,
) -> tuple[list[T], tuple[PageLink, ...]]:
    """The rows after the key that was asked for, as many as a page holds, and links to all such pages.

    `rows` are in the order of their keys, which are their numbers unless told; `number` is what a page is named by.
    """
    key = key or number
    shown = [row for row in rows if key(row) > wished.after][:A_PAGE]
    links = []
    for first in range(0, len(rows), A_PAGE):
        here = rows[first : first + A_PAGE]
        after = key(rows[first - 1]) if first else 0
        names = dict.fromkeys([str(number(here[0])), str(number(here[-1]))])
        url = wished.url(after=after, anchor=anchor, **others)
        links.append(PageLink(" to ".join(names), url, after == wished.after))
    return shown, tuple(links)


def spell_out(
    rows: Sequence[T], *, lot: Callable[[T], int], kind: Callable[[T], Hashable], most: int = MOST_SHOWN
) -> tuple[list[T], dict[int, int]]:
    """The rows that are listed one by one, and after which of them (by place) how many more are left out.

    A lot of up to `most` rows is listed whole; a larger one has that room shared out among its kinds of row.
    """
    places: dict[int, dict[Hashable, list[int]]] = defaultdict(lambda: defaultdict(list))
    for place, row in enumerate(rows):
        places[lot(row)][kind(row)].append(place)
    kept: dict[int, int] = {}
    for kinds in places.values():
        room = _room(kinds, most)
        for here in kinds.values():
            for place in here[:room]:
                kept[place] = 0
            kept[here[:room][-1]] = len(here) - len(here[:room])
    listed = sorted(kept)
    return [rows[place] for place in listed], {at: kept[place] for at, place in enumerate(listed) if kept[place]}


def _room(kinds: Mapping[Hashable, Sequence[int]], most: int) -> int:
    rows = sum(len(here) for here in kinds.values())
    return rows if rows <= most else max(LEAST_SHOWN, most // len(kinds))


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else 0
