"""The tables of a scenario file into a Setup, each value checked where it stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from app.common.bad_input import BadInput
from app.common.quantities import optional, read_all
from app.common.reading import Reader
from app.common.units import DEGREE
from app.gear.catalog import Catalog
from app.gear.tackle_file import read_boat, read_lure, read_section
from app.scenario import keys
from app.scenario.card_wish import read_card
from app.scenario.limits import WAIT, Timing
from app.scenario.order_tables import MOST_ORDERS, read_line_order, read_order
from app.scenario.setup import RodSetup, Setup
from app.scenario.soundings import read_soundings
from app.scenario.water_read import read_water
from physics.answers.doubt import Doubt
from physics.checks import InvalidValue
from physics.environment.water import Water
from physics.line.mesh import RESOLUTION_LIMITS, Resolution
from physics.line.tackle import Lure
from physics.simulation.scenario import MOST_RODS, Mark
from physics.vessel.boat import Boat
from physics.vessel.motion import PrescribedMotion


def read_setup(tables: Mapping[str, Any], file: str) -> Setup:
    """A Setup from parsed TOML; catalog names are not looked up yet. Raises BadInput."""
    top = Reader(tables, file)
    _check_version(top)
    top.only("leadfall", *keys.TOP)
    name, notes = top.text("name"), top.words("notes")
    water = read_water(top.table("water"))
    boat = _boat(top.table("boat"))
    helm = top.table("helm")
    speed, heading = keys.HELM_SPEED.read(helm), keys.HEADING.read(helm)
    hold, wait = optional(keys.HOLD, helm), optional(WAIT, helm)
    orders = tuple(read_order(row) for row in helm.tables("orders", 0, MOST_ORDERS, "order"))
    helm.done()
    mark = _mark(top.table("mark"), water) if top.has("mark") else None
    timing = _timing(top.table("timing"))
    rods = tuple(_rod(row) for row in top.tables("rod", 1, MOST_RODS))
    told = top.tables("line_orders", 0, MOST_ORDERS, "line order")
    line_orders = tuple(read_line_order(row, [rod.name for rod in rods]) for row in told)
    motion = _motion(top.table("motion")) if top.has("motion") else None
    doubt = _doubt(top.table("doubt"))
    run = top.table("run")
    duration, resolution = keys.DURATION.read(run), _resolution(run)
    return Setup(
        name, water, boat, rods, notes, speed, heading, mark, orders, motion,
        duration, hold, resolution, doubt, timing, line_orders,
        read_soundings(top.table("soundings")), "mph" if helm.has("speed_mph") else "kn",
        read_card(top.table("card")), wait,
    )  # fmt: skip


def check_setup(setup: Setup, catalog: Catalog, tables: Mapping[str, Any], file: str) -> None:
    """Look up the tackle and check the whole; what is refused is named as in the file."""
    try:
        setup.scenario(catalog)
    except InvalidValue as error:
        raise _in_file(error, tables, file) from error


def _check_version(top: Reader) -> None:
    version = top.whole("leadfall", 1, 10**6)
    if version > keys.FORMAT:
        top.refuse(
            "leadfall",
            f"{keys.FORMAT}",
            "was written by a newer Leadfall than this one",
        )


def _boat(reader: Reader) -> str | Boat:
    if reader.has("type"):
        name = reader.text("type")
        reader.done()
        return name
    if not reader.raw:
        reader.refuse("type", "the name of a boat in the catalog, or a boat's own values")
    return read_boat(reader)


def _mark(reader: Reader, water: Water) -> Mark:
    depth, time, band = keys.MARK
    depth_m = reader.quantity(depth.keys, depth.low, min(depth.high, water.bottom.deepest))
    mark = Mark(depth_m, time.read(reader), band.read(reader))
    reader.done()
    return mark


def _timing(reader: Reader) -> Timing:
    out = Timing(**read_all(keys.TIMING, reader))
    reader.done()
    return out


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
        if RodSetup(name=name, **values).needs_backing or reader.has("backing"):
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
    except InvalidValue as error:
        raise BadInput(reader.file, reader.where("table"), error.value, error.allowed) from error


def _doubt(reader: Reader) -> Doubt:
    out = Doubt(**read_all(keys.DOUBT, reader))
    reader.done()
    return out


def _resolution(reader: Reader) -> Resolution:
    usual, counts = Resolution(), {}
    for key in keys.ELEMENTS:
        low, high, _ = RESOLUTION_LIMITS[key]
        counts[key] = reader.whole(key, int(low), int(high), getattr(usual, key))
    out = Resolution(**counts, grading=keys.GRADING.read(reader))
    reader.done()
    return out


def _in_file(error: InvalidValue, tables: Mapping[str, Any], file: str) -> BadInput:
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
