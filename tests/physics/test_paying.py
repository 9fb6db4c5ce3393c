"""Line that goes out and comes in at the tip, against what must come of it."""

from __future__ import annotations

import pickle
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.answers.sink import line_sink_rate
from physics.checks import InvalidValue
from physics.environment.water import Water
from physics.line.handling import HandledMesh, handle
from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution, build_mesh
from physics.line.paying import RAMP, Paying, paying
from physics.line.tackle import Rod
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order
from tests.physics.spreads import DEEP_SEA, LEADCORE, LEADER, MONO, PLUG, drop, leadcore_rod

SAME = 1e-5  # m; as for orders to the helm
STEADY = 0.005  # m; other elements near the tip


def rod(line: float, name: str = "rod", **place: float) -> Rod:
    return Rod(name, (replace(LEADCORE, length=line), LEADER), PLUG, **place)


def towed(*rods: Rod, orders: tuple[LineOrder, ...] = (), **changes) -> Scenario:
    return drop(*rods, orders=(), line_orders=orders, **changes)


def to(time: float, length: float, rate: float = 0.5, name: str = "rod") -> LineOrder:
    return LineOrder(time, name, "line to", length, rate)


def lengths(out: Paying, times: np.ndarray) -> np.ndarray:
    return np.array([out.at(float(t))[0] for t in times])


# ---- the reel


def test_that_a_reel_ends_where_it_was_told_and_never_outruns_its_rate() -> None:
    out = paying(30.0, [to(10.0, 50.0, 0.8), to(60.0, 20.0, 1.5)], 100.0)
    times = np.arange(0.0, 120.0, 0.01)
    length = lengths(out, times)
    rate = np.gradient(length, times)
    assert length[0] == 30.0
    assert lengths(out, np.array([59.9])) == pytest.approx(50.0)
    assert length[-1] == pytest.approx(20.0)
    assert rate.max() == pytest.approx(0.8, abs=1e-6)
    assert rate.min() == pytest.approx(-1.5, abs=1e-6)
    told = [out.at(float(t))[1] for t in times]
    assert_allclose(told, rate, atol=0.02)


def test_that_a_move_takes_its_way_over_its_rate_and_one_ramp_more() -> None:
    out = paying(30.0, [to(10.0, 40.0, 2.0)], 100.0)
    assert out.breakpoints[-1].time == pytest.approx(10.0 + 10.0 / 2.0 + RAMP)


def test_that_an_order_given_meanwhile_takes_over_smoothly() -> None:
    out = paying(30.0, [to(10.0, 50.0, 1.0), to(15.0, 25.0, 0.5)], 100.0)
    times = np.arange(14.0, 17.0, 0.005)
    rate = np.array([out.at(float(t))[1] for t in times])
    assert np.abs(np.diff(rate)).max() < 0.03
    assert out.at(100.0) == (25.0, 0.0)


def test_that_a_move_too_short_for_the_rate_is_made_slower() -> None:
    out = paying(30.0, [to(10.0, 30.1, 3.0)], 100.0)
    times = np.arange(9.0, 13.0, 0.001)
    assert lengths(out, times).max() <= 30.1 + 1e-9
    assert out.at(13.0)[0] == pytest.approx(30.1)


def test_that_it_comes_to_a_length_when_it_says_so() -> None:
    out = paying(30.0, [to(10.0, 50.0, 0.8), to(20.0, 20.0, 1.5)], 100.0)
    for length in (31.0, 35.5, 22.0):
        found = out.reaches(length)
        assert len(found) == (1 if length < 30.0 else 2)
        for time in found:
            assert out.at(time)[0] == pytest.approx(length, abs=1e-9)


def test_that_the_reel_runs_empty_and_the_leader_stays_out() -> None:
    out = paying(30.0, [to(0.0, 300.0, 5.0), to(200.0, 0.5, 5.0)], 80.0)
    assert out.at(199.0)[0] == 80.0
    assert out.at(400.0)[0] == 0.5


# ---- the line


@pytest.mark.parametrize(("before", "after", "rate"), [(27.0, 46.0, 0.5), (46.0, 27.0, 1.5)])
def test_that_line_paid_out_or_wound_in_tows_as_if_it_had_always_been_so(
    before: float, after: float, rate: float
) -> None:
    moved = simulate(towed(rod(before), orders=(to(5.0, after, rate),), duration=120.0))
    always = simulate(towed(rod(after), duration=1.0))
    assert moved.depth(0, np.array([120.0]))[0] == pytest.approx(always.run_depth(0), abs=STEADY)
    assert abs(moved.run_depth(0) - always.run_depth(0)) > 0.5, "the length matters"
    pull = moved.tension(0, np.array([120.0]))[0]
    assert pull == pytest.approx(always.tension(0, np.array([0.0]))[0], rel=0.002)


