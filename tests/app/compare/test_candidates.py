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
    assert ONE.words(FOOT).endswith(
        "20 ft of 50 lb mono leader, 10 colors of 27 lb leadcore, tip 6.6 ft up"
    )
    more = replace(ONE, line_out=COLOR.to_si(12.5))
    assert more.words(METER).endswith(
        "12.5 colors, 10 of 27 lb leadcore and then 50 lb braid backing, tip 2.0 m up"
    )
    assert "colors' length of 50 lb braid" in replace(ONE, line=None).words(FOOT)


def test_that_a_candidates_rod_is_the_one_of_a_setup(catalog: Catalog) -> None:
    ours = replace(ONE, astern=2.5, height=1.2).rod(catalog)
    assert ours.lure == catalog.lures["sinking plug, 5 in"]
    assert [section.name for section in ours.sections] == ["27 lb leadcore", "50 lb mono leader"]
    assert (ours.astern, ours.height) == (2.5, 1.2)
    assert replace(ONE, name="other", astern=2.5, height=1.2).rod(catalog) == ours


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
    tips = [(rod.astern, rod.height) for rod in demo.rods]
    assert [(c.astern, c.height) for c in usual.candidates[:2]] == tips
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


def test_that_a_copy_stands_beside_its_like_and_taking_away_keeps_the_rest() -> None:
    two = replace(ONE, name="two", lure="light jig, 1 oz", named=True)
    more = Lineup((ONE, two)).with_copy(0)
    assert more.candidates == (ONE, replace(ONE, name="one (2)"), two)
    assert Lineup((two,)).with_copy(0).candidates[1].named is False
    assert more.without(0).candidates == more.candidates[1:]


def test_that_a_name_follows_what_the_candidate_is_unless_a_person_gave_it() -> None:
    lineup = Lineup((ONE, replace(ONE, name="mine", named=True)))
    jig = replace(ONE, lure="light jig, 1 oz", line_out=COLOR.to_si(6.5))
    changed = lineup.changed(0, jig)
    assert changed.candidates[0].name == "light jig, 1 oz, 6.5 colors"
    again = changed.changed(0, replace(changed.candidates[0], line=None))
    assert again.candidates[0].name == "light jig, 1 oz, 6.5 colors of plain line"
    assert again.changed(0, replace(jig, alone=True)).candidates[0].name == "light jig, 1 oz, alone"
    kept = lineup.changed(1, replace(jig, name="mine", named=True))
    assert kept.candidates[1].name == "mine"
    twins = changed.changed(1, replace(jig, named=False))
    assert twins.candidates[1].name == "light jig, 1 oz, 6.5 colors (2)"


def test_that_lures_chosen_are_each_fished_as_one_candidate_is() -> None:
    like = replace(ONE, line_out=COLOR.to_si(7.0), height=3.5)
    lineup = Lineup((like, replace(ONE, name="two"))).of_lures(0, ["a", "b" * 70])
    lineup.check()
    assert [c.lure for c in lineup.candidates] == ["a", "b" * 70]
    assert lineup.candidates[0] == replace(like, lure="a", name="a, 7 colors")
    assert {c.height for c in lineup.candidates} == {3.5}
