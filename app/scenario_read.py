"""The tables of a scenario file into a Setup, each value checked where it stands.

Depends on: scenario_keys, tackle_file, reading, setup; physics.water, physics.boat.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from app import scenario_keys as keys
from app.bad_input import BadInput
from app.catalog import Catalog
from app.quantities import Quantity, read_all
from app.reading import Reader
from app.setup import RodSetup, Setup
from app.tackle_file import bad_input, read_boat, read_lure, read_section
from app.units import DEGREE
from physics.boat import ACTIONS, Boat, Order, PrescribedMotion
from physics.checks import Unusable
from physics.mesh import Resolution
from physics.scenario import MOST_RODS, Mark
from physics.tackle import Lure
from physics.water import Bottom, Water, compass_vector, seawater_density, seawater_viscosity

SIDES = ("port", "starboard", "straight")


def read_setup(tables: Mapping[str, Any], file: str) -> Setup:
    """A Setup from parsed TOML; catalog names are not looked up yet. Raises BadInput."""
    top = Reader(tables, file)
    _check_version(top)
    name, notes = top.text("name"), top.words("notes")
    water = _water(top.table("water"))
    boat = _boat(top.table("boat"))
    helm = top.table("helm")
    speed, heading = keys.HELM_SPEED.read(helm), keys.HEADING.read(helm)
    hold = _optional(keys.HOLD, helm)
    orders = tuple(_order(row) for row in helm.tables("orders", most=1000, word="order"))
    helm.done()
    mark = _mark(top.table("mark"), water) if top.has("mark") else None
    rods = tuple(_rod(row) for row in top.tables("rod", 1, MOST_RODS))
    motion = _motion(top.table("motion")) if top.has("motion") else None
    run = top.table("run")
    duration, resolution = keys.DURATION.read(run), _resolution(run)
    top.done()
    return Setup(
        name, water, boat, rods, notes, speed, heading, mark, orders, motion,
        duration, hold, resolution,
    )  # fmt: skip


def check_setup(setup: Setup, catalog: Catalog, tables: Mapping[str, Any], file: str) -> None:
    """Look up the tackle and check the whole; what is refused is named as in the file."""
    try:
        setup.scenario(catalog)
    except Unusable as error:
        raise _in_file(error, tables, file) from error


def _check_version(top: Reader) -> None:
    version = top.whole("leadfall", 1, 10**6)
    if version > keys.FORMAT:
        top.refuse(
            "leadfall",
            f"{keys.FORMAT}",
            "was written by a newer Leadfall than this one",
        )


def _optional(quantity: Quantity, reader: Reader) -> float | None:
    present = [key for key in quantity.keys if reader.has(key)]
    return quantity.read(reader) if present else None


def _water(reader: Reader) -> Water:
    warm, salt = _optional(keys.TEMPERATURE, reader), _optional(keys.SALINITY, reader)
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
    wind = _flow(reader, keys.WIND_FROM, keys.WIND, -1.0)
    reader.done()
    try:
        return Water(bottom, density, viscosity, current, wind, gravity)
    except Unusable as error:
        raise bad_input(error, reader) from error


def _flow(
    reader: Reader, direction: Quantity, strength: Quantity, sign: float
) -> tuple[float, float]:
    """Velocity (east, north), m/s, of a strength along (or with -1 against) a bearing."""
    bearing, speed = _optional(direction, reader), _optional(strength, reader)
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
            allowed = f"a depth of {low:.4g} to {high:.4g} {unit.symbol}"
            raise BadInput(reader.file, where, rows[number - 1], allowed)
        if number > 1 and along <= points[number - 2][0]:
            allowed = "distances that rise from row to row"
            raise BadInput(reader.file, where, rows[number - 1], allowed)
    try:
        return Bottom(points, bearing)
    except Unusable as error:
        raise bad_input(error, profile) from error


def _boat(reader: Reader) -> str | Boat:
    if reader.has("type"):
        name = reader.text("type")
        reader.done()
        return name
    if not reader.raw:
        reader.refuse("type", "the name of a boat in the catalog, or a boat's own values")
    return read_boat(reader)


def _order(reader: Reader) -> Order:
    time = keys.ORDER_TIME.read(reader)
    action = reader.choice("do", ACTIONS)
    value = 0.0
    if action == "throttle":
        value = keys.HELM_SPEED.read(reader)
    elif action == "engines":
        value = float(reader.whole("engines", 1, 2))
    elif action == "mark":
        value = keys.MARK[0].read(reader)
    elif action == "wheel":
        side = reader.choice("side", SIDES)
        if side != "straight":
            radius = keys.TURN_RADIUS.read(reader)
            value = (1.0 if side == "starboard" else -1.0) / radius
    reader.done()
    for known in ACTIONS:
        if known == action:
            return Order(time, known, value)
    raise AssertionError(action)


def _mark(reader: Reader, water: Water) -> Mark:
    depth, time, band = keys.MARK
    depth_m = reader.quantity(depth.keys, depth.low, min(depth.high, water.bottom.deepest))
    mark = Mark(depth_m, time.read(reader), band.read(reader))
    reader.done()
    return mark


def _rod(reader: Reader) -> RodSetup:
    name = reader.text("name")
    lure = _lure(reader)
    values: dict[str, Any] = read_all(keys.TIP, reader)
    if reader.has("section"):
        rows = reader.tables("section", 1, 8)
        values["sections"] = tuple(read_section(row) for row in rows)
        for key in ("line", "backing", "leader"):
            if reader.has(key):
                reader.refuse(key, "either this or [[rod.section]]", "says it twice")
    else:
        line = reader.text("line")
        values["line"] = None if line == keys.NO_LEADCORE else line
        values["line_out"] = keys.LINE_OUT.read(reader)
        values["on_reel"] = keys.ON_REEL.read(reader)
        deep = values["line"] is None or values["line_out"] > values["on_reel"]
        if deep or reader.has("backing"):
            values["backing"] = reader.text("backing")
        values["leader"] = reader.text("leader")
        values["leader_length"] = keys.LEADER_LENGTH.read(reader)
    reader.done()
    return RodSetup(name=name, lure=lure, **values)


def _lure(reader: Reader) -> str | Lure:
    reader.has("lure")
    if isinstance(reader.raw.get("lure"), Mapping):
        return read_lure(reader.table("lure"))
    return reader.text("lure")


def _motion(reader: Reader) -> PrescribedMotion:
    rows = reader.rows("table", ["time s", "speed m/s", "heading °"], most=100_000)
    reader.done()
    try:
        return PrescribedMotion(tuple((t, u, DEGREE.to_si(h)) for t, u, h in rows))
    except Unusable as error:
        raise BadInput(reader.file, reader.where("table"), error.value, error.allowed) from error


def _resolution(reader: Reader) -> Resolution:
    plain = Resolution()
    out = Resolution(
        reader.whole("line_elements", 2, 400, plain.line_elements),
        reader.whole("leader_elements", 1, 100, plain.leader_elements),
        keys.GRADING.read(reader),
    )
    reader.done()
    return out


def _in_file(error: Unusable, tables: Mapping[str, Any], file: str) -> BadInput:
    """A refusal by Setup, at the key of the file a person can go and mend."""
    rod, _, attribute = error.field.rpartition(", ")
    if rod:
        table = tables["rod"][int(rod.removeprefix("rod ")) - 1]
        path, wanted = rod, keys.KEYS_OF.get(attribute, (attribute,))
    else:
        section, *wanted_keys = keys.PLACE_OF.get(error.field, ("", error.field))
        table = tables.get(section, {}) if section else tables
        path, wanted = section, tuple(wanted_keys)
    key = next((key for key in wanted if key in table), None)
    value = error.value if key is None or isinstance(table[key], dict | list) else table[key]
    where = ", ".join(part for part in (path, key or wanted[0]) if part)
    return BadInput(file, where, value, error.allowed)
