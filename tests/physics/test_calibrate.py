"""What a fit says of itself: single rows, contradictions, bounds, what is unknown, what next."""

import pickle
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import chdtrc

from physics.answers.doubt import Doubt
from physics.calibration.calibrate import calibrate, shares_left, usual_priors
from physics.calibration.factors import Factors, Gear, Prior, usual_prior
from physics.calibration.measured import (
    CoastDown,
    DockFall,
    DropTouch,
    Row,
    TowDepth,
    coast_to_share,
)
from physics.calibration.next_row import DOCK_DEPTHS, LONGEST_FALL, best_next
from physics.calibration.predict import errors, predict
from physics.checks import InvalidValue
from physics.progress import Cancelled
from tests.physics.measurements import (
    BOAT,
    CORE,
    GEAR,
    LEADER,
    PLUG,
    ROD,
    WATER,
    misread,
    with_measured,
)

HALF = [coast_to_share(3.0, 0.5, seconds) for seconds in (6.0, 6.4)]
MIXED: list[Row] = [
    DockFall(3.0, 8.0), DockFall(3.0, 8.4), TowDepth(2.0, 4.6), TowDepth(2.8, 3.1),
    DropTouch(3.0, 20.0, 12.0, 5.0), *HALF, CoastDown(3.0, 15.0, 0.8),
]  # fmt: skip


def test_that_no_rows_are_refused() -> None:
    with pytest.raises(InvalidValue, match="rows"):
        calibrate(GEAR, [])


def test_that_rows_of_all_kinds_are_fitted_together() -> None:
    found = calibrate(GEAR, MIXED)
    assert [p.name for p in found.fitted] == ["line_drag", "lure_drag", "coast_down", "exponent"]
    assert np.array(found.covariance).shape == (4, 4)
    assert np.all(np.linalg.eigvalsh(np.array(found.covariance)) > 0.0)
    assert [row.row for row in found.rows] == MIXED
    alone = predict(GEAR, MIXED, [found.factors])[0]
    for row, value in zip(found.rows, alone, strict=True):
        assert abs(row.predicted - value) < 0.1 * row.error
        assert row.normalized_residual == pytest.approx((row.measured - row.predicted) / row.error)


def test_that_noisy_rows_of_all_kinds_bring_the_truth_back() -> None:
    truth = replace(calibrate(GEAR, HALF).factors, line_drag=1.3, lure_drag=0.8, coast_down=1.4)
    exact = predict(GEAR, MIXED, [truth])[0]
    rng = np.random.default_rng(2)
    rows = [
        misread(with_measured(row, value), rng)
        for row, value in zip(MIXED * 3, np.tile(exact, 3), strict=True)
    ]
    found = calibrate(GEAR, rows)
    assert not found.contradictory
    for name in ("line_drag", "lure_drag", "coast_down"):
        part = found.of(name)
        off = abs(np.log(part.factor / getattr(truth, name)))
        assert off < 3.0 * part.spread
        assert part.ratio < 0.7


def test_that_a_single_row_is_fitted_and_said_to_be_alone() -> None:
    found = calibrate(GEAR, [TowDepth(2.4, 3.5)])
    assert found.single
    assert "lure_drag" in found.poorly_known
    assert not calibrate(GEAR, [TowDepth(2.4, 3.5)] * 2).single


def test_that_rows_that_contradict_each_other_are_said_to() -> None:
    found = calibrate(GEAR, [TowDepth(2.4, 2.0), TowDepth(2.4, 6.0)])
    assert found.contradictory
    assert found.chance < 1e-6
    assert found.chi_square > 2.0 * 3.0**2
    assert max(abs(row.normalized_residual) for row in found.rows) > 3.0
    agreeing = calibrate(GEAR, [TowDepth(2.4, 3.6), TowDepth(2.4, 3.8)])
    assert not agreeing.contradictory
    assert agreeing.stretch == 1.0 < found.stretch
    apart, together = (np.log(one.of("line_drag").high / one.of("line_drag").low)
                       for one in (found, agreeing))  # fmt: skip
    assert apart > 1.5 * together


def test_that_a_bound_hit_is_told() -> None:
    found = calibrate(GEAR, [TowDepth(2.4, 11.0, depth_error=0.05)] * 3)
    assert found.bounds_hit
    part = found.of("line_drag")
    assert part.bound == -1
    assert part.factor == pytest.approx(usual_prior("line_drag", GEAR).low, rel=0.02)


