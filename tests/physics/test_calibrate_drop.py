"""Touches in a drop: fits of touches found in whole runs over a real bottom."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.calibration.calibrate import calibrate
from physics.calibration.factors import Factors, usual_prior
from physics.calibration.measured import DropTouch
from physics.calibration.predict import errors, predict
from physics.environment.water import Bottom
from physics.line.contact import CONTACT_BLUR
from physics.simulation.events import find_events
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order
from tests.physics.measurements import BOAT, CORE, GEAR, LEADER, ROD, WATER

TRUTH = Factors(line_drag=1.25, coast_down=1.35)

COARSE = 0.04  # m; a fit's lines are coarse by so much

DROPS = (  # speed m/s, hold s, bottom m; the last two touch after going back in gear
    (2.0, 30.0, 3.7),
    (2.0, 30.0, 4.6),
    (2.6, 30.0, 2.9),
    (3.0, 30.0, 3.6),
    (2.4, 4.0, 2.75),
    (3.0, 5.0, 2.4),
)


def touched(speed: float, hold: float, bottom: float) -> float:
    """Seconds until lure or line touches, with the true factors in the gear."""
    boat = replace(BOAT, half_time=BOAT.half_time * TRUTH.coast_down)
    rod = replace(ROD, sections=(replace(CORE, drag_multiplier=TRUTH.line_drag), LEADER))
    trajectory = simulate(Scenario(
        "drop", replace(WATER, bottom=Bottom.level(bottom)), boat, (rod,), speed=speed,
        orders=(Order(0.0, "out of gear"), Order(hold, "in gear")), duration=40.0,
    ))  # fmt: skip
    return min(
        e.time for e in find_events(trajectory) if e.kind in ("lure touches", "line touches")
    )


@pytest.fixture(scope="module")
def rows() -> list[DropTouch]:
    # a run counts as touching when it is within the contact's blur
    return [
        DropTouch(u, hold, touched(u, hold, bottom), bottom - CONTACT_BLUR)
        for u, hold, bottom in DROPS
    ]


def test_that_some_touches_come_after_going_back_in_gear(rows: list[DropTouch]) -> None:
    assert [row.seconds > row.hold for row in rows] == [False] * 4 + [True] * 2


def test_that_the_true_gear_is_at_the_bottom_when_the_whole_run_touches(
    rows: list[DropTouch],
) -> None:
    depth = predict(GEAR, rows, [TRUTH])[0]
    assert_allclose(depth, [row.depth for row in rows], rtol=0.0, atol=COARSE)


def test_that_touches_give_drag_and_half_time_back(rows: list[DropTouch]) -> None:
    sharp = [replace(r, seconds_error=0.2, depth_error=0.05, speed_error=0.01) for r in rows]
    priors = [usual_prior(name, GEAR) for name in ("line_drag", "coast_down")]
    found = calibrate(GEAR, sharp, priors)
    for name, truth in (("line_drag", 1.25), ("coast_down", 1.35)):
        part = found.of(name)
        assert part.low < truth < part.high
        assert_allclose(part.factor, truth, rtol=0.06)
        assert part.ratio < 0.8
    assert not found.contradictory


def test_that_a_boat_back_in_gear_lifts_what_a_boat_still_out_lets_sink() -> None:
    out, back = DropTouch(3.0, 30.0, 20.0, 5.0), DropTouch(3.0, 3.0, 20.0, 5.0)
    deep, lifted = predict(GEAR, [out, back], [Factors()])[0]
    assert deep > lifted + 1.0


def test_that_a_late_thumb_counts_by_how_fast_the_line_falls() -> None:
    row = DropTouch(2.6, 30.0, 9.0, 5.0, seconds_error=0.5, depth_error=0.1, speed_error=0.0)
    before, after = (replace(row, seconds=9.0 + side) for side in (-0.5, 0.5))
    low, high = predict(GEAR, [before, after], [Factors()])[0]
    _, error = errors(GEAR, [row], Factors())
    assert_allclose(error[0], np.hypot(0.1, 0.5 * (high - low)), rtol=0.1)
