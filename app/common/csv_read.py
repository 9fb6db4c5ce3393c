"""CSV as people's programs write it: what separates the cells, the rows, the words of a heading."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Sequence

from app.common import units
from app.common.bad_input import BadInput
from app.common.units import Unit

DELIMITERS = (",", ";", "\t", "|")

SHARE = Unit("percent", "%", 0.01)

UNIT_OF = {
    "ft": units.FOOT, "feet": units.FOOT, "foot": units.FOOT,
    "m": units.METER, "meter": units.METER, "meters": units.METER,
    "metre": units.METER, "metres": units.METER,
    "yd": units.YARD, "yds": units.YARD, "yards": units.YARD,
    "color": units.COLOR, "colors": units.COLOR,
    "kn": units.KNOT, "kt": units.KNOT, "kts": units.KNOT, "knot": units.KNOT,
    "knots": units.KNOT,
    "mph": units.MILE_PER_HOUR,
    "m/s": units.METER_PER_SECOND, "mps": units.METER_PER_SECOND, "ms": units.METER_PER_SECOND,
    "ft/s": units.FOOT_PER_SECOND,
    "s": units.SECOND, "sec": units.SECOND, "secs": units.SECOND, "second": units.SECOND,
    "seconds": units.SECOND,
    "%": SHARE, "percent": SHARE,
}  # fmt: skip
"""What people write for a unit in a heading."""

LENGTHS = (units.FOOT, units.METER, units.YARD, units.COLOR)
SPEEDS = (units.KNOT, units.MILE_PER_HOUR, units.METER_PER_SECOND, units.FOOT_PER_SECOND)


def delimiter_of(lines: Sequence[str]) -> str:
    """The one that cuts most of some lines into the same number of cells, 2 or more."""

    def fit(delimiter: str) -> tuple[float, int]:
        try:
            counts = [len(row) for row in csv.reader(lines, delimiter=delimiter) if row]
        except csv.Error:
            return 0.0, 0
        width = counts[0] if counts else 1
        if width < 2:
            return 0.0, 0
        return sum(count == width for count in counts) / len(counts), width

    return max(DELIMITERS, key=fit)


def rows_of(
    lines: Iterable[str], delimiter: str, name: str, allowed: str, first: int = 1
) -> Iterator[tuple[int, list[str]]]:
    """The rows that are not empty, each with the number of its line; ``first`` is the first's.

    ``name`` and ``allowed`` are for the message. Raises BadInput.
    """
    reader = csv.reader(lines, delimiter=delimiter, skipinitialspace=True)
    try:
        for cells in reader:
            if cells:
                yield reader.line_num + first - 1, cells
    except csv.Error as error:
        problem = f"line {reader.line_num + first - 1} is not CSV ({error})"
        raise BadInput(name, "", None, allowed, problem) from error


def words_of(heading: str) -> list[str]:
    """The words of a heading, and signs for units."""
    return re.findall(r"[a-z]+/?[a-z]+|[a-z]|%", heading.casefold().replace("_", " "))


def units_named(words: Iterable[str]) -> list[Unit]:
    """The units that words stand for, in their order."""
    return [UNIT_OF[word] for word in words if word in UNIT_OF]
