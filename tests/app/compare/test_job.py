"""What candidates do, against the physics asked directly and against published numbers."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from app.common.units import COLOR, FOOT, KNOT
from app.compare import job as compare
from app.compare.candidates import Candidate
from app.compare.job import AFTER, Drop, Failed, drops, falls, scenario, tows
from app.gear.catalog import Catalog
from physics.answers.sink import free_falls
from physics.environment.water import Bottom, Water
from physics.line.drag import sphere_drag
from physics.line.march import ConvergenceError
from physics.line.tackle import Lure, Rod
from physics.progress import Cancelled
from physics.simulation import advance
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario, cut_for_orders
from physics.vessel.boat import Boat, Order

SEA = Water(Bottom.level(9.0), current=(0.3, 0.1), wind=(4.0, 0.0))
BOAT = Boat("boat")
SPEED, HOLD = KNOT.to_si(7.0), 15.0

SHARE = 0.01
"""A drop against a run at the usual steps and elements, as a share of the depth."""

STEPS = 0.012
"""m; what is left is the stepper's tolerance: the elements are the same."""

CORRELATION = 0.01
"""m/s share; one drag coefficient for the whole fall against the correlation at its end."""


def rod(catalog: Catalog, **changes: Any) -> Rod:
    plain = Candidate("one", "sinking plug, 5 in", height=1.5)
    return replace(plain, **changes).rod(catalog)


RODS: list[dict[str, Any]] = [
    {},
    {"lure": "heavy jig, 3 oz", "leader": "50 lb fluorocarbon leader"},
    {"lure": "floating lipped plug, 6 in", "line": None, "line_out": COLOR.to_si(5.0)},
    {"lure": "light spoon, 4 in", "line_out": COLOR.to_si(12.0)},
    {"lure": "ball sinker, 4 oz", "line": "60 lb leadcore", "leader_length": FOOT.to_si(5.0)},
]


def test_that_free_falls_are_those_of_the_physics(catalog: Catalog) -> None:
    lures = list(catalog.lures.values())[:5]
    ours = falls(lures, SEA)
    still = Water(Bottom.level(50.0))
    for lure, fall in zip(lures, ours, strict=True):
        (theirs,) = free_falls([lure], still)
        assert not isinstance(fall, Failed)
        assert_allclose(fall.rate, theirs.rate, rtol=1e-4)
        depth = np.interp(fall.time, theirs.time, theirs.depth)
        assert_allclose(fall.depth, depth, atol=0.01)


@pytest.mark.parametrize("changes", RODS, ids=lambda c: c.get("lure", "plug"))
def test_that_a_drop_is_the_one_of_the_same_scenario(
    catalog: Catalog, changes: dict[str, Any]
) -> None:
    one = rod(catalog, **changes)
    # among others: a neighbor in the batch makes no difference
    ours, _ = drops([one, rod(catalog)], SEA, BOAT, SPEED, HOLD)
    calm = replace(SEA, bottom=Bottom.level(500.0), current=(0.0, 0.0), wind=(0.0, 0.0))
    orders = (Order(5.0, "out of gear"), Order(5.0 + HOLD, "in gear"))
    until = HOLD + AFTER + 6.0
    theirs = simulate(
        cut_for_orders(
            Scenario("the same", calm, BOAT, (one,), SPEED, orders=orders, duration=until)
        )
    )
    assert isinstance(ours, Drop)
    depth = theirs.depth(0, ours.time + 5.0)
    assert np.abs(ours.depth - depth).max() < SHARE * depth.max()
    assert np.abs(ours.depth - depth).max() < STEPS
    assert_allclose(ours.tension, theirs.tension(0, ours.time + 5.0), rtol=0.05, atol=0.2)


def test_that_current_wind_and_bottom_are_left_out(catalog: Catalog) -> None:
    made = scenario(rod(catalog), SEA, BOAT, SPEED, HOLD)
    assert made.water.current == made.water.wind == (0.0, 0.0)
    assert made.water.bottom.shallowest > made.rods[0].line_out
    assert made.water.density == SEA.density


def test_that_a_float_on_plain_line_rises_as_the_boat_coasts_and_a_sinking_plug_sinks(
    catalog: Catalog,
) -> None:
    plain: dict[str, Any] = {"line": None, "line_out": COLOR.to_si(5.0)}
    lures = ("floating lipped plug, 6 in", "sinking plug, 5 in")
    rods = [rod(catalog, lure=lure, **plain) for lure in lures]
    float_, sinker = drops(rods, SEA, BOAT, SPEED, HOLD)
    assert isinstance(float_, Drop)
    assert isinstance(sinker, Drop)
    assert float_.gained < -0.3
    assert not float_.dropped
    assert sinker.gained > 0.3
    assert sinker.dropped


def test_that_a_denser_leader_sinks_faster(catalog: Catalog) -> None:
    long = FOOT.to_si(60.0)
    rods = [
        rod(catalog, leader=leader, leader_length=long, line_out=COLOR.to_si(5.0))
        for leader in ("50 lb mono leader", "50 lb fluorocarbon leader")
    ]
    nylon, dense = drops(rods, SEA, BOAT, SPEED, HOLD)
    assert isinstance(nylon, Drop)
    assert isinstance(dense, Drop)
    assert dense.gained > nylon.gained
    assert dense.run_depth > nylon.run_depth


