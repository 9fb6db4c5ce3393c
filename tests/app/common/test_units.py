"""The trade's units against their definitions."""

import math

import numpy as np
import pytest

from app.common import units

DEFINITIONS = [
    (units.FOOT, 0.3048, "international foot, 1959"),
    (units.INCH, 0.3048 / 12, "a twelfth of a foot"),
    (units.YARD, 3 * 0.3048, "three feet"),
    (units.COLOR, 9.144, "ten yards"),
    (units.KNOT, 1852 / 3600, "a nautical mile an hour"),
    (units.MILE_PER_HOUR, 5280 * 0.3048 / 3600, "5280 feet an hour"),
    (units.OUNCE, 0.028349523125, "a sixteenth of the 1959 pound"),
    (units.GRAIN, 64.79891e-6, "a seven-thousandth of it"),
    (units.POUND_FORCE, 4.4482216152605, "a pound under standard gravity"),
    (units.GRAIN_PER_10_FEET, 64.79891e-6 / 3.048, "as leadcore is listed"),
    (units.DEGREE, math.pi / 180, "a 360th of a turn"),
]


@pytest.mark.parametrize(("unit", "size", "why"), DEFINITIONS, ids=lambda v: getattr(v, "name", ""))
def test_that_a_unit_has_its_defined_size(unit: units.Unit, size: float, why: str) -> None:
    assert unit.size == pytest.approx(size, rel=1e-15), why


def test_that_every_unit_goes_to_si_and_back() -> None:
    every = [value for value in vars(units).values() if isinstance(value, units.Unit)]
    assert len(every) > 20
    for unit in every:
        assert unit.from_si(unit.to_si(7.25)) == pytest.approx(7.25, rel=1e-15)


def test_that_arrays_are_turned_number_by_number() -> None:
    np.testing.assert_allclose(units.feet(np.array([0.3048, 3.048])), [1.0, 10.0], rtol=1e-15)


def test_that_27_lb_leadcore_of_114_grains_per_10_ft_is_2_42_grams_a_meter() -> None:
    assert 1e3 * units.GRAIN_PER_10_FEET.to_si(114.0) == pytest.approx(2.42, abs=0.005)


def test_that_a_text_names_its_unit_and_rounds() -> None:
    assert units.FOOT.text(3.048) == "10.0 ft"
    assert units.KNOT.text(3.8583, 0) == "7 kn"
    assert units.PLAIN.text(0.5, 2) == "0.50"


def test_that_nothing_is_told_as_less_than_nothing_by_rounding() -> None:
    assert units.FOOT.text(-0.01) == "0.0 ft"
    assert units.figure(-0.01, units.METER) == "0.0"
    assert units.figure(-0.01, units.FOOT) == "0"


@pytest.mark.parametrize(
    ("radians", "compass"),
    [(0.0, 0.0), (math.pi / 2, 90.0), (-math.pi / 2, 270.0), (2 * math.pi, 0.0), (-1e-18, 0.0)],
)
def test_that_a_bearing_lies_from_0_up_to_360(radians: float, compass: float) -> None:
    assert units.compass_degrees(radians) == pytest.approx(compass, abs=1e-9)
