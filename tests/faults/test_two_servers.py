"""Two servers on one PostgreSQL database: what one is told the other knows, and nothing is counted twice."""

import re
import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.benchmarks.client import PlainClient
from tests.faults.killing import OWNER, Bench, Run, Shop, count_up, facts_of
from tests.started import Served, serve

FACTS = 60
DESK = ("Tamsin", "example-desk")


@dataclass
class Two:
    """One shop and its two servers: `first`'s data are the shop's, `second` has the same key and database."""

    first: Shop
    second: Served

    @property
    def ports(self) -> tuple[int, int]:
        return self.first.port, int(self.second.url.rpartition(":")[2])

    def signed_in(self, name: str, password: str) -> tuple[PlainClient, PlainClient]:
        """A browser that signed in at the first, and goes on at the second with the same cookies."""
        here = PlainClient(self.ports[0])
        here.sign_in("/sign-in/", name, password)
        return here, PlainClient(self.ports[1], here.cookies)


@pytest.fixture
def two(tmp_path: Path, database_url: str) -> Iterator[Two]:
    first = Shop(tmp_path, database_url)
    second = None
    try:
        (tmp_path / "second").mkdir()
        key = (tmp_path / "shop.secret-key").read_text()
        second = serve(tmp_path / "second", SHOP_SECRET_KEY=key, DATABASE_URL=database_url)
        yield Two(first, second)
    finally:
        first.served.stop()
        if second:
            second.stop()


def token_of(client: PlainClient, path: str) -> str:
    found = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', client.ask("GET", path)[1])
    assert found is not None
    return found[1]


def tried(port: int, name: str, password: str) -> int:
    """The status of a try to sign in, in a browser of its own."""
    client = PlainClient(port)
    form = {"csrfmiddlewaretoken": token_of(client, "/sign-in/"), "name": name, "password": password}
    status = client.ask("POST", "/sign-in/", form)[0]
    client.connection.close()
    return status


def test_what_one_is_told_the_other_knows(two: Two) -> None:
    here, there = two.signed_in(*OWNER)
    with closing(here.connection), closing(there.connection):
        told_at_both_at_once(two, here)
        words_changed_here_stand_there(here, there)
        wrong_passwords_wait_at_both(two)
        signed_out_here_is_signed_out_there(here, there)


def told_at_both_at_once(two: Two, owner: PlainClient) -> None:
    """The same hand's facts at both servers, each at each, from both ends: every one is sent again or raced for."""
    before = two.first.data / "before"
    two.first.manage("export", before)
    facts = facts_of(two.first, before, FACTS)
    benches = [Bench(port, owner.cookies, facts[::step]) for port, step in zip(two.ports, (1, -1), strict=True)]
    threads = [threading.Thread(target=bench.work) for bench in benches]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = count_up(Run(two.first, before, facts, benches))
    assert found.is_well, found
    assert found.acknowledged == FACTS
    # Each at each; every tenth of a bench twice, every twentieth once more without waiting.
    owner.connection.close()  # so long unused, the server has closed it
    assert found.sendings == 2 * (FACTS + FACTS // 10 + FACTS // 20)


def words_changed_here_stand_there(here: PlainClient, there: PlainClient) -> None:
    words = {"word_hub": "nave", "word_hubs": "naves", "word_felloe": "felly", "word_felloes": "fellies"}
    words |= {"word_tyre": "hoop", "word_tyres": "hoops", "csrfmiddlewaretoken": token_of(here, "/settings/words/")}
    assert here.ask("POST", "/settings/words/", words)[0] in (200, 302)
    status, page, _ = there.ask("GET", "/settings/words/")
    assert (status, 'value="felly"' in page, 'value="hoops"' in page) == (200, True, True)


def wrong_passwords_wait_at_both(two: Two) -> None:
    first, second = two.ports
    tries = [tried((first, second)[number % 2], DESK[0], "not this one") for number in range(9)]
    assert tries == [422] * 8 + [429]
    assert [tried(port, *DESK) for port in two.ports] == [429, 429]
    assert [tried(port, "Bram", "example-smith") for port in two.ports] == [302, 302]


def signed_out_here_is_signed_out_there(here: PlainClient, there: PlainClient) -> None:
    before = dict(there.cookies)
    assert there.ask("GET", "/orders/")[0] == 200
    here.ask("POST", "/sign-out/", {"csrfmiddlewaretoken": here.cookies["csrftoken"]})
    there.cookies = before  # as if the browser had kept what the first server took from it
    assert there.ask("GET", "/orders/")[0] == 302
