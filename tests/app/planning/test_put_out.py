"""What to put out: against a full grid of plans, with pins, in a mirror, and where nothing does."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

import pytest
from numpy.testing import assert_allclose

from app.common.units import COLOR, FOOT
from app.gear.catalog import Catalog
from app.planning.doubts import doubts
from app.planning.plan import full_answer
from app.planning.put_out import PutOut, put_out, search
from app.planning.put_out_check import Refused, look_at
from app.planning.put_out_drafts import Draft
from app.planning.put_out_full import Suggestion, run_in_full
from app.planning.put_out_grid import (
    STAYS,
    PutOutRequest,
    RodFreedom,
    lengths_of,
    speeds_of,
    usual_request,
)
from app.planning.put_out_try import FIRST_HOLDS, try_speed
from app.planning.put_out_words import as_page, limits_words, reasons, title, verdict
from app.planning.situation import PlanRequest
from app.planning.steady import steady_part
from app.scenario.setup import Setup
from physics.answers.crossings import Crossing
from physics.answers.doubt import INPUTS, Doubt
from physics.answers.put_out import Pick
from physics.checks import InvalidValue
from physics.environment.current import PowerLaw
from physics.environment.water import Bottom
from physics.line.mesh import Resolution
from physics.simulation.scenario import Mark
from physics.vessel.boat import Boat

HOLD = 12.0
CLEARANCE = 0.1  # m; what the search promises
MOST = COLOR.to_si(2.5)


SURE = Doubt(**dict.fromkeys(INPUTS, 0.0))


@pytest.fixture(scope="module")
def small(demo: Setup) -> Setup:
    """Two short lines, coarse, over a shallow bottom; nothing is in doubt."""
    colors = (2.0, 1.0)
    rods = tuple(
        replace(rod, line_out=COLOR.to_si(out)) for rod, out in zip(demo.rods, colors, strict=True)
    )
    return replace(
        demo, rods=rods, speed=demo.speed * 0.6, mark=Mark(FOOT.to_si(9.0), 10.0, FOOT.to_si(3.0)),
        water=replace(demo.water, bottom=Bottom.level(FOOT.to_si(14.0))),
        resolution=Resolution(line_elements=8, leader_elements=2, grading=1.0), doubt=SURE,
    )  # fmt: skip


def asked(setup: Setup, **changes) -> PutOutRequest:
    """Line up to three colors at this speed and hold, however far apart they lift."""
    rods = (RodFreedom(most=MOST),) * len(setup.rods)
    return replace(PutOutRequest(setup, rods, None, HOLD, None, None), **changes)


def best_of(found: PutOut) -> float:
    """The longest window that it can have, s."""
    return max([found.before.window, *(one.looked.window for one in found.suggestions)])


@pytest.fixture(scope="module")
def found(small: Setup, catalog: Catalog) -> PutOut:
    return put_out(asked(small), catalog)


def grid_best(setup: Setup, catalog: Catalog, most: float) -> float:
    """The longest window of all plans of a full grid of line out, s."""
    lengths = [lengths_of(rod, RodFreedom(most=most))[0] for rod in setup.rods]
    best = 0.0
    for outs in product(*lengths):
        rods = tuple(replace(r, line_out=out) for r, out in zip(setup.rods, outs, strict=True))
        plan = full_answer(
            PlanRequest(replace(setup, rods=rods), holds=(HOLD - 1.0, HOLD)), catalog
        )
        clear = plan.map.allowed(plan.request.clearance)[:, 1]
        best = max(best, float(plan.map.total[:, 1][clear].max(initial=0.0)))
    return best


def test_that_no_plan_of_a_full_grid_has_a_longer_window(
    small: Setup, catalog: Catalog, found: PutOut
) -> None:
    best = grid_best(small, catalog, MOST)
    assert best > 3.0
    assert best_of(found) >= 0.98 * best - 1e-9


@pytest.mark.long
def test_that_no_plan_of_a_larger_grid_has_a_longer_window(small: Setup, catalog: Catalog) -> None:
    most = COLOR.to_si(6.0)
    request = asked(small, rods=(RodFreedom(most=most),) * 2)
    assert best_of(put_out(request, catalog)) >= 0.98 * grid_best(small, catalog, most) - 1e-9


def test_that_the_plan_gives_every_suggestion_the_window_and_clearance_told(
    catalog: Catalog, found: PutOut
) -> None:
    assert found.suggestions
    for one in found.suggestions:
        looked = one.looked
        point = looked.wait, looked.hold
        plan = full_answer(
            PlanRequest(looked.setup, holds=(HOLD - 1.0, HOLD), chosen=point), catalog
        )
        assert [rod.lifting for rod in plan.rods] == pytest.approx(looked.each_line, abs=1e-9)
        lowest = min(rod.least_height for rod in plan.rods)
        assert lowest == pytest.approx(looked.clearance, abs=1e-9)
        assert lowest >= plan.request.clearance
        assert looked.crossing is None
        # the picture shades what is counted, a quarter of a second at a time
        for counts, seconds in zip(looked.counts, looked.each_line, strict=True):
            assert 0.25 * counts.sum() == pytest.approx(seconds, abs=0.6)


def test_that_suggestions_are_ranked_by_what_is_right_most_often(
    small: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.planning.put_out_check.SAMPLES", 12)
    setup = replace(small, doubt=Doubt(), timing=replace(small.timing, touch_chance=0.1))
    found = put_out(asked(setup, hold=None), catalog)
    assert len(found.suggestions) > 1
    expected = [one.looked.expected for one in found.suggestions]
    assert expected == sorted(expected, reverse=True)
    assert expected[-1] > found.before.expected
    every = [found.before, *(suggestion.looked for suggestion in found.suggestions)]
    assert all(one.chances is not None and one.chances.any_touch <= 0.1 for one in every)
    for one in every[:2]:
        plan = full_answer(PlanRequest(one.setup, chosen=(one.wait, one.hold)), catalog)
        assert min(rod.least_height for rod in plan.rods) >= plan.request.clearance
        assert sum(rod.lifting for rod in plan.rods) == pytest.approx(one.window, abs=1e-9)
        # what is best for exact numbers is expected to do less, or touches more often
        assert plan.answer is not None
        exact = doubts(plan.request, catalog, (plan.answer.wait, plan.answer.hold), count=12)
        assert exact.any_touch > 0.1 or exact.expected <= one.expected + 0.3
        assert plan.answer.window >= one.window - 0.11
    assert "On average" in as_page(found)


@pytest.mark.parametrize(
    ("mark", "most", "unison", "offered"), [(10.0, 4.0, 2.0, True), (9.0, 2.5, 1.5, False)]
)
def test_that_nothing_is_offered_that_touches_more_often_than_may_be(
    small: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch, mark: float, most: float,
    unison: float, offered: bool,
) -> None:  # fmt: skip
    monkeypatch.setattr("app.planning.put_out_check.SAMPLES", 12)
    setup = replace(
        small, doubt=Doubt(), mark=Mark(FOOT.to_si(mark), 10.0, FOOT.to_si(3.0)),
        timing=replace(small.timing, touch_chance=0.1, clearance=0.3),
    )  # fmt: skip
    rods = (RodFreedom(most=COLOR.to_si(most)),) * 2
    found = put_out(asked(setup, hold=None, unison=unison, rods=rods), catalog)
    assert "touch" in [one.why for one in found.refused]
    every = [*found.suggestions, *filter(None, [found.nearest])]
    assert bool(found.suggestions) == offered
    assert every
    for one in every:
        assert one.looked.chances is not None
        assert one.looked.chances.any_touch <= 0.1
        # the clearance asked for stays the person's own
        assert one.looked.setup.timing == setup.timing
    if found.nearest is not None:
        assert found.nearest.gives_up == ("unison",)
        assert found.nearest.looked.unison.apart is not None
        assert limits_words(found) == [
            "What keeps every other wish at 4.5 kn touches bottom in more than 10 drops of 100."
        ]


def test_that_pins_stay_pinned(small: Setup, catalog: Catalog) -> None:
    request = asked(small, wait=4.0, rods=(STAYS, RodFreedom(most=MOST)))
    found = put_out(request, catalog)
    every = [one.looked for one in found.suggestions] or [found.before]
    for looked in every:
        assert (looked.wait, looked.hold, looked.setup.speed) == (4.0, HOLD, small.speed)
        assert looked.setup.rods[0] == small.rods[0]
        assert (looked.setup.rods[1].lure, looked.setup.rods[1].leader) == (
            small.rods[1].lure, small.rods[1].leader,
        )  # fmt: skip


def test_that_line_that_may_change_never_gives_a_shorter_window(
    small: Setup, catalog: Catalog, found: PutOut
) -> None:
    held = put_out(asked(small, rods=(STAYS, STAYS)), catalog)
    assert best_of(held) == found.before.window
    assert best_of(found) > best_of(held)


@pytest.mark.long
def test_that_more_freedom_never_gives_a_shorter_window(small: Setup, catalog: Catalog) -> None:
    free = RodFreedom(most=MOST)
    other = replace(free, lures=("sinking plug, 7 in",), leaders=("20 lb mono leader",))
    near = 0.9 * small.speed, 1.1 * small.speed
    steps = [
        asked(small, rods=(STAYS, STAYS)), asked(small, rods=(STAYS, free)), asked(small),
        asked(small, rods=(other, free)), asked(small, rods=(other, other)),
        asked(small, rods=(other, other), speeds=near),
        asked(small, rods=(other, other), speeds=near, hold=None),
    ]  # fmt: skip
    windows = [best_of(put_out(step, catalog)) for step in steps]
    # of windows that differ by no more than a tenth the shorter hold is taken
    assert all(b >= a - 0.11 for a, b in pairwise(windows)), windows
    assert windows[-1] > windows[0]


def test_that_the_mirror_image_has_the_mirror_image_put_out(
    small: Setup, catalog: Catalog, found: PutOut
) -> None:
    rods = tuple(replace(rod, abeam=-rod.abeam) for rod in reversed(small.rods))
    other = put_out(asked(replace(small, rods=rods)), catalog)
    for one, two in zip(found.suggestions, other.suggestions, strict=True):
        assert (one.looked.wait, one.looked.hold) == (two.looked.wait, two.looked.hold)
        assert [rod.line_out for rod in one.looked.setup.rods] == [
            rod.line_out for rod in reversed(two.looked.setup.rods)
        ]


def test_that_lures_asked_to_lift_together_do(small: Setup, catalog: Catalog) -> None:
    found = put_out(asked(small, unison=1.5), catalog)
    assert found.suggestions
    for one in found.suggestions:
        assert one.looked.unison.apart is not None
        assert one.looked.unison.apart <= 1.5
        assert min(one.looked.each_line) > 0.0


def test_that_what_is_too_deep_is_said_with_what_can_be_done(
    small: Setup, catalog: Catalog
) -> None:
    deep = replace(
        small, mark=Mark(FOOT.to_si(26.0), 10.0, FOOT.to_si(3.0)),
        water=replace(small.water, bottom=Bottom.level(FOOT.to_si(32.0))),
    )  # fmt: skip
    found = put_out(asked(deep), catalog)
    assert not found.suggestions
    assert {limit.what for limit in found.limits} == {"shallow"}
    (words,) = limits_words(found)
    assert words.startswith("The mark is too deep for the line allowed at 4.5 kn")
    assert found.nearest is not None
    assert found.nearest.gives_up
    assert title(found.nearest).startswith("The nearest thing, but ")
    assert found.nearest.looked.window > 0.0
    assert words in as_page(found)


def test_that_a_speed_the_boat_is_not_driven_at_is_left_out(small: Setup, catalog: Catalog) -> None:
    short = Boat("stops short", trolling_speed=0.5, half_time=1.0, exponent=3.0)
    setup = replace(small, boat=short, speed=2.4)
    request = asked(setup, rods=(STAYS, STAYS))
    own = tuple(((rod,),) for rod in setup.rods)
    assert try_speed(request, catalog, 2.4, own) is not None
    assert try_speed(request, catalog, 2.7, own) is None


def test_that_a_hold_of_less_than_a_second_is_run_as_it_is(small: Setup, catalog: Catalog) -> None:
    shallow = replace(small, mark=Mark(FOOT.to_si(6.0), 10.0, FOOT.to_si(3.0)))
    looked = look_at(asked(shallow, hold=0.5), catalog)
    plan = full_answer(PlanRequest(shallow, holds=(0.5, 2.0), chosen=(looked.wait, 0.5)), catalog)
    lowest = min(rod.least_height for rod in plan.rods)
    assert lowest == pytest.approx(looked.clearance, abs=1e-9)


def test_that_a_bank_met_late_counts_for_the_first_look_and_for_all_samples_as_for_the_plan(
    small: Setup, catalog: Catalog
) -> None:
    deep, bank = FOOT.to_si(14.0), FOOT.to_si(8.0)
    late = Bottom(((0.0, deep), (120.0, deep), (130.0, bank), (400.0, bank)), small.heading)
    setup = replace(small, water=replace(small.water, bottom=late))
    request = PlanRequest(setup, (0.0,), (1.0, 5.0))
    plan = full_answer(request, catalog)
    level = full_answer(PlanRequest(small, (0.0,), (1.0, 5.0)), catalog)
    told = plan.map.clearance[0, 1]
    assert (told < level.map.clearance[0, 1] - 0.5).all()
    own = tuple(((rod,),) for rod in setup.rods)
    tried = try_speed(asked(setup, hold=5.0, wait=0.0), catalog, setup.speed, own)
    assert tried is not None
    assert_allclose([one[0, 0, 0] for one in tried.clearance], told, atol=CLEARANCE)
    drops = steady_part(request, catalog, (request.waits, request.holds), 0, 1, 1)
    assert_allclose(drops.clearance[0, 0, 1], told.min(), atol=CLEARANCE)
    sure = doubts(request, catalog, (0.0, 5.0), count=1)
    assert_allclose(sure.clearance[0], told, atol=CLEARANCE)


def test_that_speeds_lie_evenly_between_the_ends_and_the_one_of_now(demo: Setup) -> None:
    request = usual_request(demo)
    told = [round(demo.speed_unit.from_si(speed), 3) for speed in speeds_of(request, 0.75)]
    assert told == [6.0, 6.75, 7.5, 8.25, 9.0]
    assert speeds_of(replace(request, speeds=None), 0.75) == [demo.speed]


def test_that_line_is_let_out_by_half_colors_and_what_is_out_is_among_them(demo: Setup) -> None:
    rod = replace(demo.rods[0], line_out=COLOR.to_si(2.3), on_reel=COLOR.to_si(3.0))
    (lengths,) = lengths_of(rod, RodFreedom())
    assert [round(COLOR.from_si(x), 6) for x in lengths] == [1.0, 1.5, 2.0, 2.3, 2.5, 3.0]
    assert lengths_of(rod, STAYS) == [[rod.line_out]]


@pytest.mark.parametrize("crosses", [True, False])
def test_that_what_breaks_a_wish_is_nothing_to_beat(
    small: Setup, catalog: Catalog, found: PutOut, monkeypatch: pytest.MonkeyPatch, crosses: bool
) -> None:
    best = replace(found.before, serves=True, each_line=(2.0, 2.0), crossing=None)
    before = replace(best, crossing=Crossing(0, 1, "in the drop") if crosses else None)
    shorter = replace(best, each_line=(1.0, 1.0))
    draft = Draft("best", small.rods, Pick(small.speed, 0.0, HOLD, (0, 0), (1.0, 1.0)))

    def closer(*_):
        yield from ()
        return [draft]

    monkeypatch.setattr("app.planning.put_out.look_closer", closer)
    going = search(asked(small), catalog)
    tried = next(going)
    going.send([before, *[None] * (len(tried.jobs) - 1)])
    going.send([[draft]])
    with pytest.raises(StopIteration) as ended:
        going.send([shorter])
    answer = ended.value.value
    assert [one.looked for one in answer.suggestions] == [shorter] * crosses
    if crosses:
        assert reasons(before, shorter) == "Why: no lines cross."
    else:
        assert verdict(answer).startswith("What is out now is as good")
        assert reasons(before, shorter) == "Why: it keeps what you asked for."


def test_that_what_breaks_a_wish_is_never_said_to_be_good(found: PutOut) -> None:
    before = replace(found.before, serves=False)
    said = verdict(PutOut(found.request, before, ()))
    assert said == "Nothing does it, with all that may change here."


@pytest.mark.parametrize(
    ("out", "changes", "kept"),
    [
        ({}, {}, True),
        ({"serves": False}, {}, False),
        ({"crossing": Crossing(0, 1, "in the drop")}, {}, False),
        ({}, {"speeds": (4.0, 5.0)}, False),
        ({}, {"rods": (RodFreedom(most=COLOR.to_si(1.5)),) * 2}, False),
    ],
)
@pytest.mark.parametrize("drafts", [True, False])
def test_that_nothing_is_nearer_than_what_is_out_where_that_keeps_every_wish(
    small: Setup, catalog: Catalog, found: PutOut, monkeypatch: pytest.MonkeyPatch,
    out: dict, changes: dict, kept: bool, drafts: bool,
) -> None:  # fmt: skip
    """Whatever was better than it was refused, or nothing was."""
    before = replace(found.before, **{"serves": True, "crossing": None, **out})
    crossed = replace(before, serves=True, crossing=Crossing(0, 1, "in the drop"))

    def gives(result):
        yield from ()
        return result

    nearest = Suggestion("best", crossed, ("cross",))
    module = "app.planning.put_out."
    monkeypatch.setattr(module + "look_closer", lambda *_: gives([]))
    monkeypatch.setattr(module + "run_in_full", lambda *_: gives(([], [Refused("cross", crossed)])))
    monkeypatch.setattr(module + "_nearest", lambda *_: gives((nearest, [])))
    going = search(asked(small, **changes), catalog)
    tried = next(going)
    going.send([before, *[None] * (len(tried.jobs) - 1)])
    pick = Pick(small.speed, 0.0, HOLD, (0, 0), (1.0, 1.0))
    with pytest.raises(StopIteration) as ended:
        going.send([[Draft("best", small.rods, pick)] if drafts else []])
    answer = ended.value.value
    assert (answer.nearest is None) == answer.kept == kept
    assert verdict(answer).startswith("What is out now" if kept else "Nothing keeps every wish")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"hold": 500.0}, "hold"),
        ({"unison": 0.0}, "unison"),
        ({"speeds": (4.0, 3.0)}, "speeds"),
        ({"rods": (RodFreedom(lures=("no such lure",)), STAYS)}, "lure"),
        ({"rods": (STAYS,)}, "rods"),
    ],
)
def test_that_what_makes_no_sense_is_refused_by_name(
    small: Setup, catalog: Catalog, changes: dict, field: str
) -> None:
    with pytest.raises(InvalidValue) as refused:
        put_out(asked(small, **changes), catalog)
    assert refused.value.field == field


def test_that_in_a_power_law_current_lines_between_holds_are_as_if_they_had_been_run(
    demo: Setup, catalog: Catalog
) -> None:
    water = replace(
        demo.water, bottom=Bottom.level(9.0), current=(0.0, -1.0), profile=PowerLaw()
    )  # fmt: skip
    request = PutOutRequest(
        replace(demo, water=water, mark=None), (STAYS,) * len(demo.rods), wait=0.0
    )
    own = tuple(((rod,),) for rod in demo.rods)
    free = try_speed(request, catalog, demo.speed, own)
    assert free is not None
    for hold in (20.0, 35.0, 50.0):
        run = try_speed(replace(request, hold=hold), catalog, demo.speed, own)
        assert run is not None
        for between, itself in zip(free.clearance, run.clearance, strict=True):
            assert_allclose(between[0, FIRST_HOLDS.index(hold)], itself[0, 0], atol=CLEARANCE)


def test_that_every_spread_is_run_in_the_doubt_of_its_own_tackle(
    demo: Setup, catalog: Catalog
) -> None:
    measured, other = list(catalog.lures)[:2]
    known = replace(catalog, spreads={measured: {"mass": 0.01}})
    sure = Doubt(lure_weight=0.01)

    def run(before: str, after: str, doubt: Doubt) -> Setup:
        now, then = (
            tuple(replace(rod, lure=lure) for rod in demo.rods) for lure in (before, after)
        )
        request = usual_request(replace(demo, rods=now, doubt=doubt))
        drafts = [Draft("best", then, Pick(demo.speed, 0.0, HOLD, (0, 0), (1.0, 1.0)))]
        (job,) = next(run_in_full(request, known, drafts, 0.0, (0.0, 1.0))).jobs
        setup: Setup = job.args[-1]
        assert setup.rods == then
        return setup

    assert run(measured, other, sure).doubt == Doubt()
    assert run(other, measured, Doubt()).doubt == sure
    assert run(measured, measured, sure).doubt == sure
