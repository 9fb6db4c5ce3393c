"""From a setup to wait and hold: checks, answers, remedies, and other processes."""

from __future__ import annotations

import math
import pickle
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from app.common.units import FOOT
from app.gear.catalog import Catalog
from app.planning.plan import (
    Plan,
    finish,
    first_answer,
    full_answer,
    halves,
    respond_part,
    run_holds,
)
from app.planning.remedies import find_remedies
from app.planning.situation import HOLDS, PlanRequest, situation
from app.planning.words import (
    notes,
)
from app.scenario.limits import Timing
from app.scenario.setup import Setup
from physics.answers.between import between, joined
from physics.answers.holds import bare
from physics.answers.timing import (
    CLEARANCE,
    best,
    hold_for_clearance,
    shortest_hold,
)
from physics.checks import InvalidValue
from physics.environment.current import PowerLaw, Shares
from physics.environment.water import Bottom, Water
from physics.progress import Cancelled
from physics.simulation import advance
from physics.simulation.run import simulate
from physics.simulation.scenario import Mark
from physics.vessel.boat import Order
from physics.vessel.motion import PrescribedMotion

TENTH_FOOT = FOOT.to_si(0.1)


def over(setup: Setup, bottom: Bottom) -> Setup:
    return replace(setup, water=replace(setup.water, bottom=bottom))


def test_that_the_answer_is_what_the_drop_does_when_run(plan: Plan, catalog: Catalog) -> None:
    assert plan.answer is not None
    assert plan.point == (plan.answer.wait, plan.answer.hold)
    wait, hold = plan.point
    orders = (Order(wait, "out of gear"), Order(wait + hold, "in gear"))
    scenario = replace(plan.situation.scenario, orders=orders, duration=wait + hold + 60.0)
    run = simulate(replace(scenario, water=replace(scenario.water, bottom=plan.situation.bottom)))
    times = np.arange(wait, wait + hold + 50.0, 0.02)
    for number, rod in enumerate(plan.rods):
        depth = run.depth(number, times)
        assert rod.name == run.lines[number].rod.name
        assert rod.run_depth == pytest.approx(depth[0], abs=TENTH_FOOT)
        assert rod.deepest == pytest.approx(depth.max(), abs=TENTH_FOOT)
        assert rod.sank_on == pytest.approx(times[depth.argmax()] - wait - hold, abs=0.5)
        place = run.lines[number].lure(times)
        nearest = int(np.hypot(place[:, 0], place[:, 1]).argmin())
        off = plan.situation.depth - depth[nearest]
        assert rod.at_mark == pytest.approx(off, abs=TENTH_FOOT)
        low = run.lines[number].nodes(times)[:, 2].min() + plan.situation.depth
        assert rod.least_height == pytest.approx(low, abs=TENTH_FOOT)
        assert not rod.touches
    assert plan.answer.window == pytest.approx(sum(rod.lifting for rod in plan.rods), abs=0.5)


def test_that_the_first_answer_is_near_the_full_one(first: Plan, plan: Plan) -> None:
    assert first.coarse
    assert not plan.coarse
    for quick, slow in zip(first.reach, plan.reach, strict=True):
        assert quick is not None
        assert quick == pytest.approx(slow, abs=1.0)
    assert first.answer is not None
    assert plan.answer is not None
    w = list(plan.map.waits).index(first.answer.wait)
    k = list(plan.map.holds).index(first.answer.hold)
    assert plan.map.total[w, k] > plan.answer.window - 2.5
    for quick_rod, slow_rod in zip(first.rods, plan.rods, strict=True):
        assert quick_rod.deepest == pytest.approx(slow_rod.deepest, abs=0.35)


def test_that_a_chosen_point_is_told_about_and_any_other_on_asking(
    plan: Plan, demo: Setup, catalog: Catalog
) -> None:
    chosen = replace(plan.request, chosen=(4.0, 13.5))
    told = finish(chosen, catalog, plan.responses)
    assert told.point == (4.0, 13.5)
    assert told.answer == plan.answer
    assert told.rods == plan.at(4.0, 13.5)
    assert plan.paths(13.5).holds.tolist() == [13.5]


