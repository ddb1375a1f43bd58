"""What is asked of an address: a form as it came from its page, and a few things in it that are not right."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpResponse
from django.urls import NoReverseMatch, reverse
from hypothesis import strategies as st

from tests.fuzz.forms import Field
from tests.fuzz.world import PLAUSIBLE, ROLES, World

BOUNDARY = "oddBoundary"
NUMBERS = [
    *("0", "-1", "1", "2", "7", "60", "99999", "2147483648", "9223372036854775807", "9223372036854775808", "9" * 40),
    *("1e309", "NaN", "inf", "-0", "½", "²", "٣", "0x10", "1,5", "1.5", "00012", "1_000", "+4", " 3 ", "3\n"),
]
LENGTHS = ["1168 mm", "46 in", '46"', "3 ft 10 1/2 in", "1/0 in", "1000000 km", "mm", "46 furlongs", "1/3 in", "-5 mm"]
MONEY = ["£1,030", "12,50", "1e5", "0.00001", "99999999999", "-3", "€ 0.05", "12.345678901234567890"]
MOMENTS = [
    *("2026-02-30", "31", "02", "0000-00-00", "9999-12-31T23:59:59+14:00", "0001-01-01T00:00:00-14:00"),
    *("2026-03-02T10:00:00+00:00", "2026-03-02T10:00:00", "10000-01-01", "0001", "9999", "12.30", "25.61", "Smarch"),
]
TEXTS = [
    *(
        "",
        " ",
        "\0",
        "a\0b",
        "\ud800",
        "x\udfffy",
        "x" * 81,
        "x" * 5000,
        "x" * 100_000,
        "'\"><script>alert(1)</script>",
    ),
    *(
        "=1+1",
        "\r\n",
        "\u202e",
        "\U0001f6de",
        "{hub}",
        "{",
        "%s %d",
        "\u0130",
        "e\u0301",
        "\ufeff",
        "; DROP TABLE x",
        "\u00a0",
    ),
]
WORDS = ["on", "true", "[]", "{}", "null", "None", "undefined", "order", "wheel-999999", "lot-", "wheel-x", "owner"]
TOKENS = ["5f0a4d1e-7f0e-4a7b-9a51-2f1d3a6c8e11", "5f0a4d1e", "{5F0A4D1E-7F0E-4A7B-9A51-2F1D3A6C8E11}", "0" * 32]
ODD = [*NUMBERS, *LENGTHS, *MONEY, *MOMENTS, *TEXTS, *WORDS, *TOKENS]
BODIES = ["form"] * 10 + ["get", "multipart", "file", "json", "text", "torn", "bytes", "charset", "empty"]
IDS = [0, 1, 2, 3, 5, 8, 13, 2**31, 2**63 - 1, 2**63, 10**25]


@dataclass(frozen=True)
class Turn:
    """One thing that is not as it should be: a field set otherwise, left out, sent twice, or added."""

    act: str
    place: int
    text: str


@dataclass(frozen=True)
class Ask:
    """One request. `role` "" is whoever met the form; `fill` 0 leaves empty what its page left empty."""

    seed: int
    role: str
    fill: int
    turns: tuple[Turn, ...]
    body: str
    htmx: bool
    other: int | None


def asks(world: World) -> st.SearchStrategy[Ask]:
    """Requests to the addresses of a world, most of them nearly right."""
    text = st.sampled_from(ODD) | st.sampled_from(world.ids) | st.text(max_size=12)
    turn = st.builds(Turn, st.sampled_from(["set", "set", "set", "drop", "double", "add"]), st.integers(0, 30), text)
    return st.builds(
        Ask,
        seed=st.integers(0, len(world.seeds) - 1),
        role=st.sampled_from(["", "", "", "", *ROLES]),
        fill=st.integers(0, 3),
        turns=st.lists(turn, max_size=3).map(tuple),
        body=st.sampled_from(BODIES),
        htmx=st.booleans(),
        other=st.none() | st.none() | st.none() | st.sampled_from(IDS),
    )


def send(world: World, ask: Ask) -> tuple[str, HttpResponse]:
    """Ask it; gives how it was asked, and the answer. What the view raises is raised here."""
    seed = world.seeds[ask.seed]
    role = ask.role or seed.role
    path = _path(seed.name, seed.kwargs, ask.other)
    pairs = _turned(_filled(seed.fields, ask.fill), ask.turns)
    told = f"{role} {ask.body} {path} {pairs!r:.2000}"
    headers = {"HX-Request": "true"} if ask.htmx else {}
    client = world.client(role)
    if ask.body == "get":
        return told, client.get(f"{path}?{_encoded(pairs)}", headers=headers)
    content_type, body = _body(ask.body, pairs)
    there = f"{path}?{seed.query}" if seed.query else path
    return told, client.generic("POST", there, body, content_type=content_type, headers=headers)


def _path(name: str, kwargs: Mapping[str, int | str], other: int | None) -> str:
    if other is None or not kwargs:
        return reverse(f"shop:{name}", kwargs=kwargs)
    last = list(kwargs)[-1 if other % 2 else 0]
    try:
        return reverse(f"shop:{name}", kwargs={**kwargs, last: other})
    except NoReverseMatch:  # a token is no number
        return reverse(f"shop:{name}", kwargs={**kwargs, last: TOKENS[0]})


def _filled(fields: tuple[Field, ...], fill: int) -> list[tuple[str, str]]:
    """The fields as a person would send them: as they came, or filled with what is likely, or with other choices."""
    pairs = []
    for one in fields:
        value = one.value
        if fill and one.choices:
            value = one.choices[(fill - 1) % len(one.choices)]
        elif fill and not value:
            value = next((text for end, text in PLAUSIBLE.items() if one.name.endswith(end)), "Perrin Ash")
        if value is not None:
            pairs.append((one.name, value))
    return pairs


def _turned(pairs: list[tuple[str, str]], turns: tuple[Turn, ...]) -> list[tuple[str, str]]:
    for turn in turns:
        place = turn.place % len(pairs) if pairs else 0
        if turn.act == "add" or not pairs:
            pairs.append((list(PLAUSIBLE)[turn.place % len(PLAUSIBLE)].strip("_"), turn.text))
        elif turn.act == "set":
            pairs[place] = (pairs[place][0], turn.text)
        elif turn.act == "drop":
            del pairs[place]
        else:
            pairs.append((pairs[place][0], turn.text))
    return pairs


def _encoded(pairs: list[tuple[str, str]]) -> str:
    return urlencode(pairs, encoding="utf-8", errors="surrogatepass")


def _body(kind: str, pairs: list[tuple[str, str]]) -> tuple[str, bytes]:
    plain = "application/x-www-form-urlencoded"
    form = _encoded(pairs).encode()
    bodies = {
        "form": (plain, form),
        "json": ("application/json", json.dumps(pairs).encode()),
        "text": ("text/plain", form),
        "bytes": (plain, form + b"&name=%ff%fe\xff\xc3(&%=%zz&&=&"),
        "charset": (f"{plain}; charset=no-such", form),
        "empty": (plain, b""),
        "multipart": (f"multipart/form-data; boundary={BOUNDARY}", _multipart(pairs, file=False)),
        "file": (f"multipart/form-data; boundary={BOUNDARY}", _multipart(pairs, file=True)),
        "torn": ("multipart/form-data", _multipart(pairs, file=False)[:-9]),
    }
    return bodies[kind]


def _multipart(pairs: list[tuple[str, str]], *, file: bool) -> bytes:
    parts = []
    for name, value in pairs:
        kind = '; filename="../../odd.txt"' if file else ""
        head = f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"{kind}\r\n\r\n'
        parts.append(f"{head}{value}\r\n".encode("utf-8", "surrogatepass"))
    return b"".join(parts) + f"--{BOUNDARY}--\r\n".encode()
