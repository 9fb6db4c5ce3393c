"""Current, wind and water of a scenario file: read by their signs and units, and found again."""

from dataclasses import replace

import pytest

from app.gear.catalog import Catalog
from app.scenario.file import dumps, loads, nearly_equal
from physics.environment.current import UNIFORM, Layers, PowerLaw, Shares
from physics.environment.seawater import temperature_and_salinity
from physics.environment.water import Bottom, Water, seawater_density, seawater_viscosity
from tests.app.scenario.malformed import GOOD

CATALOG = Catalog.load(None)


def test_that_set_is_where_the_current_goes_and_wind_where_it_comes_from() -> None:
    text = GOOD.replace(
        "bottom_ft = 30",
        "bottom_ft = 30\nset_deg = 90\ndrift_mps = 1\nwind_from_deg = 0\nwind_mps = 5",
    )
    water = loads(text, "my.toml", CATALOG).water
    assert water.current == pytest.approx((1.0, 0.0), abs=1e-12)
    assert water.wind == pytest.approx((0.0, -5.0), abs=1e-12)


@pytest.mark.parametrize(
    ("said", "profile"),
    [
        ('"uniform"', UNIFORM),
        ('"power"', PowerLaw()),
        ("{root = 5, floor_m = 12}", PowerLaw(5.0, floor=12.0)),
        ("{shares_m = [[5, 0.8], [9, 0.5]]}", Shares(((5.0, 0.8), (9.0, 0.5)))),
        ("{layers_m_deg_mps = [[5, 90, 0.8]]}", Layers(((5.0, 0.8, 0.0),))),
    ],
)
def test_that_the_current_below_the_surface_is_read_and_kept_as_written(said, profile) -> None:
    text = GOOD.replace("bottom_ft = 30", f"bottom_ft = 30\ncurrent_profile = {said}  # mine")
    setup = loads(text, "my.toml", CATALOG)
    assert setup.water.profile.__class__ is profile.__class__
    assert nearly_equal(setup, replace(setup, water=replace(setup.water, profile=profile)))
    assert dumps(setup, "my.toml", text) == text


def test_that_a_profile_is_written_only_when_there_is_one() -> None:
    setup = loads(GOOD, "my.toml", CATALOG)
    assert "current_profile" not in dumps(setup)
    power = replace(setup, water=replace(setup.water, profile=PowerLaw()))
    assert 'current_profile = "power"\n' in dumps(power)
    back = dumps(setup, "my.toml", dumps(power))
    assert "current_profile" not in back


def test_that_temperature_and_salinity_are_found_again_from_the_water() -> None:
    for warm in (-1.5, 0.0, 4.0, 12.5, 25.0, 39.0):
        for salt in (0.0, 0.1, 5.0, 31.0, 41.0):
            water = Water(
                Bottom.level(9.0), seawater_density(warm, salt), seawater_viscosity(warm, salt)
            )
            assert temperature_and_salinity(water) == pytest.approx((warm, salt), abs=1e-6)


def test_that_water_of_no_sea_keeps_its_density_and_viscosity() -> None:
    water = Water(Bottom.level(9.0), 1025.0, 5e-3)
    assert temperature_and_salinity(water) is None
    setup = replace(loads(GOOD, "my.toml", CATALOG), water=water)
    assert "viscosity_pa_s = 0.005" in dumps(setup)
