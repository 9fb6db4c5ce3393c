"""A Setup into a TOML document, changing only what differs from what is there.

Depends on: scenario_keys, tackle_file, setup.
"""

from __future__ import annotations

from collections.abc import MutableMapping
from math import atan2, hypot
from typing import Any

import tomlkit

from app import scenario_keys as keys
from app.quantities import Quantity, put, same, tidy, write_all
from app.seawater import fits, temperature_and_salinity
from app.setup import USUAL_BACKING, RodSetup, Setup
from app.tackle_file import write_boat, write_lure, write_section
from app.units import DEGREE, compass_degrees
from physics.boat import Order
from physics.mesh import Resolution
from physics.tackle import Lure
from physics.water import Bottom, Water

PLAIN_WATER = (keys.DENSITY.default, keys.VISCOSITY.default)
"""Density and viscosity of a file that names neither these nor a temperature."""

Table = MutableMapping[str, Any]


def write_setup(document: Table, setup: Setup) -> None:
    """Bring a document (new and empty, or a user's own) up to date with a Setup."""
    new = not document
    _set(document, "leadfall", keys.FORMAT)
    _set(document, "name", setup.name)
    if setup.notes or "notes" in document:
        _set(document, "notes", _words(setup.notes))
    _water(_table(document, "water"), setup.water)
    boat = _table(document, "boat")
    if isinstance(setup.boat, str):
        _only(boat, "type")
        _set(boat, "type", setup.boat)
    else:
        boat.pop("type", None)
        write_boat(boat, setup.boat)
    _helm(_table(document, "helm"), setup)
    if setup.mark is None:
        document.pop("mark", None)
    else:
        write_all(keys.MARK, _table(document, "mark"), setup.mark)
    _rods(document, setup.rods)
    _motion(document, setup)
    _run(document, setup, shown=new)


def _run(document: Table, setup: Setup, shown: bool) -> None:
    if not shown and "run" not in document and _runs_as_usual(setup):
        return
    run = _table(document, "run")
    keys.DURATION.write(run, setup.duration, shown)
    for key, usual in (("line_elements", 24), ("leader_elements", 3)):
        count = getattr(setup.resolution, key)
        if key in run or count != usual:
            _set(run, key, count)
    keys.GRADING.write(run, setup.resolution.grading)


def _runs_as_usual(setup: Setup) -> bool:
    return setup.duration == keys.DURATION.default and setup.resolution == Resolution()


def _set(table: Table, key: str, value: Any) -> None:
    """Write a value unless it already stands there."""
    if key not in table or table[key] != value:
        table[key] = value


def _words(text: str) -> Any:
    return tomlkit.string(text, multiline=True) if "\n" in text and "\r" not in text else text


def _only(table: Table, *wanted: str) -> None:
    for key in [key for key in table if key not in wanted]:
        del table[key]


def _table(parent: Table, key: str) -> Table:
    if not isinstance(parent.get(key), MutableMapping):
        parent[key] = tomlkit.table()
    made: Table = parent[key]
    return made


def _water(table: Table, water: Water) -> None:
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
    profile = _table(table, "bottom_profile")
    keys.BEARING.write(profile, bottom.bearing)
    name = next((key for key in keys.PROFILE if key in profile), "points_ft")
    unit = keys.PROFILE[name]
    rows = [[tidy(unit.from_si(along)), tidy(unit.from_si(deep))] for along, deep in bottom.points]
    _rows(profile, name, rows)


def _rows(table: Table, key: str, rows: list[list[float | int]]) -> None:
    if key in table and [list(row) for row in table[key]] == rows:
        return
    array = tomlkit.array()
    array.extend(rows)
    table[key] = array.multiline(len(rows) > 4)


def _helm(table: Table, setup: Setup) -> None:
    new = not table
    keys.HELM_SPEED.write(table, setup.speed)
    keys.HEADING.write(table, setup.heading, shown=new)
    if setup.hold is None:
        table.pop("hold_s", None)
    else:
        put(table, keys.HOLD.keys, setup.hold)
    orders = [_order(order) for order in setup.orders]
    if not orders:
        if table.get("orders"):
            del table["orders"]
    elif "orders" not in table or table["orders"] != orders:
        array = tomlkit.array().multiline(True)
        for order in orders:
            row = tomlkit.inline_table()
            row.update(order)
            array.append(row)
        table["orders"] = array


def _order(order: Order) -> dict[str, Any]:
    row: dict[str, Any] = {"at_s": tidy(order.time), "do": order.action}
    if order.action == "throttle":
        put(row, keys.HELM_SPEED.keys, order.value)
    elif order.action == "engines":
        row["engines"] = int(order.value)
    elif order.action == "mark":
        put(row, keys.MARK[0].keys, order.value)
    elif order.action == "wheel":
        if abs(order.value) * keys.TURN_RADIUS.high < 1.0:
            row["side"] = "straight"
        else:
            row["side"] = "starboard" if order.value > 0.0 else "port"
            put(row, keys.TURN_RADIUS.keys, 1.0 / abs(order.value))
    return row


def _rods(document: Table, rods: tuple[RodSetup, ...]) -> None:
    """Write the rods; a table keeps the rod of its own name, with the user's comments."""
    old = list(document["rod"]) if isinstance(document.get("rod"), list) else []
    if [row.get("name") for row in old] != [rod.name for rod in rods]:
        named = {row.get("name"): row for row in old}
        spare = [row for row in old if row.get("name") not in [rod.name for rod in rods]]
        tables = tomlkit.aot()
        for rod in rods:
            row = named.get(rod.name) or (spare.pop(0) if spare else tomlkit.table())
            tables.append(row)
        document["rod"] = tables
    for row, rod in zip(document["rod"], rods, strict=True):
        _rod(row, rod)


def _rod(table: Table, rod: RodSetup) -> None:
    new = "line" not in table
    _set(table, "name", rod.name)
    spooled = ("line", "backing", "leader", *keys.SPOOLED)
    if rod.sections is None or len(table.get("section", [])) != len(rod.sections):
        table.pop("section", None)
    if isinstance(rod.lure, str) != isinstance(table.get("lure"), str):
        table.pop("lure", None)
    if rod.sections is None:
        _set(table, "line", keys.NO_LEADCORE if rod.line is None else rod.line)
        keys.LINE_OUT.write(table, rod.line_out)
        keys.ON_REEL.write(table, rod.on_reel, shown=new)
        if rod.needs_backing or rod.backing != table.get("backing", None if new else USUAL_BACKING):
            _set(table, "backing", rod.backing)
        _set(table, "leader", rod.leader)
        keys.LEADER_LENGTH.write(table, rod.leader_length)
    else:
        for key in spooled:
            table.pop(key, None)
    if isinstance(rod.lure, str):
        _set(table, "lure", rod.lure)
    for quantity in keys.TIP:
        quantity.write(table, getattr(rod, quantity.attribute), shown=new)
    if isinstance(rod.lure, Lure):
        write_lure(_table(table, "lure"), rod.lure)
    if rod.sections is not None:
        if "section" not in table:
            table["section"] = tomlkit.aot()
            for _ in rod.sections:
                table["section"].append(tomlkit.table())
        for row, section in zip(table["section"], rod.sections, strict=True):
            write_section(row, section)


def _motion(document: Table, setup: Setup) -> None:
    if setup.motion is None:
        document.pop("motion", None)
        return
    rows = [[tidy(t), tidy(u), tidy(DEGREE.from_si(h))] for t, u, h in setup.motion.table]
    _rows(_table(document, "motion"), "table", rows)
