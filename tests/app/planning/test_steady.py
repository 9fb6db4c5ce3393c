"""The steady answer of a plan: its parts, its words, its file and its card."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from app.gear.catalog import Catalog
from app.planning import card_table, steady
from app.planning.card_table import card_numbers
from app.planning.card_words import Card, grids
from app.planning.plan import Plan, full_answer
from app.planning.report import as_json, as_page
from app.planning.situation import PlanRequest
from app.planning.steady import (
    SteadyPlan,
    allowing,
    steady_grid,
    steady_holds,
    steady_of,
    steady_part,
    steady_plan,
    sure_at,
    taken_in,
    touch_limit,
)
from app.planning.steady_words import matters_sentence, steady_sentence, trade_sentence
from app.scenario.setup import Setup
from physics.answers.doubt import INPUTS, Doubt
from physics.answers.steady import Expected, SteadyAnswer
from physics.answers.worth import Worth
from physics.line.mesh import Resolution

SAMPLES = 16
ALLOWED = 0.03
"""Of so few samples none may touch."""

SURE = Doubt(**dict.fromkeys(INPUTS, 0.0))


@pytest.fixture(scope="module")
def plan(demo: Setup, catalog: Catalog) -> Plan:
    """Of the demo's jig alone."""
    timing = replace(demo.timing, touch_chance=ALLOWED)
    jig = replace(demo, rods=demo.rods[1:], resolution=Resolution(16, 2), timing=timing)
    waits, holds = tuple(2.0 * n for n in range(16)), tuple(2.0 * n for n in range(21))
    return full_answer(PlanRequest(jig, waits, holds), catalog)


@pytest.fixture(scope="module")
def found(plan: Plan, catalog: Catalog) -> SteadyPlan:
    return steady_plan(plan, catalog, count=SAMPLES)


def test_that_what_is_told_of_both_answers_is_what_their_drops_say(
    plan: Plan, found: SteadyPlan, catalog: Catalog
) -> None:
    assert plan.answer is not None
    assert found.exact is not None
    assert found.answer is not None
    assert (found.exact.wait, found.exact.hold) == (plan.answer.wait, plan.answer.hold)
    for told in (found.exact, found.answer):
        seen = sure_at(plan.request, catalog, (told.wait, told.hold), SAMPLES)
        assert told.window == pytest.approx(seen.expected, abs=1e-9)
        assert told.touch == seen.any_touch
    assert found.answer.touch <= ALLOWED < found.exact.touch
    assert found.answer.hold < found.exact.hold


def test_that_parts_run_apart_make_the_same_answer(plan: Plan, catalog: Catalog) -> None:
    grid = steady_grid(plan)
    halves = [steady_part(plan.request, catalog, grid, n, 2, 6) for n in range(2)]
    whole = [steady_part(plan.request, catalog, grid, 0, 1, 6)]
    apart, together = steady_of(plan, halves), steady_of(plan, whole)
    assert apart.answer == together.answer
    assert apart.drops == 6
    np.testing.assert_allclose(apart.expected.touch, together.expected.touch)


def test_that_waits_and_holds_are_told_apart_to_half_a_second_about_the_answer(
    plan: Plan, found: SteadyPlan
) -> None:
    assert found.answer is not None
    fine, table = found.fine, found.expected
    for seconds, answer in ((fine.waits, found.answer.wait), (fine.holds, found.answer.hold)):
        near = seconds[np.abs(seconds - answer) < 1.1]
        assert set(np.diff(near)) == {0.5}
    # where the table has a place, both say one thing
    assert set(table.waits) <= set(fine.waits)
    assert set(table.holds) <= set(fine.holds)
    wait, hold = float(table.waits[5]), float(table.holds[7])
    one, other = table.at(wait, hold), fine.at(wait, hold)
    assert (one.wait, one.hold, one.window, one.touch) == (
        other.wait, other.hold, pytest.approx(other.window), other.touch,
    )  # fmt: skip


def test_that_holds_end_where_nearly_every_drop_touches(plan: Plan, found: SteadyPlan) -> None:
    holds = steady_holds(plan)
    assert holds == plan.request.holds[: len(holds)]
    assert len(holds) < len(plan.request.holds)
    assert found.expected.touch[:, -1].min() > 0.8


def test_that_without_doubt_the_steady_answer_is_the_exact_one(
    plan: Plan, catalog: Catalog
) -> None:
    setup = replace(plan.request.setup, doubt=SURE)
    sure = steady_plan(replace(plan, request=replace(plan.request, setup=setup)), catalog)
    assert sure.same
    assert plan.answer is not None
    assert sure.answer is not None
    assert (sure.answer.hold, sure.answer.window) == (plan.answer.hold, plan.answer.window)
    assert sure.answer.touch == 0.0
    assert "right every time" in steady_sentence(sure, SURE, 1)


def test_that_more_touching_allowed_never_gives_a_shorter_window(
    plan: Plan, found: SteadyPlan
) -> None:
    answers = [allowing(plan, found, chance).answer for chance in (0.0, 0.1, 0.2, 0.3, 0.5)]
    windows = [0.0 if one is None else one.window for one in answers]
    assert windows == sorted(windows)
    assert windows[0] < windows[-1]


def test_that_of_the_answers_is_told_what_their_drops_say_and_elsewhere_what_the_table_does(
    found: SteadyPlan,
) -> None:
    for one in (found.exact, found.answer):
        assert one is not None
        assert found.at(one.wait, one.hold) is one
    assert found.answer is not None
    wait, hold = found.answer.wait, found.answer.hold - 2.0
    assert found.at(wait, hold) == found.fine.at(wait, hold)


