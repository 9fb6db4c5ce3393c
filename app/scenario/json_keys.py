"""Results as JSON: every number under a key that says its unit, from the quantities' own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from app.common.quantities import Quantity, spell
from app.common.units import PLAIN, Unit
from app.gear.tackle_file import BOAT, LURE, NORMAL_DRAG, SECTION
from app.scenario import keys
from physics.environment.current import Layers, PowerLaw, Shares
from physics.environment.water import Bottom, Water
from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.events import Event
from physics.simulation.scenario import Mark, Scenario
from physics.vessel.boat import Action, Boat, Leg, Order
from physics.vessel.motion import PrescribedMotion

FORMAT = 2
"""Version of the layout, the number under ``format``; another one when a key changes."""

Key = tuple[str, Unit]
Keys = Mapping[type, Mapping[str, Key]]
"""For every dataclass the key and unit of each of its numbers."""


def of(*quantities: Quantity) -> dict[str, Key]:
    """Keys of attributes that have a quantity."""
    return {quantity.attribute: quantity.output for quantity in quantities}


def si(**suffixes: str) -> dict[str, Key]:
    """Keys of attributes that are results only: each with its unit, SI, at the end."""
    return {name: next(iter(spell(name, end).items())) for name, end in suffixes.items()}


def as_is(**renamed: str) -> dict[str, Key]:
    """Keys of lists and shares that are given as they are."""
    return {name: (key, PLAIN) for name, key in renamed.items()}


INPUTS: Keys = {
    Scenario: of(keys.HELM_SPEED, keys.HEADING, keys.DURATION),
    Water: of(keys.DENSITY, keys.VISCOSITY, keys.GRAVITY)
    | as_is(current="current_east_north_mps", wind="wind_east_north_mps"),
    Bottom: of(keys.BEARING) | as_is(points="points_along_depth_m"),
    PowerLaw: of(keys.ROOT, keys.FLOOR),
    Shares: as_is(rows="rows_depth_m_share"),
    Layers: as_is(rows="rows_depth_m_east_north_mps"),
    Boat: of(*BOAT),
    Rod: of(*keys.TIP),
    LineSection: of(*SECTION, NORMAL_DRAG),
    Lure: of(*LURE),
    Mark: of(*keys.MARK),
    Order: of(keys.ORDER_TIME),
    Leg: si(length="m") | as_is(curvature="curvature_per_m"),
    LineOrder: of(keys.ORDER_TIME),
    PrescribedMotion: as_is(table="rows_time_s_speed_mps_heading_rad"),
    Resolution: of(keys.GRADING),
    Event: si(time="s"),
}
"""What a run is made from, and what happened in it."""

ORDERED: Mapping[Action, Key] = {
    "throttle": keys.HELM_SPEED.output,
    "engines": ("engines", PLAIN),
    "wheel": ("curvature_per_m", PLAIN),
    "mark": keys.MARK_DEPTH.output,
}
"""The key of an order's value, for those that have one."""


def keyed(value: Any, known: Keys = INPUTS) -> Any:
    """A dataclass as a dict, those within it too; whole numbers and words keep their names.

    Raises TypeError for a number whose unit nobody has declared.
    """
    if isinstance(value, list | tuple):
        return [keyed(item, known) for item in value]
    if isinstance(value, dict):
        return {key: keyed(item, known) for key, item in value.items()}
    if not is_dataclass(value):
        return value
    own = {**known.get(type(value), {}), **_ordered(value)}
    idle = _idle(value) - set(own)
    out = {}
    for part in fields(value):
        item = getattr(value, part.name)
        if part.name in idle:
            continue
        if part.name in own:
            key, unit = own[part.name]
            out[key] = unit.from_si(item) if isinstance(item, float) else item
        elif isinstance(item, float):
            raise TypeError(f"{type(value).__name__}.{part.name} has no unit")
        else:
            out[part.name] = keyed(item, known)
    return out


def _ordered(value: object) -> dict[str, Key]:
    """Where value and rate of an order go: that depends on what is ordered."""
    if isinstance(value, Order):
        return {"value": ORDERED[value.action]} if value.action in ORDERED else {}
    if isinstance(value, LineOrder):
        used = keys.LINE_ORDER[value.action]
        return dict(zip(("value", "rate"), (q.output for q in used), strict=False))
    return {}


def _idle(value: object) -> set[str]:
    """What an order may have no use for."""
    return {"value", "rate"} if isinstance(value, Order | LineOrder) else set()
