"""The keys of a scenario file and what each may be.

Depends on: quantities, setup; physics.doubt, physics.timing.
"""

from __future__ import annotations

from math import pi

from app import setup
from app.quantities import SPEED, Quantity, spell
from app.units import (
    COLOR,
    FOOT,
    KILOGRAM,
    KNOT,
    METER,
    METER_PER_SECOND,
    POUND,
    YARD,
    Unit,
)
from physics.doubt import INPUTS, Doubt
from physics.doubt import MOST as MOST_DOUBT
from physics.line_orders import FASTEST_FISH, FASTEST_LINE, LEAST_OUT, MOST_OUT
from physics.timing import CLEARANCE, CLEARANCES, RADII, RADIUS

FORMAT = 1
"""Version of the file's layout, the number after ``leadfall =``."""

TOP = (
    "name", "notes", "water", "boat", "helm", "mark", "timing", "rod", "line_orders", "motion",
    "doubt", "run",
)  # fmt: skip

NO_LEADCORE = "none"
"""What ``line`` says when a rod has backing alone."""


def _line(what: str) -> dict[str, Unit]:
    return {
        f"colors_{what}": COLOR,
        f"line_{what}_ft": FOOT,
        f"line_{what}_yd": YARD,
        f"line_{what}_m": METER,
    }


TEMPERATURE = Quantity("temperature", {"temperature_c": Unit("", "°C", 1.0)}, -2.0, 40.0)
SALINITY = Quantity("salinity", {"salinity_psu": Unit("", "psu", 1.0)}, 0.0, 42.0)
DENSITY = Quantity("density", spell("density", "kg_m3"), 900.0, 1200.0, 1025.0)
VISCOSITY = Quantity("viscosity", spell("viscosity", "pa_s"), 1e-4, 1e-2, 1.22e-3)
GRAVITY = Quantity("gravity", spell("gravity", "m_s2"), 9.0, 10.0, 9.80665)
BOTTOM = Quantity("bottom", spell("bottom", "ft", "m"), 0.3, 2000.0)
PROFILE = {"points_ft": FOOT, "points_m": METER}
DRIFT = Quantity("drift", spell("drift", *SPEED), 0.0, 10.0)
ROOT = Quantity("root", spell("root"), 2.0, 20.0, 7.0)
FLOOR = Quantity("floor", spell("floor", "ft", "m"), 0.3, 2000.0)
SHARES = {"shares_ft": FOOT, "shares_m": METER}
LAYERS = {"layers_ft_deg_kn": (FOOT, KNOT), "layers_m_deg_mps": (METER, METER_PER_SECOND)}
WIND = Quantity("wind", spell("wind", *SPEED), 0.0, 40.0)
SET = Quantity("set", spell("set", "deg"), -2 * pi, 2 * pi)
WIND_FROM = Quantity("wind_from", spell("wind_from", "deg"), -2 * pi, 2 * pi)
BEARING = Quantity("bearing", spell("bearing", "deg"), -2 * pi, 2 * pi, 0.0)

HELM_SPEED = Quantity("speed", spell("speed", *SPEED), 0.2, 12.0)
HEADING = Quantity("heading", spell("heading", "deg"), -2 * pi, 2 * pi, 0.0)
HOLD = Quantity("hold", spell("hold", "s"), 0.5, 600.0)

ORDER_TIME = Quantity("time", spell("at", "s"), 0.0, 36000.0)
TURN_RADIUS = Quantity("turn_radius", spell("turn_radius", "ft", "m"), 5.0, 1e9)
LEGS = {"legs_ft": FOOT, "legs_m": METER}
RATE = Quantity("rate", spell("rate", "ft_s", "mps"), 0.02, FASTEST_LINE, 0.5)
FISH_RATE = Quantity("rate", RATE.keys, RATE.low, FASTEST_FISH, RATE.default)
LINE_ORDER: dict[str, tuple[Quantity, ...]] = {
    "line to": (Quantity("value", _line("out"), LEAST_OUT, MOST_OUT), RATE),
    "fish on": (Quantity("value", {"fish_lb": POUND, "fish_kg": KILOGRAM}, 0.1, 500.0),),
    "fish end to": (Quantity("value", spell("depth", "ft", "m"), 0.0, 2000.0), FISH_RATE),
    "fish off": (),
}
"""Value and rate of an order about a line, so far as its action has any use for them."""

MARK = (
    Quantity("depth", spell("depth", "ft", "m"), 0.1, 2000.0),
    Quantity("time", spell("at", "s"), 0.0, 36000.0, 0.0),
    Quantity("band", spell("band", "ft", "m"), 0.05, 50.0, 1.0),
)

TIMING = (
    Quantity("clearance", spell("clearance", "ft", "m"), *CLEARANCES, CLEARANCE),
    Quantity("radius", spell("radius", "ft", "m"), *RADII, RADIUS),
)

LINE_OUT = Quantity("line_out", _line("out"), setup.LEAST_LINE_OUT, setup.MOST_LINE_OUT)
ON_REEL = Quantity("on_reel", _line("on_reel"), 0.0, setup.MOST_ON_REEL, COLOR.size * 10.0)
LEADER_LENGTH = Quantity(
    "leader_length", spell("leader", "ft", "m"), setup.LEAST_LEADER, setup.MOST_LEADER
)
SPOOLED = (*LINE_OUT.keys, *ON_REEL.keys, *LEADER_LENGTH.keys)
TIP = (
    Quantity("astern", spell("tip_astern", "ft", "m"), -30.0, 50.0, 2.0),
    Quantity("abeam", spell("tip_abeam", "ft", "m"), -30.0, 30.0, 0.0),
    Quantity("height", spell("tip_height", "ft", "m"), -2.0, 15.0, 2.0),
)

DURATION = Quantity("duration", spell("duration", "s"), 1.0, 7200.0, 90.0)
GRADING = Quantity("grading", spell("grading"), 1.0, 20.0, 1.0)

DOUBT = tuple(
    Quantity(name, spell(name), 0.0, MOST_DOUBT, getattr(Doubt(), name)) for name in INPUTS
)
"""Shares of the values themselves, without a unit."""

KEYS_OF: dict[str, tuple[str, ...]] = {
    "line_out": tuple(LINE_OUT.keys),
    "on_reel": tuple(ON_REEL.keys),
    "leader_length": tuple(LEADER_LENGTH.keys),
    "sections": ("section",),
    "astern": tuple(TIP[0].keys),
    "abeam": tuple(TIP[1].keys),
    "height": tuple(TIP[2].keys),
}
"""Keys a rod's attribute may be written under, where they differ in name."""

PLACE_OF: dict[str, tuple[str, ...]] = {
    "scenario name": ("", "name"),
    "rods": ("", "rod"),
    "heading": ("helm", *HEADING.keys),
    "hold": ("helm", *HOLD.keys),
    "speed": ("helm", *HELM_SPEED.keys),
    "orders": ("helm", "orders"),
    "boat": ("boat", "type"),
    "bottom": ("water", *BOTTOM.keys, "bottom_profile"),
    "mark depth": ("mark", *MARK[0].keys),
    "duration": ("run", *DURATION.keys),
}
"""Table and keys of what Setup may refuse about the whole."""