def test_that_runs_serve_other_bottoms_and_marks(plan: Plan, catalog: Catalog) -> None:
    other = replace(
        plan.request, setup=over(plan.request.setup, Bottom.level(11.0)), mark=Mark(9.0)
    )
    assert situation(other, catalog).scenario == plan.situation.scenario
    again = finish(other, catalog, plan.responses)
    alone = full_answer(other, catalog)
    assert again.answer == alone.answer
    assert again.reach == pytest.approx(alone.reach, abs=0.01)


def test_that_halves_run_apart_make_the_same_plan(plan: Plan, catalog: Catalog) -> None:
    setup = keeping(plan.request.setup, clearance=3.0)
    request = PlanRequest(setup, holds=(0.0, 8.0, 16.0, 24.0), waits=(0.0, 8.0))
    found = situation(request, catalog)
    assert run_holds(request) == request.holds
    parts = [respond_part(found, half) for half in halves(run_holds(request))]
    apart = finish(request, catalog, joined(parts))
    with ThreadPoolExecutor(2) as executor:
        split = full_answer(request, catalog, executor=executor)
    whole = full_answer(request, catalog)
    for other in (apart, split):
        assert np.abs(other.map.total - whole.map.total).max() <= 0.2
        assert other.reach == pytest.approx(whole.reach, abs=0.1)


NEAR_THE_GROUND = Shares(((11.0, 1.0), (12.0, 0.3)))


@pytest.mark.parametrize(
    ("profile", "depth", "rod", "clearance", "about"),
    [
        (PowerLaw(), 9.0, 0, CLEARANCE, 35.0),
        (PowerLaw(), 9.0, 1, CLEARANCE, 19.0),
        (PowerLaw(), 12.0, 0, 0.3, 55.0),
        (NEAR_THE_GROUND, 12.0, 1, 0.7, 33.0),
    ],
)
def test_that_a_hold_in_a_current_that_fades_is_told_to_a_tenth_of_a_second(
    profile: PowerLaw | Shares, depth: float, rod: int, clearance: float, about: float,
    demo: Setup, catalog: Catalog,
) -> None:  # fmt: skip
    shallow = over(demo, Bottom.level(depth))
    current = replace(shallow.water, current=(0.0, -1.0), profile=profile)
    request = PlanRequest(replace(shallow, mark=None, water=current))
    found = situation(request, catalog)
    near = tuple(about + n for n in (-2.0, -1.0, 0.0, 1.0, 2.0))
    told, real = (
        shortest_hold(one.holds, found.depth + np.nanmin(one.low[:, rod, :, 2], axis=1), clearance)
        for one in (
            between(respond_part(found, run_holds(request)), near),
            respond_part(found, near),
        )
    )
    assert real is not None
    assert near[0] < real < near[-1]
    assert told == pytest.approx(real, abs=0.1)


def test_that_few_holds_are_run_themselves_and_many_through_some() -> None:
    setup = Setup("a", Water(Bottom.level(9.0)), "b", ())
    assert len(run_holds(PlanRequest(setup))) == 12
    assert run_holds(PlanRequest(setup, holds=(0.0, 9.0))) == (0.0, 9.0)
    assert run_holds(PlanRequest(setup, holds=HOLDS))[-1] == HOLDS[-1]


def test_that_a_plan_its_request_and_the_catalog_can_be_sent_to_another_process(
    plan: Plan, catalog: Catalog
) -> None:
    request, tackle, sent = pickle.loads(pickle.dumps((plan.request, catalog, plan)))
    assert request == plan.request
    assert tackle == catalog
    assert sent.rods == plan.rods
    error = pickle.loads(pickle.dumps(InvalidValue("hold", 3.0, "less")))
    assert (error.field, error.value, error.allowed) == ("hold", 3.0, "less")