@pytest.mark.parametrize(
    ("millimeters", "published"), [(10, 1.762), (20, 2.397), (30, 2.856)]
)  # lead balls in fresh water at 20 °C after Clift and others, computed; CHECKS 3.3
def test_that_a_lead_ball_falls_at_the_published_speed(millimeters: int, published: float) -> None:
    fresh = Water(Bottom.level(50.0), density=998.207, viscosity=998.207 * 1.0034e-6)
    size = 1e-3 * millimeters
    volume, area = math.pi * size**3 / 6.0, math.pi * size**2 / 4.0
    drag = sphere_drag(published * size / 1.0034e-6) * area
    ball = Lure("ball", "sinker", 11340.0 * volume, volume, size, drag, drag,
                added_mass_across=0.5, added_mass_along=0.5, isotropic=True)  # fmt: skip
    (fall,) = falls([ball], fresh)
    assert not isinstance(fall, Failed)
    assert_allclose(fall.rate, published, rtol=CORRELATION)


def test_that_run_depths_go_through_the_run_depth_of_the_drop(catalog: Catalog) -> None:
    speeds = [KNOT.to_si(k) for k in (3.0, 4.5, 6.5, 10.0)]
    longest = rod(catalog, line_out=COLOR.to_si(15.0))
    (tow,) = tows([longest], SEA, speeds)
    (drop,) = drops([rod(catalog)], SEA, BOAT, SPEED, HOLD)
    assert not isinstance(tow, Failed)
    assert isinstance(drop, Drop)
    at = float(tow.by_out(SPEED, np.array([COLOR.to_si(10.0)]))[0])
    assert_allclose(at, drop.run_depth, atol=0.06)
    by_speed = float(tow.by_speed(COLOR.to_si(10.0), np.array([SPEED]))[0])
    assert_allclose(by_speed, at, atol=0.03)


# ---- the figures of a drop


def hill(hold: float = 10.0) -> Drop:
    """From 4 m down to 8 m at 14 s along a parabola, and back up to 4 m at 34 s."""
    time = np.linspace(0.0, 40.0, 401)
    down, up = 8.0 - 4.0 * (1.0 - time / 14.0) ** 2, 8.0 - 0.2 * (time - 14.0)
    depth = np.where(time <= 14.0, down, np.maximum(up, 4.0))
    return Drop(hold, time, depth, 20.0 + np.cos(time))


def test_that_a_drops_figures_are_read_off_its_curve() -> None:
    drop = hill()
    assert drop.run_depth == 4.0
    assert drop.gained == pytest.approx(8.0 - 4.0 * (4.0 / 14.0) ** 2 - 4.0, abs=1e-6)
    assert drop.deepest == (pytest.approx(14.0, abs=0.06), pytest.approx(8.0, abs=0.01))
    assert drop.sinks_on == pytest.approx(4.0, abs=0.06)
    assert drop.lift_time == pytest.approx(18.0, abs=0.1)
    assert drop.pull == 21.0
    assert drop.least_pull == pytest.approx(19.0, abs=0.01)


def test_that_seconds_to_a_depth_are_none_when_it_runs_there_and_none_at_all_when_never() -> None:
    drop = hill()
    assert drop.seconds_to(3.0) == 0.0
    assert drop.seconds_to(7.0) == pytest.approx(7.0, abs=0.01)
    assert drop.seconds_to(9.0) is None


def test_that_a_lure_that_only_rises_has_no_lift() -> None:
    time = np.linspace(0.0, 20.0, 201)
    drop = Drop(10.0, time, 4.0 - 0.1 * time, np.ones(201))
    assert drop.gained == pytest.approx(-1.0)
    assert drop.deepest == (0.0, 4.0)
    assert drop.sinks_on is None
    assert drop.lift_time is None


def test_that_a_lift_not_seen_to_its_end_is_none() -> None:
    time = np.linspace(0.0, 20.0, 201)
    drop = Drop(10.0, time, 4.0 + np.minimum(time, 12.0), np.ones(201))
    assert drop.dropped
    assert drop.lift_time is None


# ---- what fails, fails alone


def test_that_one_that_cannot_be_computed_does_not_take_the_others_with_it(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    lures = list(catalog.lures.values())[:3]

    def stuck(some: list[Lure], water: Water, seconds: float) -> Any:
        if lures[1] in some:
            raise ConvergenceError("no way down")
        return free_falls(some, water, seconds)

    monkeypatch.setattr(compare, "free_falls", stuck)
    first, second, third = falls(lures, SEA)
    assert isinstance(second, Failed)
    assert "no way down" in second.why
    assert not isinstance(first, Failed)
    assert not isinstance(third, Failed)


def test_that_work_no_longer_wanted_stops_at_its_next_pulse(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    # so little is done before anything is told otherwise
    monkeypatch.setattr(advance, "BURST", 6)
    told: list[float] = []

    def progress(share: float) -> bool:
        told.append(share)
        return len(told) > 1

    with pytest.raises(Cancelled):
        drops([rod(catalog)], SEA, BOAT, SPEED, HOLD, progress=progress)
    assert len(told) == 2
    assert told[-1] < 1.0
    for job in (
        lambda: falls([catalog.lures["light jig, 1 oz"]], SEA, progress=lambda _: True),
        lambda: tows([rod(catalog)], SEA, (2.0, 3.0), progress=lambda _: True),
    ):
        with pytest.raises(Cancelled):
            job()


def test_that_a_drop_is_followed_long_enough_to_lift(catalog: Catalog) -> None:
    (drop,) = drops([rod(catalog)], SEA, BOAT, SPEED, HOLD)
    assert isinstance(drop, Drop)
    assert drop.time[-1] == pytest.approx(HOLD + AFTER)
    assert drop.lift_time is not None
