"""Events are found where they happen: against a fine run, and against what they are named for."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.line.contact import CONTACT_BLUR
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.events import (
    BACK_WITHIN,
    LIFTING,
    LINES_CLOSE,
    Event,
    find_events,
)
from physics.simulation.gaps import polyline_distance
from physics.simulation.run import simulate
from physics.simulation.scenario import Mark, Scenario
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Boat, Order

EVENT_TIME = 0.05
"""How well events are promised to be found, s."""

FLAT_TIME = 0.25
"""The deepest point of a slow curve: its depth is what counts, its time is only this sure, s."""

KNOT = 1852.0 / 3600.0

PLUG = Lure("plug", "sinking plug", 0.056, 4.2e-5, 0.13, 2.2e-4, 2.2e-3)
JIG = Lure("jig", "nose-weighted jig", 0.085, 1.6e-5, 0.11, 2.5e-4, 1.4e-3, mass_center=0.25)


def rod(name: str, lure: Lure, colors: float, abeam: float) -> Rod:
    line = LineSection("27 lb leadcore", 9.144 * colors, 9e-4, 2.42e-3, 1e4)
    leader = LineSection("leader", 6.0, 6e-4, 3.2e-4, 2e3)
    return Rod(name, (line, leader), lure, astern=2.0, abeam=abeam, height=1.5)


def drop(depth: float, *rods: Rod, hold: float = 20.0, **more: object) -> Scenario:
    return Scenario(
        "drop", Water(Bottom.level(depth)), Boat("boat", trolling_speed=7.5 * KNOT), rods,
        speed=7.5 * KNOT, mark=Mark(depth - 1.5, time=5.0),
        orders=(Order(10.0, "out of gear"), Order(10.0 + hold, "in gear")),
        duration=95.0, **more,  # type: ignore[arg-type]
    )  # fmt: skip


@pytest.fixture(scope="module")
def shallow() -> Trajectory:
    """A jig that reaches bottom, line and all, beside a plug that does not."""
    return simulate(drop(7.0, rod("plug", PLUG, 8, -2.0), rod("jig", JIG, 8, 2.0), hold=30.0))


def of(events: list[Event], kind: str, name: str | None = None) -> list[Event]:
    return [e for e in events if e.kind == kind and (name is None or e.rod == name)]


def test_that_every_event_is_where_a_much_finer_run_has_it(shallow: Trajectory) -> None:
    fine = simulate(shallow.scenario, tolerance=5e-5, longest=0.1)
    ours, theirs = find_events(shallow), find_events(fine)
    for kind in (
        "out of gear", "in gear", "starts to lift", "passes the mark", "back at running depth",
    ):  # fmt: skip
        times = [[e.time for e in of(events, kind)] for events in (ours, theirs)]
        assert_allclose(times[0], times[1], rtol=0.0, atol=EVENT_TIME, err_msg=kind)
    touch = [of(events, "lure touches", "jig")[0].time for events in (ours, theirs)]
    assert_allclose(touch[0], touch[1], rtol=0.0, atol=EVENT_TIME)
    mine, true = of(ours, "deepest", "plug")[0], of(theirs, "deepest", "plug")[0]
    assert_allclose(mine.time, true.time, rtol=0.0, atol=FLAT_TIME)
    assert_allclose(mine.values["depth_m"], true.values["depth_m"], rtol=0.0, atol=0.005)


def test_that_gear_events_are_the_orders(shallow: Trajectory) -> None:
    events = find_events(shallow)
    assert [e.time for e in of(events, "out of gear")] == [10.0]
    assert [e.time for e in of(events, "in gear")] == [40.0]
    assert of(events, "in gear")[0].values["hold_s"] == 30.0


def test_that_a_lure_goes_on_sinking_after_the_boat_is_back_in_gear(shallow: Trajectory) -> None:
    plug = of(find_events(shallow), "deepest", "plug")[0]
    assert 1.0 < plug.values["after_in_gear_s"] < 20.0
    times = np.linspace(10.0, 90.0, 4001)
    depth = shallow.depth(0, times)
    assert_allclose(plug.values["depth_m"], depth.max(), rtol=0.0, atol=1e-4)


def test_that_lifting_starts_when_the_lure_rises_faster_than_the_threshold(
    shallow: Trajectory,
) -> None:
    event = of(find_events(shallow), "starts to lift", "plug")[0]
    rate = float(shallow.lines[0].lure_velocity(event.time)[2])
    assert_allclose(rate, LIFTING, rtol=0.0, atol=1e-4)


def test_that_a_touch_is_where_the_lure_comes_down_on_the_bottom(shallow: Trajectory) -> None:
    touch = of(find_events(shallow), "lure touches", "jig")[0]
    ends = shallow.lines[1].nodes(touch.time)[2, -2:]
    assert_allclose(7.0 + ends.min(), CONTACT_BLUR, rtol=0.0, atol=2e-3)
    assert touch.values["for_s"] > 3.0
    assert not of(find_events(shallow), "lure touches", "plug")


def test_that_the_line_touches_after_its_lure_where_the_boat_lies_long_out_of_gear() -> None:
    scenario = drop(5.0, rod("jig", JIG, 6, 0.0), hold=50.0)
    runs = simulate(scenario), simulate(scenario, tolerance=5e-5, longest=0.1)
    lure, line = ([of(find_events(run), kind)[0] for run in runs]
                  for kind in ("lure touches", "line touches"))  # fmt: skip
    assert line[0].time > lure[0].time
    assert_allclose(line[0].time, line[1].time, rtol=0.0, atol=EVENT_TIME)
    node = runs[0].lines[0].nodes(line[0].time)[2, 1:-2].min()
    assert_allclose(5.0 + node, CONTACT_BLUR, rtol=0.0, atol=2e-3)


def test_that_passing_the_mark_is_the_closest_approach_from_above(shallow: Trajectory) -> None:
    boat = shallow.track.at(5.0)
    times = np.linspace(5.0, 90.0, 8501)
    for number, name in enumerate(("plug", "jig")):
        event = of(find_events(shallow), "passes the mark", name)[0]
        place = shallow.lines[number].lure(times)
        miss = np.hypot(place[:, 0] - boat.x, place[:, 1] - boat.y)
        assert_allclose(event.time, times[miss.argmin()], rtol=0.0, atol=EVENT_TIME)
        height = shallow.height(number, np.array([event.time]))[0]
        assert_allclose(event.values["height_m"], height, rtol=0.0, atol=1e-6)


def test_that_back_at_running_depth_is_ten_percent_below_it(shallow: Trajectory) -> None:
    event = of(find_events(shallow), "back at running depth", "plug")[0]
    ran = shallow.run_depth(0)
    depth = shallow.depth(0, np.array([event.time]))[0]
    assert_allclose(depth, (1.0 + BACK_WITHIN) * ran, rtol=1e-3, atol=0.0)


def test_that_lines_that_come_together_are_reported_once_they_are_close() -> None:
    # a current on the beam sets a light lure into the heavy one's line as way comes off
    light = Lure("cork", "floating lipped plug", 0.011, 1.4e-5, 0.09, 1.5e-4, 9e-4)
    scenario = Scenario(
        "crossing", Water(Bottom.level(15.0)), Boat("boat"),
        (rod("a", JIG, 5, -0.6), rod("b", light, 5, 0.3)), speed=2.5, heading=0.0,
        orders=(Order(2.0, "wheel", -1.0 / 15.0),), duration=40.0,
    )  # fmt: skip
    trajectory = simulate(scenario)
    events = of(find_events(trajectory), "lines close")
    assert events, "two lines 0.9 m apart in a 15 m turn come within half a meter"
    first = events[0]
    shapes = [line.nodes(first.time) for line in trajectory.lines]
    assert_allclose(polyline_distance(*shapes), LINES_CLOSE, rtol=0.0, atol=0.05)
    before = [line.nodes(first.time - 0.2) for line in trajectory.lines]
    assert polyline_distance(*before) > LINES_CLOSE


@pytest.mark.parametrize(
    ("a", "b", "apart"),
    [
        ([[0, 0, 0], [2, 0, 0]], [[1, -1, 1], [1, 1, 1]], 1.0),
        ([[0, 0, 0], [1, 0, 0]], [[3, 0, 0], [4, 0, 0]], 2.0),
        ([[0, 0, 0], [1, 0, 0]], [[0, 2, 0], [1, 2, 0]], 2.0),
        ([[0, 0, 0], [1, 0, 0], [1, 5, 0]], [[4, 3, 0], [2, 3, 0]], 1.0),
    ],
)
def test_that_the_distance_of_polylines_is_that_of_their_nearest_points(
    a: list[list[float]], b: list[list[float]], apart: float
) -> None:
    distance = polyline_distance(np.array(a, float).T, np.array(b, float).T)
    assert_allclose(distance, apart, rtol=1e-9, atol=0.0)
