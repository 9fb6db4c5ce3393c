"""The keys of a scenario file and what each may be."""

from __future__ import annotations

from math import pi

from app.common import scales
from app.common.quantities import SPEED, Quantity, spell
from app.common.units import (
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
from app.scenario import setup
from app.scenario.limits import WAIT
from physics.answers.doubt import DOUBT as DOUBTS
from physics.answers.doubt import INPUTS, Doubt
from physics.answers.timing import (
    CLEARANCE,
    CLEARANCES,
    RADII,
    RADIUS,
    TOUCH_CHANCE,
    TOUCH_CHANCES,
)
from physics.checks import GRAVITY as STANDARD
from physics.checks import Limits
from physics.environment import current, water
from physics.environment.water import WATER_LIMITS
from physics.line import line_orders
from physics.line.mesh import RESOLUTION_LIMITS, Resolution
from physics.line.tackle import TIP_LIMITS
from physics.simulation.scenario import DURATION as DURATIONS
from physics.simulation.scenario import LENGTH_OF_RUN, MARK_LIMITS
from physics.vessel import boat

FORMAT = 1
"""Version of the file's layout, the number after ``leadfall =``."""

TOP = (
    "name", "notes", "water", "boat", "helm", "mark", "timing", "rod", "line_orders", "motion",
    "doubt", "run", "soundings", "card",
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


COMPASS = Limits(-2.0 * pi, 2.0 * pi, "radians")
"""A bearing may be told either way round."""

TEMPERATURE = Quantity(
    "temperature", {"temperature_c": Unit("", "°C", 1.0)}, Limits(-2.0, 40.0, "°C"), None,
    scales.WARMTH, "water temperature",
)  # fmt: skip
SALINITY = Quantity(
    "salinity", {"salinity_psu": Unit("", "psu", 1.0)}, Limits(0.0, 42.0, "psu"), None,
    scales.SALT, "salt in the water",
)  # fmt: skip
DENSITY = Quantity("density", spell("density", "kg_m3"), WATER_LIMITS["density"], water.SEAWATER)
VISCOSITY = Quantity(
    "viscosity", spell("viscosity", "pa_s"), WATER_LIMITS["viscosity"], water.SEAWATER_VISCOSITY
)
GRAVITY = Quantity("gravity", spell("gravity", "m_s2"), WATER_LIMITS["gravity"], STANDARD)
BOTTOM = Quantity(
    "bottom", spell("bottom", "ft", "m"), water.BOTTOM, scales=scales.DEPTH, words="bottom depth"
)
PROFILE = {"points_ft": FOOT, "points_m": METER}
DRIFT = Quantity(
    "drift", spell("drift", *SPEED), water.CURRENT, scales=scales.DRIFT, words="current"
)
ROOT = Quantity("root", spell("root"), current.ROOT, 7.0)
FLOOR = Quantity("floor", spell("floor", "ft", "m"), current.FLOOR)
SHARES = {"shares_ft": FOOT, "shares_m": METER}
LAYERS = {"layers_ft_deg_kn": (FOOT, KNOT), "layers_m_deg_mps": (METER, METER_PER_SECOND)}
WIND = Quantity("wind", spell("wind", *SPEED), water.WIND, scales=scales.WIND, words="wind")
SET = Quantity(
    "set", spell("set", "deg"), COMPASS, scales=scales.COMPASS, words="current sets toward"
)
WIND_FROM = Quantity(
    "wind_from", spell("wind_from", "deg"), COMPASS, scales=scales.COMPASS, words="wind from"
)
BEARING = Quantity(
    "bearing", spell("bearing", "deg"), COMPASS, 0.0, scales.COMPASS, "bottom runs along"
)

HELM_SPEED = Quantity("speed", spell("speed", *SPEED), boat.SPEED, None, scales.KNOTS, "speed")
HEADING = Quantity("heading", spell("heading", "deg"), COMPASS, 0.0, scales.COMPASS, "boat heads")
HOLD = Quantity(
    "hold", spell("hold", "s"), setup.HOLD_LIMITS, None, scales.SECONDS, "hold out of gear"
)

ORDER_TIME = Quantity("time", spell("at", "s"), boat.ORDER_TIME)
TURN_RADIUS = Quantity(
    "turn_radius", spell("turn_radius", "ft", "m"), Limits(1.0 / boat.MOST_CURVATURE, 1e9, "m")
)
LEGS = {"legs_ft": FOOT, "legs_m": METER}
RATE = Quantity(
    "rate", spell("rate", "ft_s", "mps"), line_orders.LINE_RATE, 0.5, scales.RATE,
    "line in or out at",
)  # fmt: skip
FISH_RATE = Quantity(
    "rate", RATE.keys, line_orders.FISH_RATE, RATE.default, scales.RATE, "the fish swims at"
)
ORDERED_OUT = Quantity(
    "value", _line("out"), line_orders.LINE_OUT, scales=scales.COLORS, words="line to"
)
FISH = Quantity(
    "value", {"fish_lb": POUND, "fish_kg": KILOGRAM}, line_orders.FISH, None, scales.WEIGHT,
    "weight of the fish",
)  # fmt: skip
FISH_DEPTH = Quantity(
    "value", spell("depth", "ft", "m"), line_orders.FISH_DEPTH, None, scales.DEPTH,
    "the fish's end swims to",
)  # fmt: skip
LINE_ORDER: dict[str, tuple[Quantity, ...]] = {
    "line to": (ORDERED_OUT, RATE),
    "fish on": (FISH,),
    "fish end to": (FISH_DEPTH, FISH_RATE),
    "fish off": (),
}
"""Value and rate of an order about a line, so far as its action has any use for them."""

MARK_DEPTH = Quantity(
    "depth", spell("depth", "ft", "m"), MARK_LIMITS["depth"], None, scales.DEPTH, "mark depth"
)
MARK_TIME = Quantity(
    "time", spell("at", "s"), MARK_LIMITS["time"], 0.0, scales.SECONDS,
    "seconds until the mark is under the sounder",
)  # fmt: skip
MARK = (
    MARK_DEPTH,
    MARK_TIME,
    Quantity("band", spell("band", "ft", "m"), MARK_LIMITS["band"], 1.0),
)

CLEAR = Quantity(
    "clearance", spell("clearance", "ft", "m"), CLEARANCES, CLEARANCE, scales.DEPTH,
    "how far every line is to stay off bottom",
)  # fmt: skip
NEAR = Quantity(
    "radius", spell("radius", "ft", "m"), RADII, RADIUS, scales.DEPTH,
    "how near the mark's place counts",
)  # fmt: skip
MAY_TOUCH = Quantity(
    "touch_chance", spell("touch_chance"), TOUCH_CHANCES, TOUCH_CHANCE, scales.PERCENT,
    "drops that may touch bottom",
)  # fmt: skip
TIMING = (CLEAR, NEAR, MAY_TOUCH)

LINE_OUT = Quantity("line_out", _line("out"), setup.LINES_OUT, None, scales.COLORS, "colors out")
ON_REEL = Quantity(
    "on_reel", _line("on_reel"), setup.ON_REELS, COLOR.size * 10.0, scales.COLORS,
    "colors on the reel",
)  # fmt: skip
LEADER_LENGTH = Quantity(
    "leader_length", spell("leader", "ft", "m"), setup.LEADERS, None, scales.LENGTH,
    "leader length",
)  # fmt: skip
SPOOLED = (*LINE_OUT.keys, *ON_REEL.keys, *LEADER_LENGTH.keys)
ASTERN = Quantity(
    "astern", spell("tip_astern", "ft", "m"), TIP_LIMITS["astern"], 2.0, scales.LENGTH,
    "tip astern",
)  # fmt: skip
ABEAM = Quantity(
    "abeam", spell("tip_abeam", "ft", "m"), TIP_LIMITS["abeam"], 0.0, scales.LENGTH, "tip abeam"
)
HEIGHT = Quantity(
    "height", spell("tip_height", "ft", "m"), TIP_LIMITS["height"], 2.0, scales.HEIGHT,
    "tip height",
)  # fmt: skip
TIP = (ASTERN, ABEAM, HEIGHT)

DURATION = Quantity("duration", spell("duration", "s"), DURATIONS, LENGTH_OF_RUN)
ELEMENTS = ("line_elements", "leader_elements")
"""Counts of a Resolution, by their own names."""
GRADING = Quantity("grading", spell("grading"), RESOLUTION_LIMITS["grading"], Resolution().grading)

DOUBT_WORDS = {
    "line_drag": "drag of the line",
    "line_weight": "weight of the line",
    "lure_weight": "weight of the lures",
    "coast_down": "the boat's coast-down",
    "speed": "speed",
    "bottom": "depth of the bottom",
    "lure_drag": "drag of the lures",
    "lure_swing": "how far lures swing",
}
DOUBT = tuple(
    Quantity(name, spell(name), DOUBTS, getattr(Doubt(), name), scales.PERCENT, DOUBT_WORDS[name])
    for name in INPUTS
)
"""Shares of the values themselves, without a unit."""

KEYS_OF: dict[str, tuple[str, ...]] = {
    "line_out": tuple(LINE_OUT.keys),
    "on_reel": tuple(ON_REEL.keys),
    "leader_length": tuple(LEADER_LENGTH.keys),
    "sections": ("section",),
    "astern": tuple(ASTERN.keys),
    "abeam": tuple(ABEAM.keys),
    "height": tuple(HEIGHT.keys),
}
"""Keys a rod's attribute may be written under, where they differ in name."""

PLACE_OF: dict[str, tuple[str, ...]] = {
    "scenario name": ("", "name"),
    "rods": ("", "rod"),
    "heading": ("helm", *HEADING.keys),
    "hold": ("helm", *HOLD.keys),
    "wait": ("helm", *WAIT.keys),
    "speed": ("helm", *HELM_SPEED.keys),
    "orders": ("helm", "orders"),
    "boat": ("boat", "type"),
    "bottom": ("water", *BOTTOM.keys, "bottom_profile"),
    "mark depth": ("mark", *MARK_DEPTH.keys),
    "duration": ("run", *DURATION.keys),
}
"""Table and keys of what Setup may refuse about the whole."""
