"""Measurements typed in a wrong unit are asked about, and those of a draggy line are not."""

from dataclasses import replace

import pytest

from app.common.units import FOOT, KNOT, METER_PER_SECOND, MILE_PER_HOUR, Unit
from app.measure.suspicions import suspicions
from app.measure.words import foretold, remarks
from physics.calibration.calibrate import calibrate
from physics.calibration.factors import Factors, Gear
from physics.calibration.forecast import Forecast, forecasts
from physics.calibration.measured import CoastDown, DockFall, Row, TowDepth
from physics.calibration.predict import predict
from tests.physics.measurements import BOAT, GEAR, WATER, with_measured

TOWS: list[Row] = [TowDepth(2.0, 1.0), TowDepth(2.4, 1.0), TowDepth(2.8, 1.0)]
COASTS = [CoastDown(BOAT.trolling_speed, 5.0, 1.5), CoastDown(BOAT.trolling_speed, 9.0, 1.1)]


def towed(factors: Factors, by: float = 1.0) -> list[Row]:
    depths = predict(GEAR, TOWS, [factors])[0]
    return [with_measured(row, by * depth) for row, depth in zip(TOWS, depths, strict=True)]


def test_that_feet_typed_as_meters_are_asked_about() -> None:
    (said,) = suspicions(calibrate(GEAR, towed(Factors(), FOOT.from_si(1.0))))
    assert "All depths are about 3.3 times" in said
    assert "feet typed as meters" in said


def test_that_a_fall_over_feet_typed_as_meters_is_asked_about() -> None:
    falls: list[Row] = [DockFall(3.0, 1.0), DockFall(4.0, 1.0)]
    seconds = predict(GEAR, falls, [Factors()])[0]
    typed = [
        replace(with_measured(row, t), depth=FOOT.from_si(row.depth))
        for row, t in zip(falls, seconds, strict=True)
        if isinstance(row, DockFall)
    ]
    (said,) = suspicions(calibrate(GEAR, typed))
    assert "feet typed as meters" in said


@pytest.mark.parametrize("drag", [0.7, 1.0, 1.7])
def test_that_a_slick_or_draggy_line_smells_of_nothing(drag: float) -> None:
    assert suspicions(calibrate(GEAR, towed(Factors(line_drag=drag)))) == []


@pytest.mark.parametrize(
    ("taken", "meant"),
    [(KNOT, METER_PER_SECOND), (METER_PER_SECOND, KNOT), (MILE_PER_HOUR, KNOT),
     (KNOT, MILE_PER_HOUR)],
)  # fmt: skip
def test_that_speeds_off_by_a_unit_are_asked_about(taken: Unit, meant: Unit) -> None:
    ratio = taken.to_si(1.0) / meant.to_si(1.0)
    typed = [replace(row, start=ratio * row.start, speed=ratio * row.speed) for row in COASTS]
    (said,) = suspicions(calibrate(Gear(WATER, BOAT), typed))
    assert f"{ratio:.2g} times her trolling speed" in said
    assert f"were {meant.name} typed as {taken.name}?" in said


def test_that_speeds_as_they_should_be_are_not() -> None:
    assert suspicions(calibrate(Gear(WATER, BOAT), COASTS)) == []


def test_that_a_depth_foretold_is_told_with_its_interval() -> None:
    found = calibrate(GEAR, towed(Factors()))
    (there,) = forecasts(found, [TowDepth(KNOT.to_si(5.0), 1.0)])
    assert isinstance(there, Forecast)
    said = foretold(there, FOOT, KNOT)
    assert said.startswith(f"Under way at 5.0 kn it runs {FOOT.text(there.value)}; 80 % range ")
    assert said.endswith(f"{FOOT.text(there.high)}.")
    assert there.low < there.value < there.high


def test_that_contradicting_rows_are_told_how_far_they_scatter() -> None:
    found = calibrate(GEAR, [TowDepth(2.4, 2.0), TowDepth(2.4, 6.0)])
    scatter = (found.chi_square / 2.0) ** 0.5
    assert f"scatter {scatter:.1f} times" in remarks(found)[0]
    assert scatter > 3.0
