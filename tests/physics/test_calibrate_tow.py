"""Depths under way: fits of runs made apart from them, at the default resolution and by Run."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.calibration.calibrate import calibrate
from physics.calibration.factors import Factors, Gear, Prior, usual_prior
from physics.calibration.measured import DropTouch, Row, TowDepth
from physics.calibration.predict import errors, predict
from physics.checks import InvalidValue
from physics.environment.current import Shares
from physics.line.mesh import Resolution
from physics.line.tackle import Rod
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from tests.physics.measurements import BOAT, CORE, GEAR, LEADER, PLUG, ROD, WATER

SHORT = replace(ROD, sections=(replace(CORE, length=27.43), LEADER))
SPEEDS = (1.8, 2.3, 2.8, 3.4)

COARSE_GAP = 0.04  # m; how far a fit's coarse lines may be from fine ones, a tenth of an error
FINE = Resolution(48, 6)


def towed(rod: Rod, speed: float) -> float:
    """Depth of the lowest node of a line in its own scenario and Run, m."""
    run = Run([Scenario("tow", WATER, BOAT, (rod,), speed=speed, resolution=FINE)])
    return -float(run.nodes_at(0.0)[0][2].min())


def draggier(rod: Rod, factor: float) -> Rod:
    core, leader = rod.sections
    return replace(rod, sections=(replace(core, drag_multiplier=factor), leader))


def test_that_coarse_lines_are_well_within_the_error_of_a_sounded_depth() -> None:
    rows = [TowDepth(speed, 5.0, rod) for speed in SPEEDS for rod in (ROD, SHORT)]
    ours = predict(GEAR, rows, [Factors()])[0]
    assert_allclose(ours, [towed(r.rod or ROD, r.speed) for r in rows], rtol=0.0, atol=COARSE_GAP)


def test_that_depths_of_another_run_give_its_drag_back() -> None:
    rows = [
        TowDepth(speed, towed(draggier(rod, 1.4), speed), rod, 0.1, 0.02)
        for speed in SPEEDS
        for rod in (ROD, SHORT)
    ]
    found = calibrate(GEAR, rows, [usual_prior("line_drag", GEAR)])
    part = found.of("line_drag")
    assert part.low < 1.4 < part.high
    assert_allclose(part.factor, 1.4, rtol=0.03)  # the prior pulls it down a little
    assert_allclose([row.residual for row in found.rows], 0.0, atol=0.15)
    sections = found.tuned.rod.sections if found.tuned.rod else ()
    assert_allclose(sections[0].drag_multiplier, part.factor)
    assert sections[1] == LEADER


def test_that_all_sections_are_scaled_when_no_line_is_named() -> None:
    tuned = Factors(line_drag=1.3).on(replace(GEAR, line="")).rod
    assert tuned is not None
    assert [s.drag_multiplier for s in tuned.sections] == [1.3, 1.3]


def test_that_an_error_of_the_speed_widens_the_error_of_the_depth_by_its_slope() -> None:
    row = TowDepth(2.3, 5.0, depth_error=0.1, speed_error=0.05)
    _, error = errors(GEAR, [row], Factors())
    slope = (towed(ROD, 2.35) - towed(ROD, 2.25)) / 0.1
    assert_allclose(error[0], np.hypot(0.1, 0.05 * slope), rtol=0.05)


def test_that_the_current_of_the_day_does_not_touch_rows_of_another() -> None:
    rows: list[Row] = [TowDepth(2.3, 5.0), DropTouch(3.0, 5.0, 12.0, 5.0)]
    running = replace(WATER, current=(0.6, -0.4), wind=(5.0, 0.0), profile=Shares(((2.0, 0.1),)))
    calm = predict(GEAR, rows, [Factors()])
    assert_allclose(predict(replace(GEAR, water=running), rows, [Factors()]), calm, rtol=1e-12)


def test_that_the_order_of_rows_does_not_matter_and_more_rows_know_more() -> None:
    rows = [TowDepth(2.0, 5.5), TowDepth(3.0, 3.2), TowDepth(2.4, 3.4, SHORT)]
    one, other = calibrate(GEAR, rows), calibrate(GEAR, rows[::-1])
    for a, b in zip(one.fitted, other.fitted, strict=True):
        assert_allclose(a.factor, b.factor, rtol=2e-3)
    twice = calibrate(GEAR, rows * 2)
    assert twice.of("line_drag").spread < 0.85 * one.of("line_drag").spread


def test_that_a_line_not_on_the_rod_is_refused() -> None:
    with pytest.raises(InvalidValue, match="a line on the rod: leadcore, leader"):
        calibrate(replace(GEAR, line="braid"), [TowDepth(2.0, 5.0)])


def test_that_a_rod_is_needed() -> None:
    with pytest.raises(InvalidValue, match="rod"):
        calibrate(Gear(WATER, BOAT), [TowDepth(2.0, 5.0)])


def test_that_the_lures_own_drag_area_is_what_a_factor_of_it_means() -> None:
    part = calibrate(GEAR, [TowDepth(2.0, 5.0)], [Prior("lure_drag", 0.25)]).of("lure_drag")
    assert_allclose(part.value / part.factor, PLUG.broadside_area)
