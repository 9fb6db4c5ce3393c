"""Candidates and what is refused of them; the usual set."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from app.common.names import free_name
from app.common.units import COLOR, FOOT, METER
from app.compare.candidates import FLOATER, MOST, Candidate, Lineup, usual_lineup
from app.gear.catalog import Catalog
from app.scenario.setup import Setup
from physics.checks import InvalidValue

ONE = Candidate("one", "sinking plug, 5 in")


def named(count: int) -> tuple[Candidate, ...]:
    return tuple(replace(ONE, name=f"c {k}") for k in range(count))


@pytest.mark.parametrize(
    ("lineup", "field"),
    [
        (Lineup(()), "candidates"),
        (Lineup(named(MOST + 1)), "candidates"),
        (Lineup(named(2), hold=0.0), "hold"),
        (Lineup(named(2), hold=-1.0), "hold"),
        (Lineup(named(2), depth=0.0), "depth"),
        (Lineup(named(2), depth=float("nan")), "depth"),
        (Lineup((ONE, ONE)), "candidate 2, name"),
        (Lineup((replace(ONE, name=" "),)), "candidate 1, name"),
        (Lineup((replace(ONE, line_out=-9.0),)), "candidate 1, colors out"),
        (Lineup((ONE, replace(ONE, name="b", leader_length=-1.0))), "candidate 2, leader length"),
    ],
)
def test_that_what_makes_no_sense_is_refused_by_field(lineup: Lineup, field: str) -> None:
    with pytest.raises(InvalidValue) as refused:
        lineup.check()
    assert refused.value.field == field


def test_that_one_and_eight_candidates_are_accepted() -> None:
    Lineup((ONE,)).check()
    Lineup(named(MOST)).check()


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"lure": "a lure of old"}, "the lure “a lure of old” is not in the tackle any more"),
        ({"line": "28 lb leadcore"}, "the line “28 lb leadcore” is not"),
        ({"leader": "string"}, "the leader “string” is not"),
        ({"line": None, "backing": "rope"}, "the backing “rope” is not"),
        ({"lure": "x", "leader": "y"}, "the lure “x” and the leader “y” are not"),
        ({"leader": "27 lb leadcore"}, "the leader “27 lb leadcore” is not"),
        ({"lure": "x", "alone": True, "line": "y"}, "the lure “x” is not"),
        ({"alone": True, "line": "y"}, ""),
        ({"backing": "rope"}, "the backing “rope” is not"),
    ],
)
def test_that_missing_tackle_is_named(catalog: Catalog, changes: dict[str, Any], says: str) -> None:
    told = replace(ONE, **changes).missing(catalog)
    assert told.startswith(says)
    assert bool(told) == bool(says)


def test_that_a_candidates_tackle_is_told_in_one_line() -> None:
    assert replace(ONE, alone=True).words(FOOT) == "sinking plug, 5 in, alone"
    assert ONE.words(FOOT).endswith("20 ft of 50 lb mono leader, 10 colors of 27 lb leadcore")
    more = replace(ONE, line_out=COLOR.to_si(12.5))
    assert more.words(METER).endswith(
        "12.5 colors, 10 of 27 lb leadcore and then 50 lb braid backing"
    )
    assert "colors' length of 50 lb braid" in replace(ONE, line=None).words(FOOT)


def test_that_a_candidates_rod_is_the_one_of_a_setup(catalog: Catalog) -> None:
    ours = ONE.rod(catalog, 2.5, 1.2)
    assert ours.lure == catalog.lures["sinking plug, 5 in"]
    assert [section.name for section in ours.sections] == ["27 lb leadcore", "50 lb mono leader"]
    assert (ours.astern, ours.height) == (2.5, 1.2)
    assert replace(ONE, name="other").rod(catalog, 2.5, 1.2) == ours


@pytest.mark.parametrize(
    ("like", "taken", "name"),
    [
        ("port", ["port"], "port (2)"),
        ("port (2)", ["port", "port (2)"], "port (3)"),
        ("7", ["7"], "7 (2)"),
        ("plug 60", ["plug 60"], "plug 60 (2)"),
        ("x" * 60, ["x" * 60], "x" * 56 + " (2)"),
    ],
)
def test_that_a_copy_gets_a_name_of_its_own(like: str, taken: list[str], name: str) -> None:
    assert free_name(like, taken) == name


def test_that_the_usual_set_has_the_setups_lines_and_a_float_on_both_kinds(
    catalog: Catalog, demo: Setup
) -> None:
    usual = usual_lineup(demo, catalog)
    usual.check()
    assert [c.name for c in usual.candidates[:2]] == ["port", "starboard"]
    floats = [c for c in usual.candidates if c.lure == FLOATER]
    assert [c.line is None for c in floats] == [True, False]
    assert usual.hold == demo.hold
    assert not any(c.missing(catalog) for c in usual.candidates)


def test_that_the_usual_set_makes_do_with_any_setup(catalog: Catalog, demo: Setup) -> None:
    rod = demo.rods[0]
    own = replace(rod, lure=catalog.lures["light jig, 1 oz"], name="own lure")
    clash = replace(rod, name="float plug, leadcore")
    many = tuple(replace(rod, name=f"r {k}") for k in range(6))
    for rods in ((own,), (clash, own), many):
        usual = usual_lineup(replace(demo, rods=rods, hold=None), catalog)
        usual.check()
        assert not any(c.missing(catalog) for c in usual.candidates)


def test_that_a_copy_is_of_the_last_and_taking_away_keeps_the_rest() -> None:
    lineup = Lineup((ONE, replace(ONE, name="two", lure="light jig, 1 oz")))
    more = lineup.with_copy()
    assert more.candidates[-1] == replace(more.candidates[1], name="two (2)")
    assert more.without(0).candidates == more.candidates[1:]
