"""One drop, told by everything that tells of drops: all say the same."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from app.compare.job import Drop, drops
from app.drill.round import FREE, Round
from app.drill.score import measure
from app.gear.catalog import Catalog
from app.ground.ways_job import four_ways
from app.live.readout import read_line
from app.planning.doubts import doubt_part
from app.planning.plan import full_answer
from app.planning.rods import RodPlan
from app.planning.situation import PlanRequest
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.session.look_ahead import look_ahead
from app.session.picture import PlacedMark, pictured
from app.shell.report import report
from app.timing.live_drop import live_drop
from app.ui.preferences import Preferences
from physics.answers.doubt import INPUTS
from physics.environment.water import Bottom
from physics.line.mesh import STRAIGHT
from physics.simulation.drop_facts import SPACING, TOUCHING, deepest, nearest_ground, passing
from physics.simulation.events import Event, find_events
from physics.simulation.run import Run
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Order
from tests.beside import noted

DEPTH = 0.002
"""Tellers of one run are to agree in depths and heights this well, m."""

WHEN = 0.02
"""And this well in times, s; of when a lure lands LANDS."""

LANDS = 0.06

COARSE = 0.045
"""What runs its own coarser steps or lines says so of itself, m."""

COARSE_WHEN = 0.05

DOUBTED = 0.08
"""And so do the repeated drops of a doubt (planning.doubts.DOUBT_RESOLUTION), m."""


@dataclass(frozen=True)
class Told:
    """One drop: its run, and the same drop by all others."""

    setup: Setup
    wait: float
    hold: float
    run: Run
    trajectory: Trajectory
    events: list[Event]
    plan: tuple[RodPlan, ...]
    live: tuple[RodPlan, ...]
    debrief: tuple[RodPlan, ...]
    touched: tuple[str, ...]

    @property
    def out(self) -> float:
        assert self.setup.mark is not None
        return self.setup.mark.time + self.wait

    @property
    def back(self) -> float:
        return self.out + self.hold

    def event(self, kind: str, rod: str) -> Event | None:
        return next((e for e in self.events if e.kind == kind and e.rod == rod), None)


def drop(setup: Setup, catalog: Catalog, wait: float, hold: float) -> Told:
    assert setup.mark is not None
    # one cut of the lines, so that only meanings can differ
    plain = replace(setup, hold=None, orders=(), line_orders=(), resolution=STRAIGHT)
    out = setup.mark.time + wait
    orders = (Order(out, "out of gear"), Order(out + hold, "in gear"))
    scenario = replace(plain, orders=orders, duration=out + hold + 60.0).scenario(catalog)
    run = Run([scenario])
    run.advance(scenario.duration)
    trajectory = run.trajectory()
    waits = tuple(sorted({0.0, wait}))
    asked = PlanRequest(plain, waits, (0.0, hold, 2.0 * hold), chosen=(wait, hold))
    plan = full_answer(asked, catalog)
    live = live_drop(run, scenario.duration, plan.situation.aim)
    assert live is not None
    debrief = measure(Round(FREE, 1, plain, "off"), trajectory)
    return Told(
        plain, wait, hold, run, trajectory, find_events(trajectory),
        plan.rods, live.rods, debrief.rods, debrief.touched,
    )  # fmt: skip


@pytest.fixture(scope="module")
def tidal(demo: Setup) -> Setup:
    """The first demo with a tide along her heading: depths are those of still water."""
    drift = 0.5 * math.sin(demo.heading), 0.5 * math.cos(demo.heading)
    return replace(demo, water=replace(demo.water, current=drift))


@pytest.fixture(scope="module")
def clear(tidal: Setup, catalog: Catalog) -> Told:
    return drop(tidal, catalog, 0.0, 16.0)


@pytest.fixture(scope="module")
def late(tidal: Setup, catalog: Catalog) -> Told:
    """Out of gear when the lures have passed the mark."""
    return drop(tidal, catalog, 25.0, 10.0)


@pytest.fixture(scope="module")
def landing(tidal: Setup, catalog: Catalog) -> Told:
    """One lure lands out of gear, the other while it sinks on in gear."""
    assert tidal.mark is not None
    water = replace(tidal.water, bottom=Bottom.level(5.9))
    shallow = replace(tidal, water=water, mark=replace(tidal.mark, depth=4.5))
    return drop(shallow, catalog, 2.0, 22.0)


@pytest.fixture(scope="module")
def shoal(catalog: Catalog) -> Told:
    return drop(scenario_file.load(scenario_file.demos()[1], catalog), catalog, 4.0, 15.0)


@pytest.fixture(params=["clear", "late", "landing", "shoal"])
def told(request: pytest.FixtureRequest) -> Told:
    found: Told = request.getfixturevalue(request.param)
    return found


def each(told: Told) -> list[tuple[str, RodPlan, RodPlan, RodPlan]]:
    rows = zip(told.plan, told.live, told.debrief, strict=True)
    return [(plan.name, plan, live, debrief) for plan, live, debrief in rows]


def test_that_all_say_how_deep_when_and_how_long_it_sinks_on(told: Told) -> None:
    reports = {one.name: one for one in report(told.trajectory, told.events)}
    for name, *others in each(told):
        event = told.event("deepest", name)
        assert event is not None
        when = LANDS if event.values["height_m"] < 2.0 * TOUCHING else WHEN
        said = reports[name]
        assert said.deepest == event.values["depth_m"]
        assert said.deepest_time == event.time
        assert said.after_in_gear == event.values["after_in_gear_s"]
        for rod in others:
            assert rod.deepest == pytest.approx(said.deepest, abs=DEPTH)
            assert rod.deepest_at == pytest.approx(event.time - told.out, abs=when)
            assert rod.sank_on == pytest.approx(said.after_in_gear, abs=when)
            assert rod.least_height == pytest.approx(max(said.least_height, 0.0), abs=2 * DEPTH)


def test_that_all_say_how_a_lure_passes_the_mark(told: Told) -> None:
    for name, *others in each(told):
        event = told.event("passes the mark", name)
        assert event is not None
        for rod in others:
            assert rod.at_mark == pytest.approx(event.values["height_m"], abs=DEPTH)
            assert rod.at_mark_rate == pytest.approx(event.values["rate_mps"], abs=0.002)
            assert (
                rod.miss <= math.hypot(event.values["miss_m"], event.values["below_mark_m"]) + 0.01
            )
        plan, live, debrief = others
        assert live.lifting == pytest.approx(plan.lifting, abs=0.2)
        assert debrief.lifting == pytest.approx(plan.lifting, abs=0.2)
        assert live.miss == pytest.approx(plan.miss, abs=0.05)
        assert debrief.miss == pytest.approx(plan.miss, abs=0.05)


def test_that_all_say_who_touches(told: Told) -> None:
    touching = {e.rod for e in told.events if e.kind in ("lure touches", "line touches")}
    for rods in (told.plan, told.live, told.debrief):
        assert {rod.name for rod in rods if rod.touches} == touching
    assert set(told.touched) == touching
    least = {one.name: one.least_height for one in report(told.trajectory, told.events)}
    assert {name for name, height in least.items() if height < TOUCHING} == touching


def test_that_the_look_ahead_foretells_what_is_then_told(told: Told) -> None:
    assert told.setup.mark is not None
    scenario = replace(told.run.scenarios[0], orders=(Order(told.out, "out of gear"),))
    run = Run([scenario])
    run.advance_exactly(told.back)
    here = told.run.boat(told.setup.mark.time)
    mark = PlacedMark(told.setup.mark.time, here.x, here.y, told.setup.mark.depth)
    ahead = look_ahead(run, told.back, mark, shift=True)
    for rod, line in zip(told.plan, ahead.lines, strict=True):
        deep, by = told.event("deepest", rod.name), told.event("passes the mark", rod.name)
        assert deep is not None
        assert by is not None
        assert line.deepest is not None
        when, depth = line.deepest
        assert depth == pytest.approx(deep.values["depth_m"], abs=DEPTH)
        if deep.time > told.back:
            assert when == pytest.approx(deep.time, abs=LANDS)
        if by.time > told.back:
            assert line.at_mark is not None
            assert line.at_mark[0] == pytest.approx(by.time, abs=WHEN)
            assert line.at_mark[1] == pytest.approx(by.values["height_m"], abs=DEPTH)
        else:
            assert line.at_mark is None
        touch = [e for e in told.events if e.rod == rod.name and e.kind.endswith("touches")]
        first = min((e.time for e in touch), default=None)
        expected = None if first is None else max(first, told.back)
        assert line.touches_at == (expected and pytest.approx(expected, abs=LANDS))


def test_that_the_card_of_a_line_says_touch_when_the_event_does(
    landing: Told, preferences: Preferences
) -> None:
    for number, rod in enumerate(landing.plan):
        event = landing.event("lure touches", rod.name)
        assert event is not None
        for aside, words in ((-0.05, False), (0.05, True)):
            picture = pictured(landing.run, event.time + aside, None)
            said = read_line(picture, number, 0.0, None, preferences).status_text
            assert (said == "lure on bottom") is words


def test_that_four_ways_run_coarsely_say_the_same(told: Told, catalog: Catalog) -> None:
    every = four_ways(told.setup, catalog, told.wait, told.hold)
    turn = [math.remainder(way.heading - told.setup.heading, 2.0 * math.pi) for way in every]
    (same,) = (way for way, by in zip(every, turn, strict=True) if abs(by) < 1e-6)
    for plan, rod in zip(told.plan, same.rods, strict=True):
        assert rod.deepest == pytest.approx(plan.deepest, abs=COARSE)
        assert rod.off_bottom == pytest.approx(plan.least_height, abs=COARSE)
        assert rod.touches == plan.touches


@pytest.mark.parametrize("name", ["clear", "late"])
def test_that_compare_says_the_same_of_a_drop_that_meets_no_bottom(
    name: str, request: pytest.FixtureRequest
) -> None:
    told: Told = request.getfixturevalue(name)
    one = told.run.scenarios[0]
    for rod, found in zip(
        told.plan, drops(one.rods, one.water, one.boat, one.speed, told.hold), strict=True
    ):
        assert isinstance(found, Drop)
        when, depth = found.deepest
        assert depth == pytest.approx(rod.deepest, abs=0.006)
        assert when == pytest.approx(rod.deepest_at, abs=COARSE_WHEN)
        assert found.sinks_on == pytest.approx(rod.sank_on, abs=COARSE_WHEN)


def test_that_a_drop_without_doubt_is_the_drop(told: Told, catalog: Catalog) -> None:
    point, ones = (told.wait, told.hold), np.ones((1, len(INPUTS)))
    only = doubt_part(PlanRequest(told.setup), catalog, point, ones, holds=False)
    for rod, least, depth in zip(told.plan, only.clearance[0], only.depth[0], strict=True):
        assert max(float(least), 0.0) == pytest.approx(rod.least_height, abs=DOUBTED)
        assert float(depth.max()) == pytest.approx(rod.deepest, abs=DOUBTED)


def test_that_samples_as_far_apart_as_allowed_say_what_fine_ones_do(told: Told) -> None:
    bottom = told.trajectory.scenario.water.bottom
    marked = told.run.boat(told.out - told.wait)
    worst = dict.fromkeys(("deepest, m", "when, s", "passing, s", "height, m", "least, m"), 0.0)
    for number, line in enumerate(told.trajectory.lines):
        found = []
        for spacing in (SPACING, 0.01):
            times = np.arange(told.out - told.wait, told.back + 50.0, spacing)
            lure, over = line.lure(times), told.trajectory.height(number, times)
            by = passing(times, lure, marked.x, marked.y)
            assert by is not None
            deep = deepest(times, -lure[:, 2], over)
            least = nearest_ground(line.nodes(times), bottom)[1].min()
            landed = over.min() < TOUCHING
            found.append((deep.depth, 0.0 if landed else deep.time, by.time, by.place[2], least))
        for key, coarse, fine in zip(worst, *found, strict=True):
            worst[key] = max(worst[key], abs(float(coarse - fine)))
    noted("samples 0.25 s apart: " + ", ".join(f"{key} {by:.4f}" for key, by in worst.items()))
    assert max(worst["deepest, m"], worst["height, m"]) < 0.001
    assert worst["least, m"] < 0.005
    assert max(worst["when, s"], worst["passing, s"]) < 0.01


def test_that_a_lure_that_lies_on_the_bottom_is_deepest_from_when_it_landed(
    landing: Told,
) -> None:
    landed, deep = (landing.event(kind, "starboard") for kind in ("lure touches", "deepest"))
    assert landed is not None
    assert deep is not None
    assert landed.time < deep.time < landed.time + 1.0
    assert deep.time < landing.back
    assert deep.values["after_in_gear_s"] == 0.0


def test_that_a_lure_that_passed_before_out_of_gear_is_told_as_it_was_towed(
    late: Told, preferences: Preferences
) -> None:
    for rod in late.plan:
        assert rod.at_mark is not None
        event = late.event("passes the mark", rod.name)
        assert event is not None
        assert event.time < late.out
        assert rod.at_mark == pytest.approx(
            late.setup.water.bottom.shallowest - rod.run_depth, abs=DEPTH
        )
        assert rod.at_mark_rate == 0.0
        assert rod.lifting == 0.0