def test_that_line_goes_out_through_what_the_reel_holds_next() -> None:
    """Leadcore to its end, then backing: steady as a rod that had both out all the time."""
    short = replace(rod(27.0), reserve=(replace(LEADCORE, length=10.0), MONO))
    moved = simulate(towed(short, orders=(to(5.0, 57.0, 1.0),), duration=150.0))
    both = Rod("rod", (replace(MONO, length=20.0), replace(LEADCORE, length=37.0), LEADER), PLUG)
    always = simulate(towed(both, duration=1.0))
    assert moved.depth(0, np.array([150.0]))[0] == pytest.approx(always.run_depth(0), abs=0.02)


def test_that_line_laid_at_the_boats_own_speed_sinks_as_freely_as_it_can() -> None:
    """Paid out as fast as she goes, line lies still in the water and only its weight moves it."""
    scenario = towed(rod(10.0), orders=(to(5.0, 90.0, 2.57),), duration=34.0)
    run = simulate(scenario)
    late = run.lines[0].nodes(np.array([26.0, 32.0]))
    fell = -(late[1, 2] - late[0, 2]) / 6.0
    laid = slice(int(run.lines[0].tips[-1]) + 18, int(run.lines[0].tips[-1]) + 28)
    assert_allclose(fell[laid], line_sink_rate(LEADCORE, DEEP_SEA), rtol=0.01)


@pytest.mark.parametrize("height", [2.0, -2.0])
def test_that_a_line_wound_in_slowly_pulls_without_a_jerk(height: float) -> None:
    held = rod(46.0, height=height)
    run = simulate(towed(held, orders=(to(5.0, 20.0, 0.3),), duration=80.0))
    pull = run.tension(0, np.arange(10.0, 80.0, 0.1))
    # what is left is how lumps of line change hands: 1 to 4 % with 24 elements
    assert (np.abs(np.diff(pull)) < 0.05 * pull[1:]).all()


def test_that_line_let_go_at_the_tip_leaves_it_as_fast_as_it_is_paid_out() -> None:
    run = simulate(towed(rod(10.0), orders=(to(5.0, 40.0, 1.0),), duration=40.0))
    line = run.lines[0]
    released = np.flatnonzero(np.diff(line.tips) < 0) + 1
    assert len(released) > 10
    for k in released[(line.time[released] > 8.0) & (line.time[released] < 34.0)]:
        tip = line.tips[k]
        way = line.position[k, :, tip + 1] - line.position[k, :, tip]
        away = line.velocity[k, :, tip + 1] - line.velocity[k, :, tip]
        assert away @ way / np.linalg.norm(way) == pytest.approx(1.0, abs=0.15)


def test_that_what_is_out_weighs_and_drags_in_proportion_and_what_is_on_the_reel_does_not() -> None:
    held = rod(20.0)
    line = handle(held, (to(5.0, 40.0, 1.0),), DEEP_SEA, Resolution())
    mesh = build_mesh([(held, DEEP_SEA)], Resolution(), [line.spare])
    dressing = HandledMesh(mesh, [line], np.array([line.tip(0.0)]))
    core = len(line.along) - 1 - Resolution().leader_elements

    def sums(time: float) -> np.ndarray:
        dressing.set_tips(np.array([line.tip(time)]))
        dressing.at(np.array([time]))
        now, tip = dressing.mesh, line.tip(time)
        of_line = slice(tip, core)
        return np.array(
            [
                now.length[of_line].sum(),
                *(part[:, of_line].sum() for part in (now.cross, now.along, now.added_across)),
                *(part[: core + 1].sum() for part in (now.mass, now.weight, now.buoyancy)),
            ]
        )

    start = sums(0.0)
    growth = [sums(time) - start for time in (8.3, 14.9, 22.2)]
    out = np.array([line.line_out(time)[0] for time in (8.3, 14.9, 22.2)]) - 20.0
    for change, more in zip(growth, out, strict=True):
        assert change[0] == pytest.approx(more)
        assert_allclose(change / more, growth[0] / out[0], rtol=1e-9)
    assert (growth[0] > 0.0).all()
    # the surest measure of a meter of line: its own mass and the water its braid holds
    area = LEADCORE.area * LEADCORE.flooded * DEEP_SEA.density
    assert growth[0][4] / out[0] == pytest.approx(LEADCORE.mass_per_length + area)


