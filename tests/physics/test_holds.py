"""A fan of holds gives what each hold gives alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from physics.answers.holds import AFTER, SPACING, bare, dropped, respond
from physics.checks import InvalidValue
from physics.environment.water import Bottom
from physics.progress import Cancelled, part_of
from physics.simulation.advance import BURST
from physics.simulation.run import Run, simulate
from physics.vessel.boat import Order
from tests.physics.spreads import DEEP_SEA, JIG, PLUG, drop, leadcore_rod

SAME_TRACK = 0.01
"""Steps of a fan end at other instants than those of a run alone; both err by millimeters, m."""

SPREAD = drop(leadcore_rod("plug", PLUG, abeam=-2.0), leadcore_rod("jig", JIG, abeam=2.0))
SHALLOW = replace(SPREAD, water=replace(DEEP_SEA, bottom=Bottom.level(8.0)))
HOLDS = (0.0, 5.0, 12.5, 30.0)


@pytest.mark.parametrize("scenario", [SPREAD, SHALLOW], ids=["deep", "touching"])
def test_that_every_hold_is_what_it_is_alone(scenario) -> None:
    together = respond(scenario, HOLDS)
    for k, hold in enumerate(HOLDS):
        orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
        alone = simulate(replace(scenario, orders=orders, duration=hold + AFTER))
        times = together.time[together.time <= hold + AFTER]
        for r, line in enumerate(alone.lines):
            ours = together.lure[k, r, : len(times)]
            assert_allclose(ours, line.lure(times), rtol=0.0, atol=SAME_TRACK)
            lowest = line.nodes(times)[:, 2].min(axis=1)
            # a node that has just landed is the lowest for a moment
            assert_allclose(together.low[k, r, : len(times), 2], lowest, rtol=0.0, atol=0.02)
        assert np.isnan(together.lure[k, :, len(times) :]).all()


def test_that_the_way_is_the_boat_over_ground_before_the_drop() -> None:
    drifting = replace(SPREAD, water=replace(DEEP_SEA, current=(0.5, -0.2)))
    assert_allclose(respond(drifting, (2.0,)).boat_velocity, (0.5, 2.57 - 0.2), rtol=1e-12)


def test_that_samples_are_evenly_spaced_and_reach_the_end() -> None:
    found = respond(SPREAD, (1.0, 4.0), after=20.0)
    assert_allclose(np.diff(found.time), SPACING, rtol=1e-9)
    assert found.time[-1] >= 24.0
    assert np.isfinite(found.lure[1, :, found.time <= 24.0]).all()


def test_that_the_work_tells_how_far_it_is_and_stops_when_told() -> None:
    heard: list[float] = []

    def progress(share: float) -> bool:
        heard.append(share)
        return len(heard) == 3

    with pytest.raises(Cancelled):
        respond(SPREAD, HOLDS, progress=progress)
    assert heard == sorted(heard)
    assert 0.0 < heard[-1] < 1.0


def test_that_a_part_of_the_work_is_told_as_its_share_of_all() -> None:
    heard: list[float] = []

    def progress(share: float) -> bool:
        heard.append(share)
        return share > 0.5

    told = part_of(part_of(progress, 0.2, 0.6), 0.5, 1.0)
    assert told is not None
    assert [told(share) for share in (0.0, 0.5, 1.0)] == [False, False, True]
    assert_allclose(heard, [0.4, 0.5, 0.6], rtol=1e-12)
    assert max(heard) <= 0.6
    assert part_of(None, 0.2, 0.6) is None


def test_that_long_work_reports_every_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    steps: list[int] = []
    reports: list[float] = []
    plain = Run.advance

    def counted(self: Run, until: object, most_rounds: int | None = None) -> bool:
        before = [len(past.time) for past in self._state.pasts]
        done = plain(self, until, most_rounds)
        steps.append(max(len(p.time) - n for p, n in zip(self._state.pasts, before, strict=True)))
        return done

    def progress(share: float) -> bool:
        reports.append(share)
        return False

    monkeypatch.setattr(Run, "advance", counted)
    for work in (respond, dropped):
        steps.clear()
        reports.clear()
        work(SPREAD, (0.0, 40.0) if work is respond else 40.0, progress=progress)
        assert sum(steps) > 60
        assert max(steps) <= BURST
        assert len(reports) >= len(steps)


def test_that_an_order_to_several_boats_is_one_to_each() -> None:
    many = [bare(replace(SPREAD, speed=speed)) for speed in (SPREAD.speed, 2.0, SPREAD.speed)]
    at_once, one_by_one = Run(many), Run(many)
    for when, action in ((1.0, "out of gear"), (4.0, "in gear")):
        order = Order(when, action)
        at_once.order(order, 0, 2)
        for k in (0, 2):
            one_by_one.order(order, k)
    for run in (at_once, one_by_one):
        run.advance(9.0)
    for k in range(3):
        ours, theirs = (run.trajectory(k) for run in (at_once, one_by_one))
        assert ours.track.at(9.0) == theirs.track.at(9.0)
        assert ours.track.at(9.0).in_gear
        assert (ours.track.at(3.0).in_gear) == (k == 1)
        assert_array_equal(ours.lines[0].position, theirs.lines[0].position)


def test_that_a_profile_or_an_endless_hold_is_refused() -> None:
    sloping = replace(DEEP_SEA, bottom=Bottom(((0.0, 10.0), (50.0, 8.0))))
    with pytest.raises(InvalidValue, match="level bottom"):
        respond(replace(SPREAD, water=sloping), (5.0,))
    with pytest.raises(InvalidValue, match="hold is 500"):
        respond(SPREAD, (500.0,))
