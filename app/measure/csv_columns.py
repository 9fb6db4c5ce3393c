"""A CSV file of measurements as columns: delimiter, headings, and what each is likely to be."""

from __future__ import annotations

import codecs
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from app.common import units
from app.common.bad_input import BadInput
from app.common.csv_read import LENGTHS, SHARE, SPEEDS, delimiter_of, rows_of, units_named, words_of
from app.common.csv_text import plain
from app.common.files import LARGEST_FILE, read_bytes
from app.common.units import Unit

ALLOWED = "a CSV file in UTF-8 with headings, at most 2 MB"

MOST_LINES = 5000
MOST_COLUMNS = 60

TIMES = (units.SECOND,)
SHARES = (units.PLAIN, SHARE)


@dataclass(frozen=True, slots=True)
class Measure:
    """One thing a column may hold: how a person calls it, its units, and words that betray it."""

    key: str
    label: str
    units: tuple[Unit, ...]
    words: tuple[str, ...]


MEASURES = (
    Measure("line_out", "line out", LENGTHS, ("line", "out", "colors", "color", "length")),
    Measure("start", "speed at the start", SPEEDS, ("start", "before", "initial")),
    Measure("speed", "speed", SPEEDS, ("speed", "sog", "stw", "knots", "kn", "kts", "mph")),
    Measure("hold", "hold", TIMES, ("hold", "held", "neutral")),
    Measure("share", "share of the speed left", SHARES, ("share", "fraction", "left", "percent")),
    Measure(
        "depth", "depth", LENGTHS, ("depth", "bottom", "deep", "sounder", "fell", "fallen", "feet")
    ),
    Measure(
        "seconds", "seconds", TIMES, ("seconds", "second", "sec", "time", "touch", "count", "s")
    ),
)
"""In the order in which a heading is tried."""

MEASURE = {measure.key: measure for measure in MEASURES}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, a few of its texts, and a guess at what it is.

    ``measure`` is a key of MEASURE or None, ``unit`` the one its heading names, or the
    first of the measure's; ``sure`` is whether the heading named the unit.
    """

    number: int
    heading: str
    examples: tuple[str, ...]
    measure: str | None
    unit: Unit | None
    sure: bool


@dataclass(frozen=True, slots=True)
class Table:
    """A file's columns and its lines of text, each with its line number in the file."""

    name: str
    delimiter: str
    columns: tuple[Column, ...]
    lines: tuple[tuple[int, tuple[str, ...]], ...]

    def column(self, heading: str) -> Column:
        """The column under a heading. Raises BadInput with those there are."""
        for column in self.columns:
            if column.heading == heading:
                return column
        there = ", ".join(repr(column.heading) for column in self.columns)
        raise BadInput(self.name, "", heading, f"one of {there}", "is not a column")


def read_table(path: Path) -> Table:
    """The columns of a CSV file. Raises BadInput."""
    return table_of(read_bytes(path, ALLOWED), str(path))


def table_of(data: bytes, name: str) -> Table:
    """The columns of a CSV file's bytes; ``name`` is what messages call it. Raises BadInput."""
    if len(data) > LARGEST_FILE:
        raise BadInput(name, "", None, ALLOWED, "is too large")
    text = _decoded(data, name)
    if not text.strip():
        raise BadInput(name, "", None, ALLOWED, "is empty")
    written = text.splitlines()
    delimiter = delimiter_of([line for line in written if line.strip()][:20])
    every = (
        (number, tuple(plain(cell.strip()) for cell in cells))
        for number, cells in rows_of(written, delimiter, name, ALLOWED)
    )
    rows = [(number, cells) for number, cells in every if any(cells)]
    if not rows:
        raise BadInput(name, "", None, ALLOWED, "is empty")
    if (many := len(rows[0][1])) > MOST_COLUMNS:
        raise BadInput(name, "", many, f"at most {MOST_COLUMNS} columns")
    headings = _headings(rows[0][1])
    lines = rows if headings is None else rows[1:]
    if headings is None:
        headings = [f"column {i}" for i in range(1, len(rows[0][1]) + 1)]
    if not lines:
        raise BadInput(name, "", None, ALLOWED, "has headings but no lines under them")
    if len(lines) > MOST_LINES:
        raise BadInput(name, "", len(lines), f"at most {MOST_LINES} lines")
    columns = []
    for number, heading in enumerate(headings):
        texts = [cells[number] for _, cells in lines if number < len(cells) and cells[number]]
        columns.append(_column(number, heading, texts[:3]))
    return Table(name, delimiter, _once_each(columns), tuple(lines))


def _decoded(data: bytes, name: str) -> str:
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        problem = f"line {line} is not UTF-8 text (save it again as CSV UTF-8)"
        raise BadInput(name, "", None, ALLOWED, problem) from error
    if "\0" in text:
        raise BadInput(name, "", None, ALLOWED, "is not text")
    return text


def _headings(cells: Sequence[str]) -> list[str] | None:
    """The headings in the first line; None where it holds numbers only."""
    if all(not cell or re.fullmatch(r"[-+\d.,eE]+", cell) for cell in cells):
        return None
    out: list[str] = []
    for number, cell in enumerate(cells, start=1):
        heading = "".join(c if c.isprintable() else " " for c in cell)[:60] or f"column {number}"
        while heading in out:
            heading = f"{heading} ({number})"
        out.append(heading)
    return out


def _column(number: int, heading: str, examples: Sequence[str]) -> Column:
    words = words_of(heading)
    named = units_named(reversed(words))
    for measure in MEASURES:
        if any(word in measure.words for word in words):
            fitting = [unit for unit in named if unit in measure.units]
            if named and not fitting:
                continue
            unit = fitting[0] if fitting else measure.units[0]
            return Column(number, heading, tuple(examples), measure.key, unit, bool(fitting))
    return Column(number, heading, tuple(examples), None, named[0] if named else None, bool(named))


def _once_each(columns: Sequence[Column]) -> tuple[Column, ...]:
    """Only the first column that looks like a thing is taken for it."""
    seen: set[str] = set()
    out = []
    for column in columns:
        if column.measure in seen:
            column = Column(
                column.number, column.heading, column.examples, None, column.unit, False
            )
        elif column.measure is not None:
            seen.add(column.measure)
        out.append(column)
    return tuple(out)