def test_that_twice_the_elements_wind_in_alike() -> None:
    orders = (to(5.0, 15.0, 1.0),)
    coarse, fine = (
        simulate(towed(rod(46.0), orders=orders, duration=60.0, resolution=resolution))
        for resolution in (Resolution(), Resolution(48, 6))
    )
    times = np.arange(0.0, 60.0, 0.5)
    assert_allclose(coarse.depth(0, times), fine.depth(0, times), atol=0.02)
    assert_allclose(
        coarse.tension(0, times)[20:], fine.tension(0, times)[20:], rtol=0.06
    )  # fmt: skip


def test_that_orders_about_a_line_given_late_give_the_run_that_knew_them() -> None:
    orders = (
        to(3.0, 35.0, 1.0), to(12.3, 20.0, 1.5), to(20.0, 60.0, 2.0),
        LineOrder(24.0, "rod", "fish on", 4.0), LineOrder(26.0, "rod", "fish end to", 5.0, 0.5),
    )  # fmt: skip
    known = towed(rod(27.0), rod(40.0, "other", abeam=2.0), orders=orders, duration=40.0)
    live = Run([replace(known, line_orders=())])
    for order in orders:
        live.advance(order.time + 2.0)
        live.order_line(order)
    live.advance(known.duration)
    times = np.linspace(0.0, 40.0, 81)
    ours, theirs = live.trajectory(), simulate(known)
    for number in (0, 1):
        line, other = ours.lines[number], theirs.lines[number]
        apart = line.position.shape[2] - other.position.shape[2]
        assert apart == 0
        assert_allclose(line.lure(times), other.lure(times), rtol=0.0, atol=SAME)
        assert_allclose(line.nodes(times), other.nodes(times), rtol=0.0, atol=1e-3)
    assert live.line_orders() == orders


def test_that_a_branch_and_a_pickled_run_go_the_same_way() -> None:
    orders = (to(3.0, 35.0, 1.0), to(12.3, 20.0, 1.5))
    scenario = towed(rod(27.0), orders=orders, duration=30.0)
    run = Run([scenario])
    run.advance(9.0)
    branch, sent = run.branch(), pickle.loads(pickle.dumps(run.branch()))
    for other in (run, branch, sent):
        other.advance(30.0)
    late = np.linspace(12.0, 30.0, 19)
    want = simulate(scenario).lines[0].lure(late)
    for other in (run, branch, sent):
        assert_allclose(other.trajectory().lines[0].lure(late), want, rtol=0.0, atol=SAME)


def test_that_a_line_that_is_handled_leaves_the_others_alone() -> None:
    still = towed(rod(40.0, "other", abeam=2.0), duration=30.0)
    both = towed(rod(27.0), *still.rods, orders=(to(3.0, 45.0, 1.0),), duration=30.0)
    times = np.linspace(0.0, 30.0, 31)
    assert_allclose(
        simulate(both).lines[1].lure(times), simulate(still).lines[0].lure(times), atol=1e-4
    )


def test_that_an_even_current_only_carries_line_that_comes_in() -> None:
    orders = (to(3.0, 15.0, 1.0),)
    moved = Water(DEEP_SEA.bottom, current=(0.6, -0.4))
    times = np.linspace(0.0, 30.0, 61)
    still, carried = (
        simulate(towed(rod(46.0), orders=orders, water=water)).lines[0].lure(times)
        for water in (DEEP_SEA, moved)
    )
    set_and_drift = times[:, None] * np.array([0.6, -0.4, 0.0])
    assert_allclose(carried - set_and_drift, still, rtol=0.0, atol=SAME)


def test_that_the_live_pull_is_the_pull_of_the_record() -> None:
    run = Run([towed(rod(27.0), orders=(to(3.0, 45.0, 1.0),))])
    live = []
    times = np.arange(0.25, 30.0, 0.5)
    for time in times:
        run.advance(float(time))
        live.append(run.tensions_at(float(time))[0])
    record = run.trajectory().tension(0, times)
    assert_allclose(live, record, rtol=0.08)
    assert np.abs(np.array(live) / record - 1.0).mean() < 0.01