@pytest.mark.parametrize("work", [first_answer, full_answer])
def test_that_the_work_tells_its_share_and_stops_when_told(
    work: Callable[..., Plan], demo: Setup, catalog: Catalog
) -> None:
    heard: list[float] = []

    def progress(share: float) -> bool:
        heard.append(share)
        return len(heard) == 2

    with pytest.raises(Cancelled):
        work(PlanRequest(demo, holds=(0.0, 5.0, 10.0)), catalog, progress)
    assert heard == sorted(heard)


BAD = [
    ({"mark": Mark(9.2)}, "mark depth"),
    ({"waits": ()}, "waits"),
    ({"waits": (3.0, 2.0)}, "waits"),
    ({"holds": (5.0,)}, "holds"),
    ({"holds": (5.0, math.inf)}, "holds"),
    ({"holds": (0.0, 500.0)}, "holds"),
    ({"chosen": (1.0, 61.0)}, "hold"),
    ({"chosen": (-1.0, 10.0)}, "wait"),
]


@pytest.mark.parametrize(("change", "field"), BAD)
def test_that_nothing_is_planned_from_nonsense(
    demo: Setup, catalog: Catalog, change: dict[str, object], field: str
) -> None:
    for work in (first_answer, full_answer):
        with pytest.raises(InvalidValue) as refused:
            work(replace(PlanRequest(demo), **change), catalog)  # type: ignore[arg-type]
        assert refused.value.field == field


def keeping(setup: Setup, **changes: float) -> Setup:
    """The setup with another clearance or radius."""
    return replace(setup, timing=replace(setup.timing, **changes))


def test_that_what_a_plan_keeps_to_is_the_setups_own(demo: Setup, catalog: Catalog) -> None:
    own = keeping(demo, clearance=1.25, radius=5.5)
    for setup, wanted in ((demo, (FOOT.to_si(2.0), 8.0)), (own, (1.25, 5.5))):
        request = PlanRequest(setup)
        assert (request.clearance, request.radius) == wanted
        aim = situation(request, catalog).aim
        assert (aim.clearance, aim.radius) == wanted


def test_that_fields_a_screen_shows_are_refused_by_their_names(
    demo: Setup, catalog: Catalog
) -> None:
    def plan_of(**change: object) -> object:
        return situation(PlanRequest(replace(demo, **change)), catalog)  # type: ignore[arg-type]

    def shallow(timing: Timing) -> object:
        return plan_of(water=replace(demo.water, bottom=Bottom.level(8.0)), timing=timing)

    tries: list[tuple[str, Callable[[], object]]] = [
        ("clearance", lambda: shallow(Timing(clearance=8.0))),
        ("clearance", lambda: shallow(Timing(clearance=9.2))),
        ("clearance", lambda: Timing(clearance=-0.1)),
        ("clearance", lambda: Timing(clearance=math.nan)),
        ("radius", lambda: Timing(radius=0.4)),
        ("mark depth", lambda: plan_of(mark=Mark(9.2))),
        ("mark depth", lambda: Mark(0.0)),
        ("mark band", lambda: Mark(5.0, band=0.0)),
        ("speed", lambda: plan_of(speed=0.1)),
    ]
    for field, attempt in tries:
        with pytest.raises(InvalidValue) as refused:
            attempt()
        assert refused.value.field == field


def test_that_an_empty_spread_or_a_boat_on_rails_is_refused(demo: Setup, catalog: Catalog) -> None:
    motion = PrescribedMotion(((0.0, 3.0, 0.0), (10.0, 3.0, 0.0)))
    for setup, field in (
        (replace(demo, rods=()), "rods"),
        (replace(demo, hold=None, motion=motion), "motion"),
    ):
        with pytest.raises(InvalidValue) as refused:
            situation(PlanRequest(setup), catalog)
        assert refused.value.field == field


def test_that_without_a_mark_one_is_taken_a_little_over_the_bottom(
    demo: Setup, catalog: Catalog
) -> None:
    bare_setup = replace(demo, mark=None)
    assert situation(PlanRequest(bare_setup), catalog).aim.mark.depth == pytest.approx(7.644)
    shallow = over(bare_setup, Bottom.level(2.0))
    assert situation(PlanRequest(shallow), catalog).aim.mark.depth == pytest.approx(1.0)


