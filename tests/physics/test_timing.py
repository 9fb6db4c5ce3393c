"""Strike windows, clearances and answers against closed forms and brute force."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import product

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.answers.between import between, joined
from physics.answers.holds import Responses, bare, respond
from physics.answers.timing import (
    FINE,
    Aim,
    best,
    hold_for_clearance,
    strike_windows,
    timing_map,
)
from physics.checks import InvalidValue
from physics.environment.water import Bottom
from physics.simulation.drop_facts import SPACING, nearest_ground
from physics.simulation.events import LIFTING
from physics.simulation.run import simulate
from physics.simulation.scenario import Mark, Scenario, cut_for_orders
from physics.vessel.boat import Order
from tests.physics.spreads import DEEP_SEA, JIG, PLUG, drop, leadcore_rod

WINDOW = 2 * FINE
"""A window is counted in samples: one may be gained or lost at each end, s."""

TENTH_FOOT = 0.1 * 0.3048

COLOR = 9.144
"""A color of leadcore, m."""

SPREAD = drop(leadcore_rod("plug", PLUG, abeam=-2.0), leadcore_rod("jig", JIG, abeam=2.0))


def uniform(astern: float, speed: float, fall: float, lift: float, turn: float) -> Responses:
    """One lure that runs on at ``speed``, falls from 2 m at ``fall``, and lifts from ``turn`` s."""
    time = np.arange(0.0, 120.0, 0.25)
    depth = 2.0 + fall * np.minimum(time, turn) - lift * np.maximum(time - turn, 0.0)
    lure = np.stack([np.zeros_like(time), speed * time - astern, -depth], axis=1)[None, None]
    return Responses(np.array([turn]), time, lure, lure.copy(), np.array([0.0, speed]))


def test_that_a_lure_that_runs_on_passes_the_mark_after_astern_over_speed() -> None:
    # it passes at wait + t with speed (wait + t) = astern: at t = astern/speed - wait
    found = timing_map(
        uniform(60.0, 3.0, 0.2, 0.1, 10.0), (0.0, 4.0), Aim(Mark(3.5)), Bottom.level(9.0)
    )
    for w, wait in enumerate((0.0, 4.0)):
        t = 60.0 / 3.0 - wait
        depth = 2.0 + 0.2 * 10.0 - 0.1 * (t - 10.0)
        assert_allclose(found.passing[w, 0, 0], 9.0 - depth, rtol=0.0, atol=0.02)
        assert_allclose(found.passing_rate[w, 0, 0], 0.1, rtol=1e-6)


@pytest.mark.parametrize("velocity", [(0.4, 2.7), (0.0, 0.0)])
def test_that_windows_are_those_counted_wait_by_wait(velocity: tuple[float, float]) -> None:
    time = np.arange(0.0, 60.0, 0.25)
    rng = np.random.default_rng(5)
    lure = np.cumsum(rng.normal(0.0, 0.25, (2, 3, len(time), 3)), axis=2)
    lure[..., 1] += velocity[1] * time - 60.0 * (velocity[1] > 0.0)
    lure[1, :, 200:] = np.nan
    found = Responses(np.array([9.0, 12.0]), time, lure, lure, np.array(velocity))
    waits, aim = np.arange(0.0, 30.0, 0.7), Aim(Mark(0.5, band=1.0))
    ours = strike_windows(found, waits.tolist(), aim)
    counted = np.zeros((2, len(waits), 2, 3))
    for k, r in np.ndindex(2, 3):
        path = lure[k, r, np.isfinite(lure[k, r, :, 2])]
        fine = np.arange(0.0, time[len(path) - 1] + 1e-9, FINE)
        x, y, z = (np.interp(fine, time[: len(path)], axis) for axis in path.T)
        rate = np.gradient(z, FINE)
        for w, wait in enumerate(waits):
            near = np.hypot(x + wait * velocity[0], y + wait * velocity[1]) <= aim.radius
            good = near & (np.abs(z + 0.5) <= 1.0)
            counted[0, w, k, r] = FINE * (good & (rate > LIFTING)).sum()
            counted[1, w, k, r] = FINE * (good & (rate < -LIFTING)).sum()
    assert counted.sum() > 20.0
    assert_allclose(ours, counted, rtol=0.0, atol=1e-9)


def test_that_a_window_is_the_time_in_band_and_near_while_lifting() -> None:
    # lifting at 0.1 m/s through a band of 2 m takes 20 s; within 8 m at 3 m/s, 16/3 s
    found = timing_map(
        uniform(60.0, 3.0, 0.2, 0.1, 10.0), (0.0,), Aim(Mark(3.0, band=1.0)), Bottom.level(9.0)
    )
    assert_allclose(found.lifting[0, 0, 0], 16.0 / 3.0, rtol=0.0, atol=WINDOW)
    assert found.falling[0, 0, 0] == 0.0
    slow = timing_map(
        uniform(4.0, 0.0, 0.2, 0.1, 10.0), (0.0,), Aim(Mark(3.0, band=0.5)), Bottom.level(9.0)
    )
    # it stays near: falling through 1 m at 0.2 m/s, lifting through it at 0.1 m/s
    assert_allclose(slow.falling[0, 0, 0], 5.0, rtol=0.0, atol=WINDOW)
    assert_allclose(slow.lifting[0, 0, 0], 10.0, rtol=0.0, atol=WINDOW)


def test_that_the_map_is_what_each_wait_and_hold_gives_over_a_profile() -> None:
    profile = Bottom(((-60.0, 20.0), (0.0, 17.0), (25.0, 18.5), (90.0, 22.0)))
    aim = Aim(Mark(4.5, band=1.5), radius=10.0)
    holds, waits = (6.0, 14.0, 22.0), (0.0, 7.0, 13.0)
    found = timing_map(respond(SPREAD, holds), waits, aim, profile)
    assert (found.lifting > 1.0).mean() > 0.5, "there is something to compare"
    assert (found.falling > 1.0).mean() > 0.3
    for w, wait in enumerate(waits):
        for k, hold in enumerate(holds):
            orders = [Order(wait + hold, "in gear")]
            orders.insert(0, Order(wait, "out of gear"))
            over = replace(DEEP_SEA, bottom=profile)
            scenario = replace(bare(SPREAD), water=over, orders=tuple(orders), duration=90.0)
            run = simulate(scenario)
            times = np.arange(wait, min(wait + hold + 60.0, 90.0), 0.02)
            for r, line in enumerate(run.lines):
                place, rate = line.lure(times), line.lure_velocity(times)[:, 2]
                aside = np.hypot(place[:, 0], place[:, 1])
                near = aside <= aim.radius
                band = np.abs(-place[:, 2] - aim.mark.depth) <= aim.mark.band
                inside = near & band
                lifting, falling = (
                    0.02 * (inside & moving).sum() for moving in (rate > LIFTING, rate < -LIFTING)
                )
                assert_allclose(found.lifting[w, k, r], lifting, rtol=0.0, atol=WINDOW)
                assert_allclose(found.falling[w, k, r], falling, rtol=0.0, atol=WINDOW)
                miss = np.hypot(aside, -place[:, 2] - aim.mark.depth).min()
                assert_allclose(found.miss[w, k, r], miss, rtol=0.0, atol=0.05)
                nodes = line.nodes(times)
                height = nodes[:, 2] + profile.depth_at(nodes[:, 0], nodes[:, 1])
                assert_allclose(found.clearance[w, k, r], height.min(), rtol=0.0, atol=0.05)
                at = int(aside.argmin())
                if 0 < at < len(times) - 1:
                    off = run.height(r, times[at : at + 1])[0]
                    assert_allclose(found.passing[w, k, r], off, rtol=0.0, atol=TENTH_FOOT)


def test_that_the_hold_for_a_clearance_gives_it_when_run() -> None:
    shallow = replace(SPREAD, water=replace(DEEP_SEA, bottom=Bottom.level(9.0)))
    found = timing_map(
        respond(shallow, np.arange(0.0, 45.0, 2.0)), (0.0,), Aim(Mark(7.0)), shallow.water.bottom
    )
    for rod in (0, 1):
        hold = hold_for_clearance(found, rod, 1.5)
        assert hold is not None
        orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
        run = simulate(replace(bare(shallow), orders=orders, duration=hold + 60.0))
        times = np.arange(0.0, hold + 50.0, 0.05)
        least = 9.0 + run.lines[rod].nodes(times)[:, 2].min()
        assert_allclose(least, 1.5, rtol=0.0, atol=TENTH_FOOT)


def test_that_a_bottom_out_of_reach_has_no_hold() -> None:
    found = timing_map(respond(SPREAD, (0.0, 10.0)), (0.0,), Aim(Mark(9.0)), DEEP_SEA.bottom)
    assert hold_for_clearance(found, 0, 2.0) is None


def test_that_the_answer_is_the_longest_window_that_keeps_clear() -> None:
    shallow = replace(SPREAD, water=replace(DEEP_SEA, bottom=Bottom.level(13.0)))
    waits, holds = np.arange(0.0, 40.0, 2.0), np.arange(0.0, 41.0, 4.0)
    aim = Aim(Mark(10.0, band=1.5), clearance=1.0)
    found = timing_map(respond(shallow, holds), waits, aim, shallow.water.bottom)
    answer = best(found, aim.clearance)
    assert answer is not None
    w, k = list(waits).index(answer.wait), list(holds).index(answer.hold)
    assert found.clearance[w, k].min() >= aim.clearance
    every = [
        found.total[i, j]
        for i in range(len(waits))
        for j in range(len(holds))
        if found.clearance[i, j].min() >= aim.clearance
    ]
    assert_allclose(answer.window, max(every), rtol=0.0, atol=FINE + 1e-9)
    now = best(found, aim.clearance, wait=0.0)
    assert now is None or now.wait == 0.0


def test_that_nothing_is_answered_where_no_window_is_clear() -> None:
    found = timing_map(respond(SPREAD, (0.0, 4.0)), (0.0,), Aim(Mark(40.0)), DEEP_SEA.bottom)
    assert best(found, 0.5) is None


@pytest.mark.parametrize(
    ("aim", "word"),
    [
        (Aim(Mark(12.0)), "mark depth"),
        (Aim(Mark(8.0), clearance=11.0), "clearance"),
        (Aim(Mark(8.0), radius=0.0), "radius"),
    ],
)
def test_that_an_aim_that_makes_no_sense_is_refused(aim: Aim, word: str) -> None:
    with pytest.raises(InvalidValue, match=word):
        aim.check(Bottom.level(10.0))


SLOPES = {
    "up": ((-200.0, 35.0), (100.0, 5.0)),
    "up steeply": ((-40.0, 30.0), (35.0, 5.0)),
    "down": ((-100.0, 14.0), (200.0, 44.0)),
    "a shoal": ((-60.0, 30.0), (-20.0, 12.0), (20.0, 12.0), (60.0, 30.0)),
    "up across": ((-200.0, 35.0), (100.0, 5.0)),
}


@pytest.fixture(scope="module")
def short_and_long() -> Scenario:
    rods = [
        replace(rod, sections=(replace(rod.sections[0], length=COLOR * colors), rod.sections[1]))
        for rod, colors in ((leadcore_rod("short", PLUG), 3), (leadcore_rod("long", JIG), 10))
    ]
    return drop(*rods, orders=(), water=DEEP_SEA.over(Bottom.level(60.0)))


def test_that_every_part_of_a_line_is_looked_at_over_ground_that_is_not_level(
    short_and_long: Scenario,
) -> None:
    holds, waits, after = (4.0, 10.0), (0.0, 10.0), 40.0
    run = partial(respond, short_and_long, after=after, any_ground=True)
    found, split = run(holds), between(joined([run((hold,)) for hold in holds]), holds)
    runs = {}
    for hold, wait in product(holds, waits):
        orders = Order(wait, "out of gear"), Order(wait + hold, "in gear")
        runs[hold, wait] = simulate(
            cut_for_orders(replace(short_and_long, duration=wait + hold + after, orders=orders))
        )
    clear = 0
    for name, points in SLOPES.items():
        bottom = Bottom(points, bearing=0.6 if name == "up across" else 0.0)
        told, apart = (timing_map(one, waits, Aim(Mark(4.0)), bottom) for one in (found, split))
        assert_allclose(apart.clearance, told.clearance, rtol=0.0, atol=0.05)
        for (w, wait), (k, hold) in product(enumerate(waits), enumerate(holds)):
            time = np.arange(wait, wait + hold + after + 1e-9, SPACING)
            for r, line in enumerate(runs[hold, wait].lines):
                least = nearest_ground(line.nodes(time), bottom)[1].min()
                # what lies on the ground already is as it would be over deeper water
                if least > 0.0:
                    assert told.clearance[w, k, r] == pytest.approx(least, abs=0.05), (
                        name,
                        wait,
                        hold,
                    )
                    clear += 1
                else:
                    assert told.clearance[w, k, r] < 0.0
    assert clear > 30
