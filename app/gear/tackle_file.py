"""Lures, lines and boats as TOML tables, in the shipped assets and in a user's files alike."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from app.common.bad_input import BadInput
from app.common.quantities import LENGTH, SPEED, Quantity, put, read_all, spell, write_all
from app.common.reading import Reader, Spelling, nearest
from physics.checks import InvalidValue, Limits
from physics.line import tackle
from physics.line.tackle import LURE_KINDS, LURE_LIMITS, SECTION_LIMITS, LineSection, Lure
from physics.vessel.boat import BOAT_LIMITS, Boat

Made = TypeVar("Made", Lure, LineSection, Boat)


def _quantity(
    limits: Mapping[str, Limits], attribute: str, keys: Spelling, default: float | None = None
) -> Quantity:
    return Quantity(attribute, keys, limits[attribute], default)


_lure = partial(_quantity, LURE_LIMITS)
_line = partial(_quantity, SECTION_LIMITS)
_boat = partial(_quantity, BOAT_LIMITS)

LURE = (
    _lure("mass", spell("mass", "g", "oz", "kg")),
    _lure("volume", spell("volume", "ml", "m3")),
    _lure("length", spell("length", "in", "mm", "m")),
    _lure("end_area", spell("end_area", "cm2", "m2")),
    _lure("broadside_area", spell("broadside_area", "cm2", "m2")),
    _lure("mass_center", spell("mass_center"), 0.5),
    _lure("volume_center", spell("volume_center"), 0.5),
    _lure("lip_area", spell("lip_area", "cm2", "m2"), 0.0),
    # a file from before swings were told is read as what its lure was computed with
    _lure("swing", spell("swing", "deg"), 0.0),
    Quantity(
        "added_mass_across", spell("added_mass_across"), LURE_LIMITS["added_mass_across"], 0.9
    ),
    _lure("added_mass_along", spell("added_mass_along"), 0.15),
)

LINE = (
    _line("diameter", spell("diameter", "mm", "in", "m")),
    Quantity(
        "mass_per_length",
        spell("mass", "g_per_m", "gr_per_10ft", "kg_per_m"),
        SECTION_LIMITS["mass_per_length"],
    ),
    _line("stiffness", spell("stiffness", "n", "lb")),
    _line("drag_multiplier", spell("drag_multiplier"), 1.0),
    _line("tangential_drag", spell("tangential_drag"), 0.012),
    _line("flooded", spell("flooded"), 0.0),
    _line("strength", spell("strength", "lb", "n"), 0.0),
)

SECTION = (
    _line("length", spell("length", *LENGTH)),
    *LINE,
    _line("added_mass", spell("added_mass"), 1.0),
)

NORMAL_DRAG = Quantity("normal_drag", spell("normal_drag"), tackle.NORMAL_DRAG)

BOAT = (
    _boat("trolling_speed", spell("trolling_speed", *SPEED)),
    _boat("half_time", spell("half_time", "s")),
    _boat("exponent", spell("exponent"), 2.0),
    _boat("propeller_drag", spell("propeller_drag"), 0.0),
    _boat("one_engine", spell("one_engine"), 0.65),
    _boat("idle_speed", spell("idle_speed", *SPEED), 1.3),
    _boat("shift_time", spell("shift_time", "s"), 0.7),
    _boat("idle_time", spell("idle_time", "s"), 0.8),
    _boat("throttle_time", spell("throttle_time", "s"), 3.0),
    _boat("leeway", spell("leeway"), 0.05),
)


@dataclass(frozen=True, slots=True)
class LineKind:
    """A kind of line off the spool: what a LineSection needs besides its length.

    ``role`` is ``leadcore``, ``backing`` or ``leader``; ``diameter`` m,
    ``mass_per_length`` kg/m, ``stiffness`` EA in N, drag and ``strength`` as in LineSection.
    """

    name: str
    role: str
    diameter: float
    mass_per_length: float
    stiffness: float
    drag_multiplier: float = 1.0
    tangential_drag: float = 0.012
    flooded: float = 0.0
    strength: float = 0.0

    def section(self, length: float) -> LineSection:
        """``length`` m of this line. Raises physics InvalidValue."""
        return LineSection(
            self.name,
            length,
            self.diameter,
            self.mass_per_length,
            self.stiffness,
            self.drag_multiplier,
            self.tangential_drag,
            flooded=self.flooded,
            strength=self.strength,
        )


def read_lure(reader: Reader) -> Lure:
    """A lure from its table. Raises BadInput."""
    name = reader.text("name")
    kind = reader.choice("kind", LURE_KINDS)
    values = read_all(LURE, reader)
    isotropic = reader.flag("isotropic")
    reader.done()
    return build(reader, Lure, name=name, kind=kind, isotropic=isotropic, **values)


def read_section(reader: Reader) -> LineSection:
    """A length of line from its table. Raises BadInput."""
    name = reader.text("name")
    values: dict[str, Any] = read_all(SECTION, reader)
    if reader.has("normal_drag"):
        values["normal_drag"] = NORMAL_DRAG.read(reader)
    reader.done()
    return build(reader, LineSection, name=name, **values)


def read_line_kind(reader: Reader, role: str) -> LineKind:
    """A kind of line from its table. Raises BadInput."""
    name = reader.text("name")
    values = read_all(LINE, reader)
    reader.done()
    kind = LineKind(name, role, **values)
    build(reader, LineSection, name=name, length=1.0, **values)
    return kind


def read_boat(reader: Reader) -> Boat:
    """A boat from its table. Raises BadInput."""
    name = reader.text("name")
    values = read_all(BOAT, reader)
    engines = reader.whole("engines", 1, 2)
    reader.done()
    return build(reader, Boat, name=name, engines=engines, **values)


def write_lure(table: MutableMapping[str, Any], lure: Lure) -> None:
    """Put a lure into its table."""
    table["name"], table["kind"] = lure.name, lure.kind
    write_all(LURE, table, lure)
    if lure.isotropic or "isotropic" in table:
        table["isotropic"] = lure.isotropic


def write_line_kind(table: MutableMapping[str, Any], kind: LineKind) -> None:
    """Put a kind of line into its table; its role is the name of the table."""
    table["name"] = kind.name
    write_all(LINE, table, kind)


def write_section(table: MutableMapping[str, Any], section: LineSection) -> None:
    """Put a length of line into its table."""
    table["name"] = section.name
    write_all(SECTION, table, section)
    if section.normal_drag is not None:
        put(table, NORMAL_DRAG.keys, section.normal_drag)
    else:
        table.pop("normal_drag", None)


def write_boat(table: MutableMapping[str, Any], boat: Boat) -> None:
    """Put a boat into its table."""
    table["name"] = boat.name
    write_all(BOAT, table, boat)
    table["engines"] = boat.engines


def build(reader: Reader, make: type[Made], **values: Any) -> Made:
    """Make a physics value; what physics refuses becomes BadInput at the nearest key."""
    try:
        return make(**values)
    except InvalidValue as error:
        raise bad_input(error, reader) from error


def bad_input(error: InvalidValue, reader: Reader) -> BadInput:
    """What physics refused, as the file and key a person can go and mend.

    The key is the written one whose name is nearest the refused field; when
    there is none, the field itself is named.
    """
    field = error.field.rpartition(": ")[2]
    written = [key for key in reader.raw if not isinstance(reader.raw[key], dict | list)]
    start = [key for key in written if key == field or key.startswith(f"{field}_")]
    key = start[0] if start else nearest(field, written)
    if key is None:
        return BadInput(reader.file, reader.where(field), error.value, error.allowed)
    return BadInput(reader.file, reader.where(key), reader.raw[key], error.allowed)
