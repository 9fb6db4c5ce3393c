"""What a plan says: the answer, why a line misses, and what would help."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.common.units import COLOR, FOOT, KNOT, METER
from app.gear.catalog import Catalog
from app.planning.plan import Plan, finish, full_answer
from app.planning.put_out import PutOut
from app.planning.put_out_grid import usual_request
from app.planning.put_out_limits import Limit
from app.planning.put_out_words import limits_words
from app.planning.shortfalls import Miss, Shortfall
from app.planning.situation import PlanRequest
from app.planning.words import (
    already_out_sentence,
    answer_sentence,
    line_seconds,
    miss_words,
    misses_words,
    notes,
    of_drops,
    shortfall_words,
)
from app.scenario.setup import Setup
from physics.answers.timing import Answer
from physics.environment.water import Bottom
from physics.simulation.scenario import Mark
from physics.vessel.boat import Order
from tests.app.planning.test_plan import over


def test_that_a_line_out_of_reach_says_why_and_what_was_found_to_do_it(
    catalog: Catalog, demo: Setup
) -> None:
    rod = replace(demo.rods[0], line_out=COLOR.to_si(5.0))
    deep = over(replace(demo, rods=(rod,)), Bottom.level(FOOT.to_si(48.0)))
    request = PlanRequest(deep, holds=(0.0, 20.0, 40.0, 60.0), waits=(0.0, 4.0))
    (short,) = full_answer(request, catalog).shortfalls
    words = shortfall_words(short)
    assert words.startswith("With 60 s of hold port comes no nearer bottom than ")
    assert short.tried
    kinds = {remedy.kind: remedy.text for remedy in short.remedies}
    # what is said to do it does it
    if "colors" in kinds:
        more = COLOR.to_si(float(kinds["colors"].split()[0]))
        longer = replace(deep, rods=(replace(rod, line_out=more),))
        assert full_answer(replace(request, setup=longer), catalog).reach[0] is not None
    if "lure" in kinds:
        assert "sinker" not in kinds["lure"]
        lure = kinds["lure"].split(" instead of ")[0]
        heavier = replace(deep, rods=(replace(rod, lure=lure),))
        assert full_answer(replace(request, setup=heavier), catalog).reach[0] is not None
    assert kinds


def test_that_words_name_the_wait_the_hold_and_the_window(plan: Plan, catalog: Catalog) -> None:
    assert plan.answer is not None
    wait, hold = plan.answer.wait, plan.answer.hold
    none, some = sorted(plan.answer.each_line)
    assert none == 0.0
    assert answer_sentence(plan) == (
        f"Wait {wait:g} s after the mark, hold {hold:g} s: "
        f"1 of 2 lures lifts through the mark for {some:.1f} s."
    )
    higher = finish(replace(plan.request, mark=Mark(6.0, band=0.9)), catalog, plan.responses)
    assert already_out_sentence(higher).startswith("Already out of gear at the mark: hold ")


def test_that_three_lines_of_four_seconds_are_not_said_to_lift_for_twelve(plan: Plan) -> None:
    def said(*each: float) -> str:
        return answer_sentence(replace(plan, answer=Answer(2.0, 9.0, sum(each), each)))

    assert said(4.0, 4.0, 4.0).endswith(": each lure lifts through the mark for 4.0 s.")
    assert said(4.0, 0.0, 3.0).endswith(": 2 of 3 lures lift through the mark for 3.0 to 4.0 s.")
    assert said(4.0, 0.0).endswith(": 1 of 2 lures lifts through the mark for 4.0 s.")
    assert said(4.0).endswith(": the lure lifts through the mark for 4.0 s.")
    assert line_seconds(["a", "b", "c"], [4.0, 4.0, 4.0]) == (
        "Through the mark: a 4.0 s, b 4.0 s, c 4.0 s; all lines added up, 12.0 s."
    )
    assert line_seconds(["a"], [4.0]) == ""


def test_that_an_answers_windows_are_each_lines_own_and_add_up(plan: Plan) -> None:
    assert plan.answer is not None
    assert sum(plan.answer.each_line) == pytest.approx(plan.answer.window, abs=1e-9)
    for seconds, rod in zip(plan.answer.each_line, plan.rods, strict=True):
        assert seconds == pytest.approx(rod.lifting, abs=0.11)


def test_that_a_best_hold_at_the_edge_of_what_was_tried_says_so(plan: Plan) -> None:
    longest = plan.request.holds[-1]
    edge = replace(plan, answer=Answer(0.0, longest, 4.0, (4.0,)))
    assert answer_sentence(edge).endswith(
        "No hold over 60 s was tried; a longer one may do better."
    )
    inside = replace(plan, answer=Answer(0.0, longest - 1.0, 4.0, (4.0,)))
    assert "was tried" not in answer_sentence(inside)


def test_that_no_answer_says_so_and_where_the_lures_lift(plan: Plan, catalog: Catalog) -> None:
    high = finish(replace(plan.request, mark=Mark(0.5, band=0.2)), catalog, plan.responses)
    assert high.answer is None
    assert "No wait and hold" in answer_sentence(high, METER)
    assert "0.6 m" in answer_sentence(high, METER)
    assert "they lift" in already_out_sentence(high)
    assert [miss.why for miss in high.misses] == ["deep", "deep"]
    assert "below the mark" in miss_words(high.misses[0], high.request)


@pytest.mark.parametrize(
    ("why", "words"),
    [
        ("foul", "port short touches bottom on each"),
        ("ground", "every wait and hold here"),
        ("shallow", "above the mark"),
        ("deep", "below the mark"),
        ("aside", "leave the mark"),
        ("waits", "from its place"),
        ("lift", "never lifting"),
    ],
)
def test_that_every_reason_for_a_miss_has_words(why: str, words: str, plan: Plan) -> None:
    by = -1.0 if why == "foul" else 1.0
    said = miss_words(Miss(0, "port", why, by, "", 3.0, "port short"), plan.request)  # type: ignore[arg-type]
    # a name stays as it was typed, and begins no sentence
    assert said.startswith(("The lure of port ", "For port "))
    assert words in said


@pytest.mark.parametrize("what", ["ground", "shallow", "aside", "place", "lift"])
def test_that_no_limit_begins_with_a_name(what: str, demo: Setup) -> None:
    limits = tuple(Limit(what, rod.name, 1.0, "port") for rod in demo.rods)  # type: ignore[arg-type]
    found = PutOut(usual_request(demo), None, (), limits)  # type: ignore[arg-type]
    (said,) = limits_words(found)
    assert said.startswith(("Whatever is out, port and starboard ", "The mark is too deep"))


def test_that_one_drop_is_one_and_a_share_that_was_entered_is_told_as_it_is() -> None:
    assert of_drops(0.01) == "1 drop of 100"
    assert of_drops(0.094) == "9 drops of 100"
    assert of_drops(0.025, 1) == "2.5 drops of 100"


def test_that_a_miss_to_the_side_is_told_with_its_distance(plan: Plan, catalog: Catalog) -> None:
    setup = plan.request.setup
    water = replace(setup.water, current=(1.0, 0.0))
    request = PlanRequest(
        replace(setup, water=water, heading=0.0),
        holds=(0.0, 10.0, 20.0),
        waits=(0.0, 8.0, 16.0),
        mark=Mark(6.0, band=0.9),
    )
    aside = full_answer(request, catalog)
    assert {miss.why for miss in aside.misses} == {"aside"}
    assert all(miss.by > 8.0 for miss in aside.misses)
    # the boat crabs to the east of where she points: lures astern lie east of her own track
    assert {miss.side for miss in aside.misses} == {"starboard"}
    (said,) = misses_words(aside)
    assert "to starboard of the mark" in said
    nearest = min(FOOT.from_si(miss.by) for miss in aside.misses)
    assert said.startswith(f"The lines pass {nearest:.0f} to ")
    apart = replace(aside, misses=(aside.misses[0], replace(aside.misses[1], side="port")))
    assert len(misses_words(apart)) == 2


def test_that_a_hanging_line_is_not_said_to_fall() -> None:
    words = shortfall_words(Shortfall(0, "port", 60.0, 3.0, 0.0, (), True))
    assert "hangs on all the line it has" in words
    assert "Neither" in words


def test_that_left_out_helm_orders_are_owned_up_to(plan: Plan, catalog: Catalog) -> None:
    orders = (Order(2.0, "throttle", KNOT.to_si(5.0)),)
    told = finish(
        replace(plan.request, setup=replace(plan.request.setup, orders=orders)),
        catalog,
        plan.responses,
    )
    assert any("left out of the plan" in note for note in notes(told))
