"""Question cards: round numbers, answers that a finer simulation confirms, and when again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from app.catalog import Catalog
from app.drill_questions import (
    DAYS,
    Card,
    Question,
    answer,
    asked_rod,
    due_after,
    judged,
    make_questions,
    next_box,
    pick,
    words,
)
from app.setup import Setup
from app.units import COLOR, FOOT, KNOT, METER
from physics.boat import Order
from physics.checks import Unusable
from physics.drop import simulate
from physics.holds import Stopped
from physics.scenario import Mark
from physics.tackle import LineSection
from physics.water import Bottom

COARSE = 0.6
"""Seconds that an answer may be off for its coarse lines."""

TODAY = date(2031, 5, 2)


def asked(feet: float, colors: float, knots: float) -> Question:
    return Question(FOOT.to_si(feet), COLOR.to_si(colors), KNOT.to_si(knots))


def test_that_questions_are_round_and_about_the_setups_own_numbers(demo: Setup) -> None:
    made = make_questions(demo, 3, 200)
    depth = float(demo.water.bottom.depth_at(np.zeros(1), np.zeros(1))[0])
    rod = asked_rod(demo)
    for values, unit, step, own, steps in (
        ([one.depth for one in made], FOOT, 5.0, depth, 2),
        ([one.line_out for one in made], COLOR, 0.5, rod.line_out, 4),
        ([one.speed for one in made], KNOT, 0.5, demo.speed, 2),
    ):
        counts = np.array([unit.from_si(value) / step for value in values])
        assert np.allclose(counts, np.round(counts), atol=1e-9)
        assert np.abs(counts - unit.from_si(own) / step).max() <= steps + 0.5
        assert len({round(count) for count in counts}) == 2 * steps + 1


def test_that_a_seed_gives_the_same_questions_and_another_gives_others(demo: Setup) -> None:
    made = make_questions(demo, 7, 20)
    assert made == make_questions(demo, 7, 20)
    assert made != make_questions(demo, 8, 20)
    assert len(set(made)) == len(made) == 20


def test_that_no_line_shorter_than_the_water_is_deep_is_asked_about(demo: Setup) -> None:
    rod = replace(asked_rod(demo), line_out=COLOR.to_si(1.0))
    deep = replace(demo.water, bottom=Bottom.level(FOOT.to_si(60.0)))
    made = make_questions(replace(demo, rods=(rod,), water=deep), 1, 200)
    assert 0 < len(made) < 200
    for one in made:
        assert one.depth - demo.timing.clearance < one.line_out + rod.leader_length
        assert one.line_out > 0.0


def test_that_the_depth_is_the_one_under_the_mark(demo: Setup) -> None:
    mark = Mark(5.0, time=60.0)
    along = demo.speed * 60.0
    shoal = Bottom(((0.0, 60.0), (along - 5.0, 60.0), (along, 20.0), (along + 5.0, 60.0)),
                   demo.heading)  # fmt: skip
    sloping = replace(demo, water=replace(demo.water, bottom=shoal), mark=mark)
    depths = [FOOT.from_si(one.depth) for one in make_questions(sloping, 1, 200)]
    assert (min(depths), max(depths)) == (pytest.approx(55.0), pytest.approx(75.0))


def test_that_sections_of_ones_own_stay_as_long_as_they_are(demo: Setup) -> None:
    own = LineSection("own", 70.0, 9e-4, 2.4e-3, 800.0)
    rod = replace(demo.rods[0], sections=(own, LineSection("end", 5.0, 5e-4, 2e-4, 900.0)))
    made = make_questions(replace(demo, rods=(rod,)), 1, 10)
    assert {one.line_out for one in made} == {75.0}
    assert asked_rod(replace(demo, rods=(rod, replace(demo.rods[1], sections=None)))) != rod


@pytest.mark.parametrize("count", [0, 201, True])
def test_that_only_some_numbers_of_questions_are_made(demo: Setup, count: int) -> None:
    with pytest.raises(Unusable, match="count"):
        make_questions(demo, 1, count)


def test_that_a_question_is_put_as_a_mate_puts_it() -> None:
    assert words(asked(40, 8, 7), FOOT) == "Bottom 40 ft, 8 colors, 7 kn: how long a hold?"
    assert words(asked(5, 1, 6.5)) == "Bottom 5 ft, 1 color, 6.5 kn: how long a hold?"
    assert words(asked(40, 7.5, 7), METER).startswith("Bottom 12.2 m, 7.5 colors,")


@pytest.mark.parametrize(("feet", "colors", "knots"), [(20, 9.5, 7.5), (30, 11, 7)])
def test_that_the_hold_brings_a_finer_line_just_within_the_clearance(
    demo: Setup, catalog: Catalog, feet: float, colors: float, knots: float
) -> None:
    question = asked(feet, colors, knots)
    hold = answer(question, demo, catalog)
    assert hold is not None

    def height(held: float) -> float:
        rod = replace(asked_rod(demo), line_out=question.line_out)
        water = replace(demo.water, bottom=Bottom.level(200.0))
        orders = (Order(0.0, "out of gear"), Order(held, "in gear"))
        alone = replace(
            demo, rods=(rod,), water=water, speed=question.speed, mark=None, hold=None,
            orders=orders, duration=held + 25.0,
        )  # fmt: skip
        line = simulate(alone.scenario(catalog)).lines[0]
        nodes = line.nodes(np.arange(0.0, held + 25.0, 0.25))
        return question.depth + float(nodes[:, 2].min())

    assert height(hold - COARSE) > demo.timing.clearance > height(hold + COARSE)


def test_that_more_water_or_speed_wants_a_longer_hold(demo: Setup, catalog: Catalog) -> None:
    first = answer(asked(20, 9.5, 7.5), demo, catalog)
    deeper = answer(asked(25, 9.5, 7.5), demo, catalog)
    slower = answer(asked(20, 9.5, 7.0), demo, catalog)
    assert first is not None
    assert deeper is not None
    assert slower is not None
    assert slower < first < deeper


def test_that_the_clearance_wanted_counts(demo: Setup, catalog: Catalog) -> None:
    question = asked(20, 9.5, 7.5)
    more = replace(demo, timing=replace(demo.timing, clearance=demo.timing.clearance + 0.6))
    near, far = answer(question, demo, catalog), answer(question, more, catalog)
    assert near is not None
    assert far is not None
    assert far < near - 0.5


def test_that_out_of_reach_is_none_and_near_already_is_no_hold(
    demo: Setup, catalog: Catalog
) -> None:
    assert answer(asked(100, 9, 7), demo, catalog) is None
    assert answer(asked(5, 12, 5), demo, catalog) == 0.0


def test_that_an_answer_can_be_stopped_and_tells_how_far_it_is(
    demo: Setup, catalog: Catalog
) -> None:
    told: list[float] = []

    def stop(share: float) -> bool:
        told.append(share)
        return len(told) > 3

    with pytest.raises(Stopped):
        answer(asked(20, 9.5, 7.5), demo, catalog, stop)
    assert told == sorted(told)
    assert len(told) == 4


@pytest.mark.parametrize(
    ("right", "given", "wanted"),
    [
        (10.0, 12.0, True), (10.0, 7.9, False), (10.0, 8.1, True), (10.0, 12.1, False),
        (40.0, 43.9, True), (40.0, 44.1, False), (40.0, 36.1, True), (40.0, 35.9, False),
        (0.0, 1.9, True), (None, None, True), (None, 30.0, False), (30.0, None, False),
        (10.0, float("nan"), False),
    ],
)  # fmt: skip
def test_that_two_seconds_or_a_tenth_are_allowed(
    right: float | None, given: float | None, wanted: bool
) -> None:
    assert judged(right, given) is wanted


def test_that_right_moves_up_and_wrong_goes_to_the_first_box() -> None:
    assert [next_box(box, True) for box in range(1, 6)] == [2, 3, 4, 5, 5]
    assert [next_box(box, False) for box in range(1, 6)] == [1] * 5
    days = [(due_after(box, TODAY) - TODAY).days for box in range(1, 6)]
    assert days == [0, 1, 3, 7, 14] == list(DAYS)
    for box in (0, 6, True):
        with pytest.raises(Unusable, match="box"):
            next_box(box, True)
        with pytest.raises(Unusable, match="box"):
            due_after(box, TODAY)
        with pytest.raises(Unusable, match="box"):
            Card(asked(20, 8, 7), box, TODAY)


def test_that_an_answered_card_is_in_its_next_box_and_due_when_that_says() -> None:
    card = Card(asked(20, 8, 7), 3, TODAY)
    assert card.answered(True, TODAY) == Card(card.question, 4, date(2031, 5, 9))
    assert card.answered(False, TODAY) == Card(card.question, 1, TODAY)


def test_that_only_due_cards_are_picked_and_low_boxes_oftener() -> None:
    cards = [Card(asked(20 + 5 * box, 8, 7), box, TODAY) for box in range(1, 6)]
    later = Card(asked(80, 8, 7), 1, TODAY + timedelta(days=1))
    picked = [pick([*cards, later], TODAY, seed) for seed in range(400)]
    counts = [picked.count(card) for card in cards]
    assert sum(counts) == 400
    assert min(counts) > 0
    assert counts[0] > 2 * counts[4]
    assert pick([later], TODAY, 1) is None
    assert pick([later], TODAY + timedelta(days=1), 1) == later
    assert pick([], TODAY, 1) is None


def test_that_a_pick_depends_on_nothing_but_cards_day_and_seed() -> None:
    cards = [Card(asked(20 + 5 * n, 8, 7), 1, TODAY) for n in range(20)]
    assert [pick(cards, TODAY, n) for n in range(9)] == [pick(cards[::-1], TODAY, n)
                                                         for n in range(9)]  # fmt: skip
    assert len({pick(cards, TODAY, seed) for seed in range(50)}) > 5


@pytest.mark.parametrize("bad", [(0.0, 50.0, 3.0), (10.0, 0.0, 3.0), (10.0, 50.0, float("nan"))])
def test_that_a_question_that_makes_no_sense_is_not_made(bad: tuple[float, float, float]) -> None:
    with pytest.raises(Unusable):
        Question(*bad)
