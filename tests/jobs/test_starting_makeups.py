"""The library that a new shop begins with."""

from dataclasses import fields

from jobs.makeup import MakeUp, problems
from jobs.starting_makeups import STARTING_MAKEUPS


def test_there_are_fourteen_with_names_of_their_own() -> None:
    assert len(STARTING_MAKEUPS) == 14
    assert len({each.name for each in STARTING_MAKEUPS}) == 14


def test_every_one_can_be_made_new() -> None:
    refused = {
        each.name: problem.sentence
        for each in STARTING_MAKEUPS
        for problem in problems(each.makeup, new_work=True)
        if problem.refuse
    }
    assert refused == {}


def test_everyday_ones_claim_no_source_and_published_ones_name_theirs() -> None:
    for each in STARTING_MAKEUPS:
        if each.status == "published":
            assert each.source
            assert each.given
        else:
            assert each.status == "common practice, no source"
            assert not each.source
            assert not each.given


def test_the_everyday_ones_are_there() -> None:
    names = {each.name for each in STARTING_MAKEUPS if each.status != "published"}
    assert names == {"Gig", "Dog-cart", "Wagonette, fore", "Wagonette, hind", "Farm cart", "Barrow"}


def test_what_a_source_gives_are_fields_of_the_make_up() -> None:
    known = {field.name for field in fields(MakeUp)}
    assert all(each.given <= known for each in STARTING_MAKEUPS)


def test_they_fit_the_columns_of_the_library() -> None:
    for each in STARTING_MAKEUPS:
        assert len(each.name) <= 80
        assert len(each.carriage) <= 80
        assert len(each.place) <= 20
        assert len(each.status) <= 40
