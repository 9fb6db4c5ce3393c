"""The [water] table of a scenario file, written."""

from __future__ import annotations

from math import atan2, hypot

from app.common.quantities import Quantity, put, same, tidy
from app.common.tables import Table, set_rows, subtable
from app.common.units import compass_degrees
from app.scenario import keys
from app.scenario.current_file import write_profile
from physics.environment.seawater import fits, temperature_and_salinity
from physics.environment.water import Bottom, Water

PLAIN_WATER = (keys.DENSITY.default, keys.VISCOSITY.default)
"""Density and viscosity of a file that names neither these nor a temperature."""


def write_water(table: Table, water: Water) -> None:
    """Bring a [water] table up to date."""
    new = not table
    by_warmth = _by_temperature(table, water)
    if by_warmth is None:
        for key in (*keys.TEMPERATURE.keys, *keys.SALINITY.keys):
            table.pop(key, None)
        keys.DENSITY.write(table, water.density, shown=new)
        keys.VISCOSITY.write(table, water.viscosity, shown=new)
    else:
        put(table, keys.TEMPERATURE.keys, by_warmth[0])
        put(table, keys.SALINITY.keys, by_warmth[1])
    keys.GRAVITY.write(table, water.gravity)
    east, north = water.current
    _flow(table, keys.SET, keys.DRIFT, east, north)
    write_profile(table, water.profile)
    east, north = water.wind
    _flow(table, keys.WIND_FROM, keys.WIND, -east, -north)
    _bottom(table, water.bottom)


def _by_temperature(table: Table, water: Water) -> tuple[float, float] | None:
    """Temperature and salinity to write, or None to write density and viscosity."""
    if any(key in table for key in (*keys.DENSITY.keys, *keys.VISCOSITY.keys)):
        return None
    warm, salt = table.get("temperature_c"), table.get("salinity_psu")
    if warm is None and (water.density, water.viscosity) == PLAIN_WATER:
        return None
    if isinstance(warm, int | float) and isinstance(salt, int | float):
        warm, salt = float(warm), float(salt)
        if fits(water, warm, salt):
            return warm, salt
    return temperature_and_salinity(water)


def _flow(table: Table, bearing: Quantity, strength: Quantity, east: float, north: float) -> None:
    """Write a velocity as a strength and the bearing it points along."""
    speed = hypot(east, north)
    written = any(key in table for key in strength.keys)
    if speed > 0.0:
        key = next(iter(bearing.keys))
        degrees = compass_degrees(atan2(east, north))
        old = table.get(key)
        if not isinstance(old, int | float) or not same(
            (float(old) - degrees + 180.0) % 360.0, 180.0
        ):
            table[key] = tidy(degrees)
        put(table, strength.keys, speed)
    elif written:
        put(table, strength.keys, 0.0)


def _bottom(table: Table, bottom: Bottom) -> None:
    if bottom == Bottom.level(bottom.points[0][1]):
        table.pop("bottom_profile", None)
        put(table, keys.BOTTOM.keys, bottom.points[0][1])
        return
    for key in keys.BOTTOM.keys:
        table.pop(key, None)
    profile = subtable(table, "bottom_profile")
    keys.BEARING.write(profile, bottom.bearing)
    name = next((key for key in keys.PROFILE if key in profile), "points_ft")
    unit = keys.PROFILE[name]
    rows = [(unit.from_si(along), unit.from_si(deep)) for along, deep in bottom.points]
    set_rows(profile, name, rows)
