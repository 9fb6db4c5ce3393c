"""The [water] table of a scenario file: sea water, current, wind and bottom."""

from __future__ import annotations

from app.common.bad_input import BadInput
from app.common.quantities import Quantity, optional
from app.common.reading import Reader, in_words
from app.gear.tackle_file import bad_input
from app.scenario import keys
from app.scenario.current_file import read_profile
from physics.checks import InvalidValue
from physics.environment.water import (
    Bottom,
    Water,
    compass_vector,
    seawater_density,
    seawater_viscosity,
)


def read_water(reader: Reader) -> Water:
    """The water of a scenario. Raises BadInput."""
    warm, salt = optional(keys.TEMPERATURE, reader), optional(keys.SALINITY, reader)
    if (warm is None) != (salt is None):
        missing = "salinity_psu" if salt is None else "temperature_c"
        reader.refuse(missing, "temperature_c and salinity_psu together")
    density, viscosity = keys.DENSITY.read(reader), keys.VISCOSITY.read(reader)
    if warm is not None and salt is not None:
        for key in ("density_kg_m3", "viscosity_pa_s"):
            if key in reader.raw:
                reader.refuse(key, "either this or temperature_c and salinity_psu", "says it twice")
        density, viscosity = seawater_density(warm, salt), seawater_viscosity(warm, salt)
    gravity = keys.GRAVITY.read(reader)
    bottom = _bottom(reader)
    current = _flow(reader, keys.SET, keys.DRIFT, 1.0)
    profile = read_profile(reader)
    wind = _flow(reader, keys.WIND_FROM, keys.WIND, -1.0)
    reader.done()
    try:
        return Water(bottom, density, viscosity, current, wind, gravity, profile)
    except InvalidValue as error:
        raise bad_input(error, reader) from error


def _flow(
    reader: Reader, direction: Quantity, strength: Quantity, sign: float
) -> tuple[float, float]:
    """Velocity (east, north), m/s, of a strength along (or with -1 against) a bearing."""
    bearing, speed = optional(direction, reader), optional(strength, reader)
    if speed is None:
        if bearing is not None:
            reader.refuse(
                next(iter(strength.keys)), f"a number beside {next(iter(direction.keys))}"
            )
        return 0.0, 0.0
    if bearing is None:
        if speed > 0.0:
            reader.refuse(next(iter(direction.keys)), "a bearing from 0 to 360 °")
        return 0.0, 0.0
    east, north = compass_vector(bearing)
    return sign * speed * east, sign * speed * north


def _bottom(reader: Reader) -> Bottom:
    if not reader.has("bottom_profile"):
        return Bottom.level(keys.BOTTOM.read(reader))
    for key in keys.BOTTOM.keys:
        if reader.has(key):
            reader.refuse(key, "either this or bottom_profile", "says it twice")
    profile = reader.table("bottom_profile")
    bearing = keys.BEARING.read(profile)
    name, unit = next(
        ((key, unit) for key, unit in keys.PROFILE.items() if profile.has(key)), ("points_ft", None)
    )
    rows = profile.rows(name, ["distance", "depth"])
    if unit is None or all(key in profile.raw for key in keys.PROFILE):
        profile.refuse(name, f"only one of {', '.join(keys.PROFILE)}", "says it twice")
    for key in keys.PROFILE:
        profile.has(key)
    profile.done()
    points = tuple((unit.to_si(along), unit.to_si(depth)) for along, depth in rows)
    for number, (along, depth) in enumerate(points, start=1):
        where = f"{profile.where(name)}, row {number}"
        if not keys.BOTTOM.low <= depth <= keys.BOTTOM.high:
            low, high = unit.from_si(keys.BOTTOM.low), unit.from_si(keys.BOTTOM.high)
            allowed = f"a depth of {in_words(low)} to {in_words(high)} {unit.symbol}"
            raise BadInput(reader.file, where, rows[number - 1], allowed)
        if number > 1 and along <= points[number - 2][0]:
            allowed = "distances that rise from row to row"
            raise BadInput(reader.file, where, rows[number - 1], allowed)
    try:
        return Bottom(points, bearing)
    except InvalidValue as error:
        raise bad_input(error, profile) from error
