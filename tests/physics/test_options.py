"""Lines run by themselves and placed under a rod tip do what they do in the spread."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.testing import assert_allclose

from physics.answers.crossings import Crossing, crossing
from physics.answers.holds import Responses, respond
from physics.answers.options import between_lengths, placed, run_options
from physics.answers.unison import lift_moments, unison
from physics.environment.water import Bottom
from physics.line.mesh import Resolution
from physics.line.tackle import LineSection
from physics.simulation.scenario import Mark
from tests.physics.spreads import DEEP_SEA, JIG, LEADCORE, LEADER, PLUG, drop, leadcore_rod

COARSE = Resolution(line_elements=8, leader_elements=2, grading=1.0)
SPREAD = drop(
    leadcore_rod("plug", PLUG, abeam=-3.0, astern=1.0), leadcore_rod("jig", JIG, abeam=2.0),
    resolution=COARSE, heading=0.7, orders=(),
    water=replace(DEEP_SEA, bottom=Bottom.level(90.0), current=(0.3, -0.1)),
)  # fmt: skip
HOLDS = (2.0, 8.0)


def test_that_a_line_under_its_own_tip_is_the_line_of_the_spread() -> None:
    whole = respond(SPREAD, HOLDS)
    alone = run_options(SPREAD, SPREAD.rods, HOLDS)
    for r, rod in enumerate(SPREAD.rods):
        own = placed(alone, [r], rod, SPREAD.heading, HOLDS)
        count = whole.lure.shape[2]
        assert_allclose(own.lure[:, 0, :count], whole.lure[:, r], rtol=0.0, atol=0.01)
        assert_allclose(own.low[:, 0, :count], whole.low[:, r], rtol=0.0, atol=0.05)


def test_that_lengths_between_those_run_are_as_if_they_had_been_run() -> None:
    def line(length: float):
        section: LineSection = replace(LEADCORE, length=length)
        return replace(SPREAD.rods[0], sections=(section, LEADER))

    known, wanted = (20.0, 30.0, 40.0, 50.0, 60.0), (25.0, 45.0, 60.0)
    run = run_options(SPREAD, [line(length) for length in known], HOLDS)
    between = between_lengths(known, run, wanted)
    truth = run_options(SPREAD, [line(length) for length in wanted], HOLDS)
    apart = np.abs(between.lure - truth.lure)
    assert np.nanmax(apart) < 0.1
    assert_allclose(between.lure[:, 2], run.lure[:, 4], rtol=0.0, atol=1e-9)
    assert np.array_equal(np.isnan(between.lure), np.isnan(truth.lure))


def lifts(*turns: float) -> Responses:
    """Lures that fall 1 m/s from 5 m until each turns, and then lift as fast."""
    time = np.arange(0.0, 40.01, 0.25)
    z = np.stack([-5.0 - np.where(time < t, time, 2.0 * t - time) for t in turns])
    lure = np.zeros((1, len(turns), len(time), 3))
    lure[0, ..., 2] = z
    return Responses(np.array([5.0]), time, lure, lure, np.array([0.0, 3.0]))


def test_that_a_lure_lifts_through_the_mark_when_it_comes_up_to_its_depth() -> None:
    # from 15 m down it comes up 1 m/s: 10 m down 5 s after it turned
    found = lifts(10.0, 12.0)
    assert_allclose(lift_moments(found, Mark(10.0, band=1.0))[0], [15.0, 19.0], atol=0.1)
    both = unison(found, Mark(10.0, band=1.0))
    assert both.apart is not None
    assert abs(both.apart - 4.0) < 0.1
    assert_allclose(both.depths, [8.0, 12.0], atol=0.15)
    assert both.depths_apart is not None
    assert abs(both.depths_apart - 4.0) < 0.2


def test_that_a_lure_that_never_comes_down_to_the_mark_has_no_moment() -> None:
    found = unison(lifts(2.0, 10.0), Mark(12.0, band=1.0))
    assert np.isnan(found.moments[0])
    assert np.isfinite(found.moments[1])
    assert found.apart is None
    assert found.depths_apart is None


def test_that_lines_side_by_side_do_not_cross_and_a_long_one_inside_a_turn_does() -> None:
    level = replace(SPREAD, water=DEEP_SEA, heading=0.0)
    apart = replace(level, rods=tuple(
        leadcore_rod(name, PLUG, abeam=at) for name, at in (("port", -3.0), ("starboard", 3.0))
    ))  # fmt: skip
    assert crossing(apart, 5.0) is None
    short = replace(LEADCORE, length=14.0)
    mixed = replace(level, rods=(
        replace(leadcore_rod("port", JIG, abeam=-0.5), sections=(short, LEADER)),
        leadcore_rod("starboard", PLUG, abeam=0.5),
    ))  # fmt: skip
    found = crossing(mixed, 5.0)
    assert isinstance(found, Crossing)
    assert (found.first, found.second) == (0, 1)
    assert found.when.startswith("in a turn to ")