def test_that_the_run_tells_how_much_line_is_out() -> None:
    run = Run([towed(rod(27.0), rod(40.0, "other", abeam=2.0), orders=(to(3.0, 45.0, 1.0),))])
    assert_allclose(run.lines_out(0.0), [27.0, 40.0])
    assert_allclose(run.lines_out(40.0), [45.0, 40.0])


# ---- a fish


def on(time: float, mass: float = 4.0) -> LineOrder:
    return LineOrder(time, "rod", "fish on", mass)


def test_that_a_hooked_fish_pulls_as_hard_as_its_drag() -> None:
    """Half rho Cd A U^2 at the lure, on a line short enough to lie straight, all under water."""
    sunk = rod(5.0, height=-2.0)
    run = simulate(towed(sunk, orders=(on(3.0),), duration=60.0))
    free = simulate(towed(sunk, duration=1.0))
    more = run.tension(0, np.array([60.0]))[0] - free.tension(0, np.array([0.0]))[0]
    speed = 2.57
    area = 0.0035 * 4.0 ** (2.0 / 3.0)
    assert more == pytest.approx(0.5 * DEEP_SEA.density * area * speed**2, rel=0.02)


def test_that_a_fish_on_brings_its_mass() -> None:
    """Throttled up, the pull exceeds the fish's drag by its mass times its acceleration."""
    rest = []
    for mass in (4.0, 8.0):
        run = simulate(
            replace(
                towed(rod(5.0, height=-2.0), orders=(on(1.0, mass),)),
                orders=(Order(20.0, "throttle", 4.5),),
            )
        )
        at = np.array([21.4, 21.5, 21.6])
        speed = run.lines[0].lure_velocity(at)[:, 1]
        area = 0.0035 * mass ** (2.0 / 3.0)
        drag = 0.5 * DEEP_SEA.density * area * speed[1] ** 2
        rest.append((run.tension(0, at)[1] - drag, (speed[2] - speed[0]) / 0.2))
    (light, slow), (heavy, slower) = rest
    assert slower > 0.2
    assert heavy - light == pytest.approx(8.0 * slower - 4.0 * slow, rel=0.15)


def test_that_a_fish_swims_as_told_and_keeps_its_depth() -> None:
    orders = (on(3.0), LineOrder(5.0, "rod", "fish end to", 9.0, 0.4))
    run = simulate(towed(rod(40.0), orders=orders, duration=60.0))
    times = np.arange(8.0, 16.0, 1.0)
    assert_allclose(np.diff(run.depth(0, times)), 0.4, atol=0.03)
    assert_allclose(run.depth(0, np.arange(40.0, 60.0)), 9.0, atol=0.05)


def test_that_a_fish_keeps_off_the_ground() -> None:
    shallow = Water(replace(DEEP_SEA.bottom, points=((0.0, 6.0),)))
    orders = (on(3.0), LineOrder(5.0, "rod", "fish end to", 9.0, 0.4))
    run = simulate(towed(rod(20.0), orders=orders, water=shallow, duration=60.0))
    assert run.height(0, np.array([59.0]))[0] == pytest.approx(0.3, abs=0.06)


def test_that_a_fish_lost_leaves_the_lure_as_it_ran() -> None:
    orders = (on(3.0), LineOrder(20.0, "rod", "fish off"))
    run = simulate(towed(rod(40.0), orders=orders, duration=120.0))
    depth = run.depth(0, np.array([0.0, 19.0, 120.0]))
    assert abs(depth[1] - depth[0]) > 0.3
    assert depth[2] == pytest.approx(depth[0], abs=0.003)


def test_that_a_line_nobody_has_is_not_ordered_about() -> None:
    run = Run([towed(rod(27.0))])
    with pytest.raises(InvalidValue, match="one of rod"):
        run.order_line(to(3.0, 45.0, 1.0, "spare"))
    with pytest.raises(InvalidValue, match="one of rod"):
        towed(rod(27.0), orders=(to(3.0, 45.0, 1.0, "spare"),))


def test_that_a_plain_rod_is_the_same_with_and_without_an_idle_reel() -> None:
    """An order that asks for what is out already changes nothing."""
    times = np.linspace(0.0, 30.0, 31)
    plain, idle = (
        simulate(drop(leadcore_rod("rod"), line_orders=orders)).lines[0].lure(times)
        for orders in ((), (to(3.0, LEADCORE.length),))
    )
    assert_allclose(idle, plain, rtol=0.0, atol=1e-3)