def test_that_a_profile_lies_from_the_marks_place(demo: Setup, catalog: Catalog) -> None:
    north = replace(demo, heading=0.0, speed=2.0, mark=Mark(5.0, time=30.0))
    found = situation(PlanRequest(over(north, Bottom(((0.0, 12.0), (60.0, 6.0))))), catalog)
    assert found.depth == pytest.approx(6.0)
    assert found.bottom.points == ((-60.0, 12.0), (0.0, 6.0))
    deeper = replace(north, mark=Mark(8.0, time=30.0))
    request = PlanRequest(over(deeper, Bottom(((0.0, 12.0), (60.0, 6.0)))))
    with pytest.raises(InvalidValue, match="mark depth is 8"):
        situation(request, catalog)


def test_that_a_point_that_touches_is_run_over_the_ground_itself(
    plan: Plan, catalog: Catalog
) -> None:
    told = finish(replace(plan.request, chosen=(0.0, 50.0)), catalog, plan.responses)
    assert told.touched is not None
    rod = told.rods[0]
    assert rod.touches
    assert rod.deepest == pytest.approx(plan.situation.depth, abs=0.05)
    assert plan.at(0.0, 50.0)[0].deepest > plan.situation.depth + 0.9
    assert notes(told)[0] == "On this wait and hold port touches bottom."


def test_that_the_shortest_hold_over_a_profile_is_for_the_marks_depth_of_water(
    plan: Plan, catalog: Catalog
) -> None:
    setup = plan.request.setup
    slope = over(setup, Bottom(((-500.0, FOOT.to_si(30.0)), (500.0, FOOT.to_si(30.0)))))
    again = finish(replace(plan.request, setup=slope), catalog, plan.responses)
    assert again.reach == pytest.approx(plan.reach, abs=1e-6)
    assert plan.reach[0] == hold_for_clearance(plan.map, 0, plan.request.clearance)


def test_that_looking_for_remedies_stops_when_told(
    plan: Plan, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    # so little is done before anything is told otherwise
    monkeypatch.setattr(advance, "BURST", 6)
    heard: list[float] = []

    def progress(share: float) -> bool:
        heard.append(share)
        return len(heard) == 4

    with pytest.raises(Cancelled):
        find_remedies(plan.request.setup, catalog, [0, 1], 30.0, 20.0, progress)
    assert heard == sorted(heard)
    assert 0.0 < heard[-1] < 0.5


def test_that_running_some_holds_stops_when_told(plan: Plan) -> None:
    with pytest.raises(Cancelled):
        respond_part(plan.situation, (0.0, 10.0), lambda share: share > 0.1)


def test_that_the_situation_is_run_over_water_deeper_than_any_line(plan: Plan) -> None:
    scenario = plan.situation.scenario
    assert scenario.water.bottom.shallowest > max(rod.line_out for rod in scenario.rods)
    assert bare(scenario) == scenario


def test_that_a_boat_already_out_of_gear_is_told_her_hold_to_half_a_second(
    plan: Plan, catalog: Catalog
) -> None:
    gains = []
    for clearance in (0.61, 1.2, 1.5):
        own = replace(plan.request.setup, timing=Timing(clearance, 8.0))
        asked = replace(plan.request, setup=own, mark=Mark(6.4, band=0.6))
        told = finish(asked, catalog, plan.responses)
        assert told.already_out is not None
        assert told.already_out.hold % 0.5 == 0.0
        whole = best(told.map, clearance, wait=0.0)
        gains.append(told.already_out.window - (0.0 if whole is None else whole.window))
        rods = told.at(0.0, told.already_out.hold)
        assert sum(rod.lifting for rod in rods) == pytest.approx(told.already_out.window, abs=0.3)
        assert min(rod.least_height for rod in rods) > clearance - 0.02
    assert gains == pytest.approx([0.0, 0.6, 0.4], abs=0.15)
    assert whole is None, "of whole seconds none serves there"