def test_that_a_line_already_draggy_keeps_within_what_a_line_may_be() -> None:
    rod = replace(ROD, sections=(replace(CORE, drag_multiplier=3.0), LEADER))
    assert usual_prior("line_drag", replace(GEAR, rod=rod)).high == pytest.approx(5.0 / 3.0)


@pytest.mark.parametrize(
    ("priors", "says"),
    [
        ([Prior("lure_drag", 0.2)], "with rows that tell of it: dock, tow, drop"),
        ([], "one or more factors"),
        ([Prior("coast_down", 0.2)] * 2, "each once"),
    ],
)
def test_that_factors_no_row_can_tell_of_are_refused(priors: list[Prior], says: str) -> None:
    with pytest.raises(InvalidValue, match=says):
        calibrate(GEAR, HALF, priors)


def test_that_an_unknown_factor_is_refused() -> None:
    with pytest.raises(InvalidValue, match="one of line_drag"):
        Prior("luck", 0.2)


@pytest.mark.parametrize("after", [0, 3, 8])
def test_that_work_stops_when_told(after: int) -> None:
    shares: list[float] = []

    def progress(share: float) -> bool:
        shares.append(share)
        return len(shares) > after

    with pytest.raises(Cancelled):
        calibrate(GEAR, MIXED, progress=progress)
    assert len(shares) == after + 1


def test_that_the_share_told_rises_to_the_whole() -> None:
    shares: list[float] = []
    result = calibrate(GEAR, MIXED, progress=lambda share: bool(shares.append(share)))
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    again: list[float] = []
    best_next(result, progress=lambda share: bool(again.append(share)))
    assert again == sorted(again)


def test_that_a_result_can_be_sent_from_another_process() -> None:
    found = calibrate(GEAR, HALF)
    assert pickle.loads(pickle.dumps(found)) == found


def test_that_doubt_shrinks_to_what_was_found_and_is_told_of_nothing_else() -> None:
    usual = Doubt()
    found = calibrate(Gear(WATER, BOAT), HALF * 4)
    left = shares_left(found)
    assert left.keys() == {"coast_down"}
    assert left["coast_down"] < usual.coast_down
    assert left["coast_down"] == pytest.approx(np.expm1(found.of("coast_down").spread))


def test_that_contradicting_rows_leave_more_doubt() -> None:
    apart = [coast_to_share(3.0, 0.5, seconds) for seconds in (2.0, 14.0)]
    found = calibrate(Gear(WATER, BOAT), apart)
    assert found.contradictory
    spread = found.of("coast_down").spread
    assert shares_left(found)["coast_down"] > 1.5 * np.expm1(spread)


def test_that_doubt_of_a_wet_weight_is_less_of_the_whole_mass() -> None:
    found = calibrate(
        GEAR, [DockFall(3.0, 8.0), DockFall(3.0, 8.2)], [usual_prior("lure_weight", GEAR)]
    )
    lure = found.tuned.falling
    assert lure is not None
    wet = 1.0 - WATER.density * lure.volume / lure.mass
    spread = found.of("lure_weight").spread
    assert shares_left(found)["lure_weight"] == pytest.approx(wet * np.expm1(spread))


def test_that_the_best_next_row_shrinks_as_much_as_it_is_said_to() -> None:
    rows = [TowDepth(2.0, 4.6), TowDepth(2.8, 3.1)]
    found = calibrate(GEAR, rows)
    first, *rest = best_next(found)
    assert isinstance(first.row, DockFall)  # tows hardly feel how the plug falls broadside
    assert all(first.gain >= other.gain for other in rest)
    with_it = calibrate(GEAR, [*rows, first.row], usual_priors(GEAR, rows))
    for name, share in first.shrinks:
        before, after = found.of(name).spread, with_it.of(name).spread
        assert_allclose(1.0 - (after / before) ** 2, share, atol=0.05)


def test_that_a_gain_is_what_goes_of_each_variance_against_that_of_its_prior() -> None:
    found = calibrate(GEAR, MIXED)
    for suggestion in best_next(found):
        gone = {name: share * found.of(name).spread ** 2 for name, share in suggestion.shrinks}
        gain = sum(variance / found.of(name).prior ** 2 for name, variance in gone.items())
        assert suggestion.gain == pytest.approx(gain)


