"""What a fit foretells: how often its intervals hold the truth, also where the model is wrong."""

from collections.abc import Sequence
from unittest.mock import patch

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.answers.doubt import EIGHTY
from physics.calibration import predict as predicting
from physics.calibration.calibrate import calibrate
from physics.calibration.factors import Factors, Gear, usual_prior
from physics.calibration.forecast import forecasts
from physics.calibration.measured import CoastDown, DockFall, Row, TowDepth
from physics.calibration.model_error import SHARES, TILTS, UNDER_WAY, discrepancy
from physics.calibration.predict import predict
from tests.benchmarks.calibrate_coverage import (
    COASTS,
    FALLS,
    FAR_COASTS,
    FAR_FALLS,
    FAR_TOWS,
    SHIPPED,
    StandIn,
    coverage,
    dock_sea,
    of_a_point,
    of_coasts,
    slow_thumb,
)
from tests.benchmarks.calibrate_coverage import TOWS as KNOWN_TOWS
from tests.physics.measurements import BOAT, GEAR, ROD, WATER, with_measured
from tests.physics.other_models import power

SPEEDS = (1.8, 2.0, 2.2, 2.4, 2.6)
CLOSE = 1e-9


def towed(factors: Factors, speeds: Sequence[float] = SPEEDS) -> list[Row]:
    rows = [TowDepth(u, 1.0) for u in speeds]
    depths = predict(GEAR, rows, [factors])[0]
    return [with_measured(row, depth) for row, depth in zip(rows, depths, strict=True)]


def test_that_what_is_measured_has_next_to_no_model_error_and_what_is_far_has_its_share() -> None:
    row = TowDepth(2.0, 4.0)
    there, far = TowDepth(2.0, 1.0), TowDepth(12.0, 1.0)
    model = discrepancy([row, there, far], np.array([4.0, 4.0, 0.5]), 1)
    assert_allclose(model[:2], 0.0, atol=CLOSE)
    # its own and that of what it is told from; six times as fast, the tilt of five times the speed
    share = np.hypot(2.0**0.5 * SHARES[UNDER_WAY], 5.0 * TILTS[UNDER_WAY][0])
    assert_allclose(model[2, 2] ** 0.5, share * 0.5, rtol=0.01)


def test_that_what_rows_say_of_the_tilt_narrows_it() -> None:
    far = TowDepth(5.0, 1.0)
    narrow, wide = (
        forecasts(calibrate(GEAR, towed(Factors(line_drag=1.2), speeds)), [far])[0]
        for speeds in ((1.5, 2.0, 2.5, 3.0, 3.5), (1.9, 1.95, 2.0, 2.05, 2.1))
    )
    assert narrow.high - narrow.low < 0.8 * (wide.high - wide.low)


def test_that_tows_of_a_line_whose_drag_fades_with_speed_are_foretold_eight_times_in_ten() -> None:
    sea = of_a_point(ROD, power(1.25, -0.3))
    with patch.dict(predicting._KINDS, {TowDepth.kind: StandIn.of(SHIPPED).work}):
        held = coverage(SHIPPED, [*KNOWN_TOWS], [*FAR_TOWS], sea, 80)
    assert 0.75 < held.mean() < 0.88
    assert held[-1] > 0.75, "at the speed farthest off"


def test_that_intervals_grow_away_from_the_speeds_that_were_measured() -> None:
    found = calibrate(GEAR, towed(Factors(line_drag=1.2)))
    told = forecasts(found, [TowDepth(u, 1.0) for u in (2.2, 2.9, 3.6)])
    width = [(one.high - one.low) / one.value for one in told]
    assert width[0] < 0.75 * width[1] < 0.75 * width[2]
    assert width[0] < 2.0 * EIGHTY * 0.05


def test_that_nothing_is_foretold_of_nothing() -> None:
    assert forecasts(calibrate(GEAR, towed(Factors())), []) == ()


def test_that_a_wrong_row_moves_a_fit_by_less_than_its_spread() -> None:
    rows = towed(Factors(line_drag=1.2))
    wrong = [with_measured(rows[0], 1.6 * rows[0].measured), *rows[1:]]
    drag = [usual_prior("line_drag", GEAR)]
    right, moved = (calibrate(GEAR, each, drag).of("line_drag") for each in (rows, wrong))
    assert abs(np.log(moved.factor / right.factor)) < right.spread
    assert calibrate(GEAR, wrong, drag).rows[0].normalized_residual > 3.0


def test_that_rows_that_agree_keep_their_say_against_what_was_assumed() -> None:
    # the middle of the rows is where it is, however far that is from the prior
    rows = towed(Factors(line_drag=2.0))
    part = calibrate(GEAR, rows, [usual_prior("line_drag", GEAR)]).of("line_drag")
    assert np.log(2.0 / part.factor) < 2.0 * part.spread
    assert part.factor > 1.55


def test_that_a_slow_thumb_is_not_averaged_away() -> None:
    few: list[Row] = [DockFall(3.0, 8.0)]
    prior = [usual_prior("lure_drag", GEAR)]
    one, many = (calibrate(GEAR, few * n, prior).of("lure_drag").spread for n in (1, 30))
    assert many > 0.5 * one


def test_that_falls_of_a_slow_thumb_are_foretold() -> None:
    held = coverage(GEAR, [*FALLS], [*FAR_FALLS], dock_sea, 20, slow_thumb)
    assert held.mean() > 0.6


def test_that_coasts_of_a_linear_law_are_foretold() -> None:
    held = coverage(Gear(WATER, BOAT), [*COASTS], [*FAR_COASTS], of_coasts(1.0), 15)
    assert held.mean() > 0.6


@pytest.mark.long
@pytest.mark.parametrize("linear", [0.0, 0.5, 1.0])
def test_that_coasts_of_three_laws_are_foretold_eight_times_in_ten(linear: float) -> None:
    held = coverage(Gear(WATER, BOAT), [*COASTS], [*FAR_COASTS], of_coasts(linear), 300)
    assert 0.75 < held.mean() < 0.9


def test_that_a_linear_boats_exponent_is_not_held_to_what_was_assumed() -> None:
    truth = of_coasts(1.0)(np.random.default_rng(2))
    rows: list[Row] = [
        with_measured(row, value) for row, value in zip(COASTS, truth(COASTS), strict=True)
    ]
    part = calibrate(Gear(WATER, BOAT), rows).of("exponent")
    assert part.value < 1.35
    assert part.value_low <= 1.01
    assert isinstance(rows[0], CoastDown)
