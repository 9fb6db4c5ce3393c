"""How sure a plan is: the chances of touching, the bands, and how they are told."""

from __future__ import annotations

import json
import math
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context

import numpy as np
import pytest

from app.gear.catalog import Catalog
from app.planning.certainty import holds_of, holds_part, sure_of, sure_part
from app.planning.doubts import doubt_part, doubt_rows, doubts
from app.planning.plan import Plan
from app.planning.report import as_json
from app.planning.words import (
    band_words,
    how_sure,
    risk_figure,
)
from physics.answers.chances import Chances, gathered
from physics.answers.doubt import INPUTS, Doubt


def test_that_how_sure_says_the_spread_and_what_to_do(chance: Chances, plan: Plan) -> None:
    words = how_sure(chance, plan)
    assert words.startswith("In 8 drops of 10 the lowest line comes within ")
    assert "Mostly " in words
    assert len(band_words(chance, plan)) == 2
    # a lure that floats
    floats = band_words(replace(chance, bands=np.full_like(chance.bands, -0.01)), plan)
    assert "deepest 0.0 to 0.0 ft in 8 drops of 10, 0.0 in the middle." in floats[0]


def test_that_a_chance_to_touch_is_said_with_its_error(chance: Chances, plan: Plan) -> None:
    clearance, rows = np.zeros((16, 2)), np.ones((16, len(INPUTS)))
    clearance[:8, 0] = 1.0
    some = replace(chance, clearance=clearance, rows=rows, touch=np.array([0.5, 1.0]))
    words = how_sure(some, plan)
    assert "In 50 drops of 100, give or take 13, port touches bottom." in words
    assert "In 100 drops of 100 starboard touches bottom." in words


def test_that_the_risk_is_that_of_any_line_and_says_how_sure_it_is(chance: Chances) -> None:
    one, other = np.ones((16, 2)), np.ones((16, 2))
    one[:4, 0] = other[4:8, 1] = 0.0
    both = replace(chance, clearance=np.minimum(one, other))
    assert risk_figure(replace(chance, clearance=one)) == ("25", "give or take 11")
    assert risk_figure(both) == ("50", "give or take 13")
    none = replace(chance, clearance=np.ones((64, 2)))
    assert risk_figure(none) == ("<2", "none of 64 drops")
    assert risk_figure(replace(none, clearance=np.zeros((64, 2)))) == (">98", "all of 64 drops")
    sure = replace(none, correlation=np.zeros(len(INPUTS)))
    assert risk_figure(sure) == ("0", "nothing is in doubt")


def test_that_doubts_run_apart_say_the_same(plan: Plan, catalog: Catalog) -> None:
    rows = doubt_rows(plan.request, 6)
    whole = gathered([doubt_part(plan.request, catalog, plan.point, rows)], rows)
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as executor:
        halved = [
            executor.submit(doubt_part, plan.request, catalog, plan.point, half)
            for half in (rows[:3], rows[3:])
        ]
        apart = gathered([half.result() for half in halved], rows)
    for name in ("bands", "clearance", "holds"):
        assert getattr(apart, name) == pytest.approx(getattr(whole, name), abs=1e-3)
    assert apart.longest == plan.request.holds[-1]


def test_that_where_nothing_is_in_doubt_one_drop_says_it(plan: Plan, catalog: Catalog) -> None:
    sure = Doubt(**dict.fromkeys(INPUTS, 0.0))
    request = replace(plan.request, setup=replace(plan.request.setup, doubt=sure))
    assert (doubt_rows(request, 32) == np.ones((1, len(INPUTS)))).all()
    # in halves one of them has none
    parts = [sure_part(request, catalog, (0.0, 12.0), number, 2, 32) for number in range(2)]
    found = sure_of(parts)
    assert len(found.clearance) == 1
    assert found.any_touch_error == 0.0
    assert risk_figure(found) == ("0", "nothing is in doubt")
    holds = holds_of([holds_part(request, catalog, number, 2, 32) for number in range(2)])
    assert (holds[0] == holds[2]).all()


def test_that_the_holds_needed_lie_about_the_plans_own(chance: Chances, plan: Plan) -> None:
    for number, hold in enumerate(plan.reach):
        low, middle, high = chance.holds[:, number]
        assert hold is not None
        assert low < hold < high
        # coarser lines, and the middle of 16 samples
        assert middle == pytest.approx(hold, abs=2.0)


HOLDS_SAID = [
    ((14.2, 16.0, 18.8), "14 to 19 s of hold bring it within 2.0 ft of bottom in 8 drops of 10."),
    ((14.2, 14.3, 14.4), "About 14 s of hold bring it within 2.0 ft of bottom."),
    ((14.2, 16.0, math.inf), "14 s of hold or more bring it within 2.0 ft of bottom; in 1 drop of "
     "10 or more not even 60 s."),
    ((14.2, math.inf, math.inf), "14 s of hold or more bring it within 2.0 ft of bottom; in half "
     "of the drops or more not even 60 s."),
    ((math.inf,) * 3, "In 9 drops of 10 not even 60 s of hold bring it within 2.0 ft of bottom."),
    ((math.nan,) * 3, "in the middle."),
]  # fmt: skip


@pytest.mark.parametrize(("holds", "words"), HOLDS_SAID)
def test_that_the_band_of_holds_is_said(
    holds: tuple[float, ...], words: str, chance: Chances, plan: Plan
) -> None:
    both = np.tile(np.array(holds)[:, None], (1, 2))
    said = band_words(replace(chance, holds=both), plan)
    assert all(each.endswith(words) for each in said)


def test_that_a_hold_beyond_the_longest_is_null_in_json(chance: Chances, plan: Plan) -> None:
    holds = chance.holds.copy()
    holds[2, 0] = math.inf
    told = json.loads(as_json(plan, replace(chance, holds=holds), "0"))["chances"]
    assert told["hold_10_50_90_s"][0] == pytest.approx(chance.holds[0])
    assert told["hold_10_50_90_s"][2][0] is None
    assert told["longest_hold_s"] == plan.request.holds[-1]


def test_that_every_input_has_its_advice(chance: Chances, plan: Plan) -> None:
    for number in range(len(INPUTS)):
        correlation = np.zeros(len(INPUTS))
        correlation[number] = -0.9
        assert "Mostly " in how_sure(replace(chance, correlation=correlation), plan)


def test_that_without_doubt_nothing_is_said_of_it(chance: Chances, plan: Plan) -> None:
    none = replace(chance, correlation=np.zeros(len(INPUTS)))
    assert "Nothing is in doubt" in how_sure(none, plan)


def test_that_the_setups_own_doubts_are_used(plan: Plan, catalog: Catalog) -> None:
    calm = replace(plan.request.setup, doubt=Doubt(**dict.fromkeys(INPUTS, 0.0) | {"bottom": 0.2}))
    found = doubts(replace(plan.request, setup=calm), catalog, (0.0, 4.0), count=8)
    assert found.driver == "bottom"
    assert np.ptp(found.bands[:, 0], axis=0).max() < 0.01
