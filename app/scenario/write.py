"""A Setup into a TOML document, changing only what differs from what is there."""

from __future__ import annotations

from typing import Any

import tomlkit

from app.common.quantities import put, write_all
from app.common.tables import Table, set_rows, set_value, subtable
from app.common.units import DEGREE
from app.gear.tackle_file import write_boat, write_lure, write_section
from app.scenario import keys
from app.scenario.card_wish import CardWish, write_card
from app.scenario.limits import WAIT, Timing
from app.scenario.order_tables import write_line_orders, write_orders
from app.scenario.setup import USUAL_BACKING, RodSetup, Setup
from app.scenario.soundings import Soundings, write_soundings
from app.scenario.water_write import write_water
from physics.answers.doubt import Doubt
from physics.line.mesh import Resolution
from physics.line.tackle import Lure


def write_setup(document: Table, setup: Setup) -> None:
    """Bring a document (new and empty, or a user's own) up to date with a Setup."""
    new = not document
    set_value(document, "leadfall", keys.FORMAT)
    set_value(document, "name", setup.name)
    if setup.notes or "notes" in document:
        set_value(document, "notes", _words(setup.notes))
    write_water(subtable(document, "water"), setup.water)
    boat = subtable(document, "boat")
    if isinstance(setup.boat, str):
        _only(boat, "type")
        set_value(boat, "type", setup.boat)
    else:
        boat.pop("type", None)
        write_boat(boat, setup.boat)
    _helm(subtable(document, "helm"), setup)
    if setup.mark is None:
        document.pop("mark", None)
    else:
        write_all(keys.MARK, subtable(document, "mark"), setup.mark)
    if "timing" in document or setup.timing != Timing():
        write_all(keys.TIMING, subtable(document, "timing"), setup.timing)
    if "card" in document or setup.card != CardWish():
        write_card(subtable(document, "card"), setup.card)
    _rods(document, setup.rods)
    write_line_orders(document, setup.line_orders, [rod.name for rod in setup.rods])
    _motion(document, setup)
    if "doubt" in document or setup.doubt != Doubt():
        write_all(keys.DOUBT, subtable(document, "doubt"), setup.doubt)
    if "soundings" in document or setup.soundings != Soundings():
        write_soundings(subtable(document, "soundings"), setup.soundings)
    _run(document, setup, shown=new)


def _run(document: Table, setup: Setup, shown: bool) -> None:
    if not shown and "run" not in document and _runs_as_usual(setup):
        return
    run = subtable(document, "run")
    keys.DURATION.write(run, setup.duration, shown)
    for key in keys.ELEMENTS:
        count = getattr(setup.resolution, key)
        if key in run or count != getattr(Resolution(), key):
            set_value(run, key, count)
    keys.GRADING.write(run, setup.resolution.grading)


def _runs_as_usual(setup: Setup) -> bool:
    return setup.duration == keys.DURATION.default and setup.resolution == Resolution()


def _words(text: str) -> Any:
    return tomlkit.string(text, multiline=True) if "\n" in text and "\r" not in text else text


def _only(table: Table, *wanted: str) -> None:
    for key in [key for key in table if key not in wanted]:
        del table[key]


def _helm(table: Table, setup: Setup) -> None:
    new = not table
    _speed(table, setup)
    keys.HEADING.write(table, setup.heading, shown=new)
    for quantity, seconds in ((keys.HOLD, setup.hold), (WAIT, setup.wait)):
        if seconds is None:
            for key in quantity.keys:
                table.pop(key, None)
        else:
            put(table, quantity.keys, seconds)
    write_orders(table, setup.orders)


def _speed(table: Table, setup: Setup) -> None:
    """Under a key of the unit it is told in; a file in meters per second stays so for knots."""
    spelling = keys.HELM_SPEED.keys
    told = f"speed_{setup.speed_in}"
    for key in spelling:
        if (key == "speed_mph") != (told == "speed_mph"):
            table.pop(key, None)
    put(table, {told: spelling[told], **spelling}, setup.speed)


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
    set_value(table, "name", rod.name)
    spooled = ("line", "backing", "leader", *keys.SPOOLED)
    if rod.sections is None or len(table.get("section", [])) != len(rod.sections):
        table.pop("section", None)
    if isinstance(rod.lure, str) != isinstance(table.get("lure"), str):
        table.pop("lure", None)
    if rod.sections is None:
        set_value(table, "line", keys.NO_LEADCORE if rod.line is None else rod.line)
        keys.LINE_OUT.write(table, rod.line_out)
        keys.ON_REEL.write(table, rod.on_reel, shown=new)
        if rod.needs_backing or rod.backing != table.get("backing", None if new else USUAL_BACKING):
            set_value(table, "backing", rod.backing)
        set_value(table, "leader", rod.leader)
        keys.LEADER_LENGTH.write(table, rod.leader_length)
    else:
        for key in spooled:
            table.pop(key, None)
    if isinstance(rod.lure, str):
        set_value(table, "lure", rod.lure)
    for quantity in keys.TIP:
        quantity.write(table, getattr(rod, quantity.attribute), shown=new)
    if isinstance(rod.lure, Lure):
        write_lure(subtable(table, "lure"), rod.lure)
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
    rows = [(t, u, DEGREE.from_si(h)) for t, u, h in setup.motion.table]
    set_rows(subtable(document, "motion"), "table", rows)
