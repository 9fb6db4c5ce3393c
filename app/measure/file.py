"""The sheet of measurements: lines of numbers of four kinds, kept in the user's folder."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field, fields, replace
from math import hypot, isfinite
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.csv_text import as_csv
from app.common.files import (
    LARGEST_FILE,
    is_there,
    make_folder,
    read_text,
    set_aside,
    write_safely,
)
from app.common.locks import held
from app.common.merging import merged_rows, merged_value
from app.common.quantities import Quantity, spell
from app.common.resources import user_folder
from app.common.scales import FINE_LENGTH, Scales, always
from app.common.units import KNOT, SECOND
from app.gear.catalog import Catalog
from app.gear.measured_kinds import KINDS
from app.scenario.setup import RodSetup
from physics.calibration.measured import (
    FELT,
    HAND,
    LOGGED,
    MARKED,
    READ_OFF,
    SOUNDED,
    UNKNOWN_CURRENT,
    Row,
)
from physics.checks import InvalidValue, Limits, require_number

FILE = "measured.csv"

MEASURES = ("start", "speed", "line_out", "hold", "seconds", "depth")

WORDS = {
    "start": "speed before",
    "speed": "speed",
    "line_out": "line out",
    "hold": "hold",
    "seconds": "seconds",
    "depth": "depth",
}

HEADER = ("kind", *MEASURES)

OVER_GROUND = ("speed", "over ground")
"""The line of a file that says so of its speeds."""


@dataclass(frozen=True, slots=True)
class Line:
    """One measurement as typed: its ``kind`` and its numbers, SI; None where none is typed yet."""

    kind: str
    start: float | None = None
    speed: float | None = None
    line_out: float | None = None
    hold: float | None = None
    seconds: float | None = None
    depth: float | None = None

    def numbers(self) -> dict[str, float]:
        """Those that are typed."""
        given = {key: getattr(self, key) for key in MEASURES}
        return {key: value for key, value in given.items() if value is not None}


ERROR_LIMITS = Limits(1e-3, 50.0)
"""How far off a reading may be said to be, standard deviation: m, s, m/s."""


@dataclass(frozen=True, slots=True)
class Errors:
    """How far off the readings may be, standard deviations: m, s, m/s (all assumed)."""

    marked: float = MARKED
    sounded: float = SOUNDED
    hand: float = HAND
    felt: float = FELT
    read_off: float = READ_OFF
    logged: float = LOGGED

    def __post_init__(self) -> None:
        for part in fields(self):
            require_number(part.name, getattr(self, part.name), *ERROR_LIMITS)


def _error(name: str, unit: str, scales: Scales) -> Quantity:
    return Quantity(name, spell(name, unit), ERROR_LIMITS, getattr(Errors(), name), scales)


ERROR_SIZES = {
    "marked": _error("marked", "m", FINE_LENGTH),
    "sounded": _error("sounded", "m", FINE_LENGTH),
    "hand": _error("hand", "s", always(SECOND, 2, 0.1)),
    "felt": _error("felt", "s", always(SECOND, 2, 0.1)),
    "read_off": _error("read_off", "s", always(SECOND, 2, 0.1)),
    "logged": _error("logged", "mps", always(KNOT, 2, 0.1)),
}
"""The numbers of Errors."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """All measurements, how far off they may be, and whether speeds are ``over_ground``."""

    lines: tuple[Line, ...] = ()
    errors: Errors = field(default_factory=Errors)
    over_ground: bool = False

    @property
    def errors_as_taken(self) -> Errors:
        """With a current nobody knows in the speeds, if they are over ground."""
        if not self.over_ground:
            return self.errors
        return replace(self.errors, logged=hypot(self.errors.logged, UNKNOWN_CURRENT))


def row_of(line: Line, number: int, errors: Errors, rod: RodSetup, catalog: Catalog) -> Row:
    """A line as physics has it; ``number`` is what messages call it. Raises BadInput."""
    where = f"line {number}"
    kind = KINDS[line.kind]
    for key in kind.numbers:
        if getattr(line, key) is None and key != "line_out":
            raise BadInput("measurements", f"{where}, {WORDS[key]}", None, "a number", "is empty")
    n = line.numbers()
    try:
        out = None
        if "line_out" in n and rod.sections is None:
            out = replace(rod, line_out=n["line_out"]).rod(catalog)
        return kind.row(n, out, errors)
    except InvalidValue as error:
        key = error.field.rpartition(": ")[2]
        told = WORDS.get(key, key)
        raise BadInput("measurements", f"{where}, {told}", error.value, error.allowed) from error


def lines_of(rows: tuple[Row, ...]) -> tuple[Line, ...]:
    """Rows read from a file, as lines of the sheet."""
    out = []
    for row in rows:
        numbers = {
            key: float(getattr(row, key)) for key in KINDS[row.kind].numbers if hasattr(row, key)
        }
        rod = getattr(row, "rod", None)
        if rod is not None:
            numbers["line_out"] = sum(section.length for section in rod.sections[:-1])
        out.append(Line(row.kind, **numbers))
    return tuple(out)


def place() -> Path:
    """Where the sheet is kept; the file may not exist."""
    return user_folder() / FILE


def save(sheet: Sheet) -> None:
    """Keep a sheet in the user's folder. Raises BadInput."""
    path = place()
    rows: list[tuple[str, ...]] = [HEADER]
    for line in sheet.lines:
        cells = [getattr(line, key) for key in MEASURES]
        rows.append((line.kind, *("" if cell is None else repr(cell) for cell in cells)))
    for part in fields(sheet.errors):
        value = getattr(sheet.errors, part.name)
        if value != getattr(Errors(), part.name):
            rows.append((f"error {part.name}", repr(value)))
    if sheet.over_ground:
        rows.append(OVER_GROUND)
    text = as_csv(rows)
    if len(text) > LARGEST_FILE:
        # it could not be read again
        problem = f"are too many ({len(sheet.lines)} lines)"
        raise BadInput("measurements", "", None, "at most 2 MB of them", problem)
    make_folder(path.parent)
    write_safely(path, text)


