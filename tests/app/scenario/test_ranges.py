"""What a file may say is exactly what physics takes: the two lists of ranges agree."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from app.common.quantities import Quantity
from app.gear import tackle_file
from app.gear.catalog import Catalog
from app.scenario import keys
from app.scenario.file import loads
from app.scenario.limits import Timing
from physics.answers.doubt import Doubt
from physics.checks import InvalidValue
from physics.environment.current import PowerLaw
from physics.environment.water import Bottom, Water
from physics.line.tackle import LineSection
from physics.simulation.scenario import Mark
from physics.vessel.boat import Order
from tests.app.scenario.malformed import GOOD

CATALOG = Catalog.load(None)
SETUP = loads(GOOD, "my.toml", CATALOG)
SCENARIO = replace(SETUP.scenario(CATALOG), mark=None)
HEAVY = replace(CATALOG.lures["ball sinker, 4 oz"], mass=0.01, volume=0.01)
LINE = LineSection("wire", 60.0, 0.02, 3e-3, 4e4)
WATER = Water(Bottom.level(9.0))

Make = Callable[[str, float], object]


def changed(item: object) -> Make:
    return lambda attribute, value: replace(item, **{attribute: value})  # type: ignore[type-var]


def tackle(attribute: str, value: float) -> object:
    """A lure as light and large, or as heavy and small, as the value needs to stay on earth."""
    other = {"mass": {"volume": 0.02}, "volume": {"mass": 1e-4}}.get(attribute, {})
    return replace(HEAVY, **{attribute: value}, **other)


def line(attribute: str, value: float) -> object:
    other = {"mass_per_length": {"diameter": 0.2}, "diameter": {"mass_per_length": 1e-6}}
    return replace(LINE, **{attribute: value}, **other.get(attribute, {}))


PAIRS: list[tuple[Quantity, Make]] = [
    *[(quantity, tackle) for quantity in tackle_file.LURE],
    *[(quantity, line) for quantity in (*tackle_file.SECTION, tackle_file.NORMAL_DRAG)],
    *[(q, changed(CATALOG.boats["skiff, 18 ft, one engine"])) for q in tackle_file.BOAT],
    *[(quantity, changed(SCENARIO.rods[0])) for quantity in keys.TIP],
    *[(quantity, changed(Mark(5.0))) for quantity in keys.MARK],
    *[(q, changed(WATER)) for q in (keys.DENSITY, keys.VISCOSITY, keys.GRAVITY)],
    *[(quantity, changed(SCENARIO)) for quantity in (keys.HELM_SPEED, keys.DURATION)],
    (keys.BOTTOM, lambda _, value: Bottom.level(value)),
    (keys.ORDER_TIME, lambda _, value: Order(value, "in gear")),
    (keys.HELM_SPEED, lambda _, value: Order(0.0, "throttle", value)),
    (keys.DRIFT, lambda _, value: replace(WATER, current=(value, 0.0))),
    (keys.ROOT, lambda _, value: PowerLaw(value)),
    (keys.FLOOR, lambda _, value: PowerLaw(floor=value)),
    (keys.WIND, lambda _, value: replace(WATER, wind=(value, 0.0))),
    (keys.GRADING, changed(SCENARIO.resolution)),
    *[(quantity, changed(Doubt())) for quantity in keys.DOUBT],
    *[(quantity, changed(Timing())) for quantity in keys.TIMING],
]


@pytest.mark.parametrize(("quantity", "make"), PAIRS, ids=lambda v: getattr(v, "attribute", ""))
def test_that_physics_takes_both_ends_of_a_range_and_nothing_beyond(
    quantity: Quantity, make: Make
) -> None:
    make(quantity.attribute, quantity.low)
    make(quantity.attribute, quantity.high)
    with pytest.raises(InvalidValue):
        make(quantity.attribute, quantity.high + 1e-6 * abs(quantity.high))
    if quantity in (keys.DRIFT, keys.WIND):
        return
    with pytest.raises(InvalidValue):
        make(quantity.attribute, quantity.low - 1e-6 * max(abs(quantity.low), 1e-9))


def test_that_the_tightest_turn_of_a_file_is_the_tightest_physics_takes() -> None:
    Order(0.0, "wheel", 1.0 / keys.TURN_RADIUS.low)
    with pytest.raises(InvalidValue):
        Order(0.0, "wheel", 1.0 / (keys.TURN_RADIUS.low * (1.0 - 1e-6)))


def test_that_a_default_of_a_file_is_the_default_of_physics() -> None:
    for quantity, item in (
        *[(quantity, type(HEAVY)) for quantity in tackle_file.LURE],
        *[(quantity, LineSection) for quantity in tackle_file.SECTION],
        *[(quantity, type(SCENARIO.boat)) for quantity in tackle_file.BOAT],
        *[(quantity, Mark) for quantity in keys.MARK],
        *[(quantity, Timing) for quantity in keys.TIMING],
        *[(quantity, Water) for quantity in (keys.DENSITY, keys.VISCOSITY, keys.GRAVITY)],
    ):
        if quantity.default is not None:
            field = item.__dataclass_fields__[quantity.attribute]
            assert math.isclose(quantity.default, field.default, rel_tol=1e-15), quantity