def test_that_a_fall_nobody_would_wait_for_is_not_suggested() -> None:
    lazy = replace(PLUG, mass=1.022 * WATER.density * PLUG.volume, broadside_area=6e-3)
    found = calibrate(Gear(WATER, lure=lazy), [DockFall(1.0, 14.0)])
    falls = predict(found.tuned, [DockFall(depth, 1.0) for depth in DOCK_DEPTHS], [Factors()])[0]
    assert falls[0] < LONGEST_FALL < falls[1]
    (only,) = best_next(found)
    assert isinstance(only.row, DockFall)
    assert only.row.depth == DOCK_DEPTHS[0]
    assert only.row.seconds == pytest.approx(falls[0], rel=1e-3)


def test_that_a_factor_on_its_upper_bound_still_has_rows_that_teach() -> None:
    slow = Gear(WATER, replace(BOAT, half_time=100.0))
    found = calibrate(slow, [CoastDown(3.0, 30.0, 2.8, 0.02, 0.1, 0.02)] * 3)
    assert found.of("coast_down").bound == 1
    # beyond the bound a boat is held to what a boat may be, and no row would tell a thing
    assert best_next(found)[0].gain > 1e-4


def test_that_only_rows_the_gear_allows_are_suggested() -> None:
    found = calibrate(Gear(WATER, BOAT), HALF)
    assert {suggestion.row.kind for suggestion in best_next(found)} == {"coast"}


def test_that_a_repeat_of_a_sharp_row_teaches_less_than_the_first_did() -> None:
    sharp = [replace(row, speed_error=0.02, seconds_error=0.1, start_error=0.02) for row in HALF]
    vague = best_next(calibrate(Gear(WATER, BOAT), HALF[:1]))[0].gain
    assert best_next(calibrate(Gear(WATER, BOAT), sharp * 5))[0].gain < 0.2 * vague


def test_that_errors_grow_with_those_of_the_inputs() -> None:
    row = CoastDown(3.0, 4.0, 1.6, speed_error=0.05, seconds_error=0.0, start_error=0.0)
    own = errors(GEAR, [row], calibrate(GEAR, HALF).factors)[1][0]
    assert own == pytest.approx(0.05)
    late = replace(row, seconds_error=1.0)
    assert errors(GEAR, [late], calibrate(GEAR, HALF).factors)[1][0] > 2.0 * own


def test_that_errors_of_several_inputs_add_up_as_squares() -> None:
    row = CoastDown(3.0, 4.0, 1.6, speed_error=0.05, seconds_error=0.5, start_error=0.2)
    only = [replace(row, seconds_error=0.0), replace(row, start_error=0.0)]
    both, *each = errors(GEAR, [row, *only], Factors())[1]
    by_input = [np.sqrt(one**2 - 0.05**2) for one in each]
    assert min(by_input) > 0.05, "either counts"
    assert both == pytest.approx(np.sqrt(0.05**2 + sum(np.square(by_input))))


def test_that_chi_square_counts_how_far_factors_went_from_what_was_assumed() -> None:
    found = calibrate(Gear(WATER, BOAT), HALF[:1])
    part = found.of("coast_down")
    off = np.log(part.factor) / part.prior
    assert abs(off) > 0.2
    rows = sum(row.normalized_residual**2 for row in found.rows)
    assert found.chi_square == pytest.approx(rows + off**2)
    assert found.chance == pytest.approx(chdtrc(1, found.chi_square))


def test_that_errors_told_are_those_where_the_fit_ended() -> None:
    # read at a second where a slow boat still changes speed quickly
    rows = [CoastDown(3.0, t, 3.0 / (1.0 + t / 14.0), 0.02, 1.0, 0.0) for t in (2.0, 4.0, 8.0)]
    found = calibrate(Gear(WATER, BOAT), rows, [usual_prior("coast_down", GEAR)])
    assert found.of("coast_down").factor > 2.0
    told = np.array([row.error for row in found.rows])
    assert_allclose(told, errors(GEAR, rows, found.factors)[1], rtol=0.07)
    assert np.abs(told / errors(GEAR, rows, Factors())[1] - 1.0).max() > 0.2
