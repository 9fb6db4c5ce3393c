"""Measurements from the columns of a CSV file, and an honest list of the lines refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.common.bad_input import BadInput, shortened
from app.common.typed_number import number
from app.common.units import Unit
from app.gear.catalog import Catalog
from app.gear.measured_kinds import KINDS
from app.measure.csv_columns import MEASURE, Column, Table
from app.scenario.setup import RodSetup
from physics.calibration.measured import Row, coast_to_share
from physics.checks import InvalidValue

COMMAS = "a number; where commas are decimal, columns parted by semicolons"


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the user takes a column for: a key of measured_table.MEASURE, and its unit."""

    heading: str
    measure: str
    unit: Unit


@dataclass(frozen=True, slots=True)
class Rejected:
    """A line left out: its number in the file, the column's heading, what stands there, why."""

    line: int
    column: str
    value: str
    reason: str

    def __str__(self) -> str:
        what = f"{self.column}: {shortened(repr(self.value))}" if self.value else self.column
        return f"line {self.line}, {what}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Read:
    """Rows for a fit, the line each came from, and the lines that gave none."""

    rows: tuple[Row, ...]
    lines: tuple[int, ...]
    rejected: tuple[Rejected, ...]


def guessed(table: Table) -> tuple[Chosen, ...]:
    """What the headings suggest, for the user to correct."""
    return tuple(
        Chosen(column.heading, column.measure, column.unit)
        for column in table.columns
        if column.measure is not None and column.unit is not None
    )


def kind_of(table: Table) -> str | None:
    """The kind of measurement the headings suggest, or None."""
    there = {choice.measure for choice in guessed(table)}
    for kind in ("drop", "tow", "dock", "coast"):
        if set(KINDS[kind].needed) <= there and (kind != "coast" or there & {"speed", "share"}):
            return kind
    return None


def measurements(
    table: Table,
    kind: str,
    chosen: tuple[Chosen, ...],
    *,
    rod: RodSetup | None = None,
    catalog: Catalog | None = None,
    start: float | None = None,
) -> Read:
    """The rows of one kind in a file, SI.

    A column of line out makes each row's own rod of ``rod``, looked up in ``catalog``. A
    coast-down starts at its start column, else at ``start`` m/s, else its first line is the
    start. Raises BadInput when a column is missing, taken twice, or in a unit of another kind.
    """
    columns = _columns(table, kind, chosen)
    if "line_out" in columns and (rod is None or catalog is None):
        raise BadInput(table.name, "", "line out", "a rod to put that line on", "has no rod")
    values: list[tuple[int, dict[str, float]]] = []
    rejected: list[Rejected] = []
    for line, cells in table.lines:
        found = _values(table, line, cells, columns)
        if isinstance(found, Rejected):
            rejected.append(found)
        else:
            values.append((line, found))
    if kind == "coast" and values and "start" not in columns and start is None:
        if "share" in columns and "speed" not in columns:
            raise BadInput(
                table.name, "", None, "a column or a number for it", "says no start speed"
            )
        line, first = values.pop(0)
        start, began = first["speed"], first["seconds"]
        values = [(n, {**row, "seconds": row["seconds"] - began}) for n, row in values]
        if not values:
            rejected.append(Rejected(line, "speed", "", "a table needs a second line"))
    rows: list[Row] = []
    lines: list[int] = []
    for line, row in values:
        try:
            rows.append(_row(kind, row, rod, catalog, start))
        except InvalidValue as error:
            rejected.append(_refused(line, error, columns))
        else:
            lines.append(line)
    rejected.sort(key=lambda each: each.line)
    return Read(tuple(rows), tuple(lines), tuple(rejected))


def _columns(table: Table, kind: str, chosen: tuple[Chosen, ...]) -> dict[str, tuple[Column, Unit]]:
    if kind not in KINDS:
        raise BadInput(table.name, "", kind, "one of " + ", ".join(KINDS))
    needed, optional = KINDS[kind].needed, KINDS[kind].optional
    out: dict[str, tuple[Column, Unit]] = {}
    for choice in chosen:
        if choice.measure not in (*needed, *optional):
            continue
        measure = MEASURE[choice.measure]
        if choice.measure in out:
            raise BadInput(
                table.name, "", choice.heading, f"one column for {measure.label}", "is a second one"
            )
        if choice.unit not in measure.units:
            allowed = ", ".join(unit.name or "a plain number" for unit in measure.units)
            raise BadInput(
                table.name,
                choice.heading,
                choice.unit.name,
                allowed,
                f"is no unit of {measure.label}",
            )
        out[choice.measure] = table.column(choice.heading), choice.unit
    missing = [MEASURE[key].label for key in needed if key not in out]
    if kind == "coast" and "speed" not in out and "share" not in out:
        missing.append("speed or share of the speed left")
    if missing:
        there = ", ".join(repr(column.heading) for column in table.columns)
        raise BadInput(
            table.name, "", None, f"choose one of {there}", f"has no column for {missing[0]}"
        )
    return out


def _values(
    table: Table, line: int, cells: tuple[str, ...], columns: Mapping[str, tuple[Column, Unit]]
) -> dict[str, float] | Rejected:
    """The SI values of one line."""
    if len(cells) > len(table.columns):
        counts = f"{len(cells)} fields under {len(table.columns)} headings"
        return Rejected(line, counts, "", f"allowed: {COMMAS}")
    out = {}
    for key, (column, unit) in columns.items():
        text = cells[column.number] if column.number < len(cells) else ""
        if not text:
            return Rejected(line, column.heading, "", "is empty")
        try:
            out[key] = unit.to_si(number(text, table.delimiter))
        except ValueError as error:
            return Rejected(line, column.heading, text, str(error))
    return out


def _row(
    kind: str,
    value: dict[str, float],
    rod: RodSetup | None,
    catalog: Catalog | None,
    start: float | None,
) -> Row:
    if kind == "coast":
        begun = value.get("start", start)
        assert begun is not None
        if "speed" not in value:
            return coast_to_share(begun, value["share"], value["seconds"])
        value = {**value, "start": begun}
    out = None
    if "line_out" in value and rod is not None and catalog is not None:
        out = replace(rod, line_out=value["line_out"]).rod(catalog)
    return KINDS[kind].row(value, out)


def _refused(
    line: int, error: InvalidValue, columns: Mapping[str, tuple[Column, Unit]]
) -> Rejected:
    """What physics would not take, in the column it stands in and in its unit."""
    key = error.field.rpartition(": ")[2]
    if key not in columns:
        return Rejected(line, key, "", f"{error.value} is not usable; allowed: {error.allowed}")
    column, unit = columns[key]
    value = error.value
    shown = unit.text(value, 2) if isinstance(value, int | float) else str(value)
    return Rejected(line, column.heading, shown, f"is not usable; allowed: {error.allowed}")