def merged(base: Sheet, mine: Sheet, theirs: Sheet) -> Sheet:
    """``theirs`` with what was done from ``base`` to ``mine`` done to it."""
    errors = {
        part.name: merged_value(*(getattr(each.errors, part.name) for each in (base, mine, theirs)))
        for part in fields(Errors)
    }
    return Sheet(
        merged_rows(base.lines, mine.lines, theirs.lines),
        Errors(**errors),
        merged_value(base.over_ground, mine.over_ground, theirs.over_ground),
    )


def update(base: Sheet, mine: Sheet) -> tuple[Sheet, Path | None]:
    """Do to the sheet that is kept what was done from ``base`` to ``mine``; what it is then.

    Another window of the program may have written to it since ``base``. Second: where one that
    can no longer be read went, or None. Raises BadInput, also when such a one cannot be moved.
    """
    path, aside = place(), None
    with held(path):
        try:
            theirs = load() if is_there(path) else base
        except BadInput:
            aside = set_aside(path)
            if aside is None:
                raise
            theirs = base
        sheet = merged(base, mine, theirs)
        save(sheet)
    return sheet, aside


def load() -> Sheet:
    """The sheet kept in the user's folder, or an empty one if there is none. Raises BadInput."""
    path = place()
    return _parsed(read_text(path, "CSV"), str(path)) if is_there(path) else Sheet()


def _rows(text: str, name: str) -> list[list[str]]:
    try:
        return list(csv.reader(io.StringIO(text)))
    except csv.Error as error:
        raise BadInput(name, "", None, "a CSV file", f"is not one ({error})") from error


def _number(cell: str) -> float:
    value = float(cell)
    if not isfinite(value):
        raise ValueError(cell)
    return value


def _parsed(text: str, name: str) -> Sheet:
    lines: list[Line] = []
    errors: dict[str, float] = {}
    rows = _rows(text, name)
    if not rows or tuple(rows[0]) != HEADER:
        raise BadInput(name, "line 1", ",".join(rows[0]) if rows else "", ",".join(HEADER))
    over_ground = False
    for number, cells in enumerate(rows[1:], 2):
        if not cells:
            continue
        if tuple(cells) == OVER_GROUND:
            over_ground = True
            continue
        kind, rest = cells[0], cells[1:]
        where = f"line {number}"
        try:
            values = [_number(cell) if cell else None for cell in rest]
        except ValueError:
            raise BadInput(name, where, ",".join(rest), "numbers") from None
        if kind in KINDS and len(values) == len(MEASURES):
            pairs = zip(MEASURES, values, strict=True)
            lines.append(Line(kind, **dict(pairs)))
        elif kind.startswith("error ") and len(values) == 1 and values[0] is not None:
            errors[kind.removeprefix("error ")] = values[0]
        else:
            raise BadInput(name, where, kind, "one of " + ", ".join(KINDS))
    try:
        return Sheet(tuple(lines), Errors(**errors), over_ground)
    except (InvalidValue, TypeError) as error:
        raise BadInput(name, "", None, "errors the program has written", str(error)) from error
