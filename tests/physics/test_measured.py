"""What rows of measurement have in common: limits, the measured number, inputs off by an error."""

from dataclasses import fields, replace

import pytest

from physics.calibration.factors import Factors
from physics.calibration.measured import MOST_SECONDS, CoastDown, DockFall, DropTouch, Row, TowDepth
from physics.calibration.predict import errors
from physics.checks import InvalidValue
from tests.physics.measurements import GEAR, ROD

ROWS: list[Row] = [
    DockFall(3.0, 8.0, 0.1, 0.4),
    TowDepth(2.5, 4.0, ROD, 0.3, 0.2),
    DropTouch(2.5, 20.0, 9.0, 5.0, None, 0.5, 0.4, 0.2),
    CoastDown(3.0, 6.0, 1.5, 0.1, 0.5, 0.2),
]
MOST: list[Row] = [
    DockFall(100.0, 8.0),
    TowDepth(12.0, 4.0),
    DropTouch(12.0, 20.0, MOST_SECONDS, 5.0),
    CoastDown(12.0, MOST_SECONDS, 11.95),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.kind)
def test_that_each_input_is_off_by_its_own_error_and_nothing_else_is(row: Row) -> None:
    for name, other in zip(row.inputs, row.nudged(), strict=True):
        wrong = getattr(row, name) + getattr(row, f"{name}_error")
        assert replace(other, **{name: getattr(row, name), row.number: row.measured}) == row
        assert getattr(other, name) == pytest.approx(wrong)


@pytest.mark.parametrize("row", MOST, ids=lambda row: row.kind)
def test_that_an_input_at_the_most_it_may_be_is_off_the_other_way(row: Row) -> None:
    for name, other in zip(row.inputs, row.nudged(), strict=True):
        wrong = getattr(row, name) - getattr(row, f"{name}_error")
        assert getattr(other, name) == pytest.approx(wrong)


def test_that_the_fastest_coast_down_of_all_has_an_error() -> None:
    _, error = errors(GEAR, MOST[3:], Factors())
    assert error[0] >= MOST[3].own_error


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.kind)
def test_that_the_measured_number_and_its_error_are_those_of_one_field(row: Row) -> None:
    longer = replace(row, **{row.number: 1.2, f"{row.number}_error": 0.7})
    assert (longer.measured, longer.own_error) == (1.2, 0.7)
    assert row.number not in row.inputs


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.kind)
def test_that_every_number_of_a_row_is_held_to_its_limits(row: Row) -> None:
    numbers = {part.name for part in fields(row)} - {"rod"}
    assert set(row.limits) == numbers
    for name, (low, high, unit) in row.limits.items():
        for value in (low - 1e-6, high + 1e-6, float("nan")):
            with pytest.raises(InvalidValue, match=f"^{row.kind}: {name} is .* {unit}$"):
                replace(row, **{name: value})