def test_that_an_answer_whose_drops_touch_too_often_makes_way_for_a_shorter_hold(
    plan: Plan, found: SteadyPlan, catalog: Catalog
) -> None:
    assert found.exact is not None
    point = found.exact.wait, found.exact.hold
    wrong = replace(found, answer=found.exact)
    sure = sure_at(plan.request, catalog, point, SAMPLES)
    mended = taken_in(plan, wrong, sure, *point)
    assert mended.exact == found.exact
    assert mended.answer is not None
    assert mended.answer.hold < point[1]


def test_that_the_limit_lies_where_touching_becomes_as_likely_as_may_be(
    found: SteadyPlan,
) -> None:
    limit = touch_limit(found.expected, 0.1)
    w = len(limit) // 2
    assert np.interp(limit[w], found.expected.holds, found.expected.touch[w]) == pytest.approx(0.1)
    assert np.isnan(
        touch_limit(replace(found.expected, touch=found.expected.touch + 1.0), 0.1)
    ).all()


def told(steady: tuple[float, ...], exact: tuple[float, ...]) -> SteadyPlan:
    """A plan with (wait, hold, window, touch) of both answers."""
    answers = [SteadyAnswer(a, b, c, 0.2, d, 0.03) for a, b, c, d in (steady, exact)]
    nothing = Worth(3.0, *np.zeros((2, len(INPUTS))))
    table = Expected(*np.zeros((2, 1)), *np.zeros((4, 1, 1)))
    return SteadyPlan(table, table, 0.1, 64, answers[1], answers[0], nothing)


def test_that_words_tell_what_the_steady_answer_costs_and_gains() -> None:
    cost = told((14.0, 18.0, 2.0, 0.09), (14.0, 21.0, 3.1, 0.22))
    assert trade_sentence(cost) == (
        "Hold 3 s less: touches in 9 drops of 100 instead of 22, for 1.1 s less window a drop."
    )
    gain = told((15.0, 18.0, 3.5, 0.09), (14.0, 21.0, 3.1, 0.22))
    assert "Hold 3 s less, wait 1 s more" in trade_sentence(gain)
    assert trade_sentence(gain).endswith("and 0.4 s more window a drop.")
    same = told((14.0, 21.0, 3.1, 0.02), (14.0, 21.0, 3.1, 0.02))
    assert trade_sentence(same) == ""
    assert "also the steady one" in steady_sentence(same, Doubt(), 1)
    none = replace(gain, answer=None)
    assert "in 10 drops of 100 at most" in steady_sentence(none, Doubt(), 2)
    assert "all lines added up" in steady_sentence(gain, Doubt(), 2)
    assert "added up" not in steady_sentence(gain, Doubt(), 1)
    # how often is told with its error, where that is any
    assert steady_sentence(gain, Doubt(), 1).endswith("touches in 9 ± 3 drops of 100.")
    sure = replace(gain.answer, touch=0.01, touch_error=0.0)
    assert steady_sentence(replace(gain, answer=sure), Doubt(), 1).endswith("in 1 drop of 100.")
    sure = replace(gain.answer, touch=0.0, touch_error=0.0)
    assert steady_sentence(replace(gain, answer=sure), Doubt(), 1).endswith("in 0 drops of 100.")


def test_that_words_tell_what_is_worth_measuring_and_when_nothing_is() -> None:
    gain, error = np.zeros(6), np.full(6, 0.2)
    assert "no one of the unsure numbers" in matters_sentence(Worth(3.0, gain, error))
    gain[INPUTS.index("coast_down")], gain[INPUTS.index("line_drag")] = 0.5, 1.4
    words = matters_sentence(Worth(3.0, gain, error))
    assert "drag of the line" in words
    assert "1.4 s more" in words
    assert "coast-down 0.5 s" in words


def test_that_page_and_file_tell_it_only_where_it_was_asked_for(
    plan: Plan, found: SteadyPlan
) -> None:
    page = as_page(plan, None, found)
    assert "Steady: wait" in page
    assert "Steady" not in as_page(plan)
    read = json.loads(as_json(plan, None, "1", found))["steady"]
    assert found.answer is not None
    assert read["answer"]["hold_s"] == found.answer.hold
    assert read["answer"]["touch"] == found.answer.touch
    assert read["touch_chance"] == ALLOWED
    assert np.shape(read["map"]["window_s"]) == found.expected.window.shape
    assert set(read["worth"]["gain_s"]) == set(INPUTS)
    assert "steady" not in json.loads(as_json(plan, None, "1"))


def test_that_a_steady_card_holds_no_longer_than_any_other_and_says_so(
    plan: Plan, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(card_table, "COLORS", 1)
    monkeypatch.setattr(card_table, "doubt_rows", lambda request: steady.doubt_rows(request, 8))
    from datetime import date

    setup = plan.request.setup
    cards = []
    for wish in (False, True):
        own = replace(setup, card=replace(setup.card, steady=wish, depths=(8.0, 9.144)))
        cards.append(Card(card_numbers(PlanRequest(own), catalog), date.today()))
    usual, calm = (card.numbers.tackles[0].hold for card in cards)
    assert (calm <= usual).all()
    assert (calm < usual - 0.5).any()
    assert grids(cards[1], 0)[0].title.startswith("STEADY HOLD")
    assert "3 drops of 100" in cards[1].legend(0)
    assert "3 drops of 100" not in cards[0].legend(0)
