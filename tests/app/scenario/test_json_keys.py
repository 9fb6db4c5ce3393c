"""Keys of the JSON of a run: each says its unit, and none changes unnoticed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import pytest

from app.common.units import KNOT
from app.gear.catalog import Catalog
from app.scenario.json_keys import INPUTS, keyed
from app.scenario.setup import Setup
from physics.environment.current import Layers, PowerLaw, Shares
from physics.environment.water import Bottom
from physics.line.line_orders import LineOrder
from physics.simulation.events import Event
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Leg, Order
from physics.vessel.motion import PrescribedMotion
from tests.app.scenario.json_paths import paths, without_unit

SCENARIO = {
    "boat.engines", "boat.exponent", "boat.half_time_s", "boat.idle_speed_mps", "boat.idle_time_s",
    "boat.leeway", "boat.name", "boat.one_engine", "boat.propeller_drag", "boat.shift_time_s",
    "boat.throttle_time_s", "boat.trolling_speed_mps", "duration_s", "heading_deg",
    "line_orders.action", "line_orders.at_s", "line_orders.depth_m", "line_orders.fish_kg",
    "line_orders.line_out_m", "line_orders.rate_mps", "line_orders.rod",
    "mark.at_s", "mark.band_m", "mark.depth_m", "motion", "name", "notes", "orders.action",
    "orders.at_s", "orders.curvature_per_m", "orders.depth_m", "orders.engines", "orders.legs",
    "orders.legs.curvature_per_m", "orders.legs.length_m", "orders.speed_mps",
    "resolution.grading", "resolution.leader_elements", "resolution.line_elements",
    "rods.lure.added_mass_across", "rods.lure.added_mass_along", "rods.lure.broadside_area_m2",
    "rods.lure.end_area_m2", "rods.lure.isotropic", "rods.lure.kind", "rods.lure.length_m",
    "rods.lure.lip_area_m2", "rods.lure.mass_center", "rods.lure.mass_kg", "rods.lure.name",
    "rods.lure.swing_deg", "rods.lure.volume_center", "rods.lure.volume_m3", "rods.name",
    "rods.sections.added_mass", "rods.sections.diameter_m", "rods.sections.drag_multiplier",
    "rods.sections.flooded", "rods.sections.length_m", "rods.sections.mass_kg_per_m",
    "rods.sections.name", "rods.sections.normal_drag", "rods.sections.stiffness_n",
    "rods.sections.strength_n",
    "rods.sections.tangential_drag", "rods.tip_abeam_m", "rods.tip_astern_m", "rods.tip_height_m",
    "speed_mps", "water.bottom.bearing_deg", "water.bottom.points_along_depth_m",
    "water.current_east_north_mps", "water.density_kg_m3", "water.gravity_m_s2",
    "water.profile.floor_m", "water.profile.root", "water.viscosity_pa_s",
    "water.wind_east_north_mps",
}  # fmt: skip


@pytest.fixture
def scenario(demo: Setup, catalog: Catalog) -> Scenario:
    """A scenario with something of everything."""
    rod = demo.rods[0].name
    orders = (
        Order(1.0, "out of gear"), Order(2.0, "in gear"), Order(3.0, "throttle", KNOT.to_si(5.0)),
        Order(4.0, "engines", 1), Order(5.0, "wheel", 0.01), Order(6.0, "mark", 5.0),
        Order(7.0, "course", legs=(Leg(50.0, -0.01),)),
    )  # fmt: skip
    told = (
        LineOrder(1.0, rod, "line to", 40.0), LineOrder(2.0, rod, "fish on", 5.0),
        LineOrder(3.0, rod, "fish end to", 2.0, 0.3), LineOrder(4.0, rod, "fish off"),
    )  # fmt: skip
    water = replace(demo.water, bottom=Bottom(((0.0, 9.0), (50.0, 12.0)), 1.0), profile=PowerLaw())
    setup = replace(demo, water=water, orders=orders, line_orders=told, hold=None)
    return setup.scenario(catalog)


def test_that_the_inputs_of_a_run_have_these_keys(scenario: Scenario) -> None:
    whole = json.loads(json.dumps(keyed(scenario)))
    found = {path for path, _ in paths(whole) if not path.startswith("rods.reserve")}
    assert found == SCENARIO
    assert not without_unit(whole)
    assert whole["orders"][2]["speed_mps"] == KNOT.to_si(5.0)
    assert whole["heading_deg"] == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (Shares(((5.0, 0.5),)), {"rows_depth_m_share": [[5.0, 0.5]]}),
        (Layers(((5.0, 0.5, 0.1),)), {"rows_depth_m_east_north_mps": [[5.0, 0.5, 0.1]]}),
        (
            PrescribedMotion(((0.0, 3.0, 0.5),)),
            {"rows_time_s_speed_mps_heading_rad": [[0.0, 3.0, 0.5]]},
        ),
        (
            Event("deepest", 3.0, "port", {"depth_m": 8.0}),
            {
                "kind": "deepest",
                "time_s": 3.0,
                "rod": "port",
                "values": {"depth_m": 8.0},
                "section": None,
            },
        ),
    ],
)
def test_that_rows_say_what_their_columns_are(value: object, expected: Mapping[str, Any]) -> None:
    assert json.loads(json.dumps(keyed(value))) == expected


@dataclass(frozen=True)
class Unknown:
    size: float = 1.0


def test_that_a_number_without_a_declared_unit_cannot_be_written() -> None:
    with pytest.raises(TypeError, match="size has no unit"):
        keyed(Unknown())


def test_that_every_declared_key_is_of_an_attribute_there_is() -> None:
    for kind, own in INPUTS.items():
        assert set(own) <= set(kind.__dataclass_fields__), kind
