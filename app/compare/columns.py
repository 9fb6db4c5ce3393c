"""What the candidates come to: the columns of the table, and table and curves as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from app.common.csv_text import as_csv, safe
from app.common.units import COLOR, DEGREE, KNOT, SECOND, Unit
from app.compare.candidates import Lineup
from app.compare.job import AFTER
from app.compare.model import Comparison, Row

NONE = "–"
PENDING = "…"


@dataclass(frozen=True, slots=True)
class Units:
    """The units on screen."""

    length: Unit
    rate: Unit
    pull: Unit


@dataclass(frozen=True, slots=True)
class Column:
    """One figure of a candidate.

    ``head`` in two lines, ``tip`` what it means, ``value`` in SI from a row whose
    fall (``of`` ``fall``) or drop is known, ``unit`` of it, ``absent`` what to say
    for a value of None.
    """

    key: str
    head: str
    tip: str
    of: str
    value: Callable[[Row, Lineup], float | None]
    unit: Callable[[Units], Unit]
    absent: Callable[[Row], str] = lambda _row: NONE


def _rate(row: Row, _lineup: Lineup) -> float | None:
    return row.fall.rate if row.fall is not None else None


def _of_drop(name: str) -> Callable[[Row, Lineup], float | None]:
    return lambda row, _lineup: getattr(row.drop, name)


def _deepest(row: Row, _lineup: Lineup) -> float | None:
    return None if row.drop is None else row.drop.deepest[1]


def _seconds_to(row: Row, lineup: Lineup) -> float | None:
    return None if row.drop is None else row.drop.seconds_to(lineup.depth)


def _not_lifted(row: Row) -> str:
    return f"over {AFTER:.0f}" if row.drop is not None and row.drop.dropped else NONE


COLUMNS = (
    Column("alone", "Sinks\nalone", "Rate it settles to by itself in still water; a minus rises",
           "fall", _rate, lambda u: u.rate),
    Column("runs", "Runs\nat", "Depth in steady tow before the drop",
           "drop", _of_drop("run_depth"), lambda u: u.length),
    Column("deepest", "Deepest\nat", "How deep it gets, most of them after the boat is in gear",
           "drop", _deepest, lambda u: u.length),
    Column("gained", "Gained\nin hold", "Depth gained from out of gear until back in gear; "
           "a minus rose", "drop", _of_drop("gained"), lambda u: u.length),
    Column("reaches", "Down to\ndepth", "Seconds out of gear until it is at the chosen depth",
           "drop", _seconds_to, lambda _u: SECOND, lambda _row: "never"),
    Column("sinks_on", "Sinks\non", "Seconds it goes on sinking once the boat is back in gear",
           "drop", _of_drop("sinks_on"), lambda _u: SECOND),
    Column("lift", "Lift\ntime", "Seconds from deepest until it has a tenth of what it gained "
           "left to rise", "drop", _of_drop("lift_time"), lambda _u: SECOND, _not_lifted),
    Column("pull", "Pull,\ntowed", "Pull of the line on the rod tip in steady tow",
           "drop", _of_drop("pull"), lambda u: u.pull),
    Column("least_pull", "Least\npull", "Least pull on the rod tip in the drop",
           "drop", _of_drop("least_pull"), lambda u: u.pull),
)  # fmt: skip


def known(column: Column, row: Row) -> bool:
    """Whether what a figure is made of is known, and of the candidate as it is now."""
    return getattr(row, column.of) is not None and column.of not in row.stale


def figure(column: Column, row: Row, lineup: Lineup, units: Units) -> float | None:
    """A figure in the unit on screen; None if there is none."""
    value = column.value(row, lineup) if known(column, row) else None
    return None if value is None else column.unit(units).from_si(value)


def text(column: Column, row: Row, lineup: Lineup, units: Units) -> str:
    """A figure as it stands in the table."""
    if not known(column, row):
        applies = not row.trouble and not (column.of == "drop" and row.candidate.alone)
        return PENDING if applies else NONE
    value = figure(column, row, lineup, units)
    if value is None:
        return column.absent(row)
    if column.key == "reaches" and value <= 0.0:
        return "runs there"
    digits = 2 if column.key == "alone" else 1
    return f"{value:z.{digits}f}".replace("-", "−")


def order(
    rows: Sequence[Row], lineup: Lineup, units: Units, key: str | None, descending: bool
) -> list[Row]:
    """The rows by one figure (or by name), what has none last; as they are for a key of None."""
    if key is None:
        return list(rows)
    if key == "name":
        return sorted(rows, key=lambda row: row.candidate.name.casefold(), reverse=descending)
    column = next(column for column in COLUMNS if column.key == key)
    have, rest = [], []
    for row in rows:
        value = figure(column, row, lineup, units)
        if value is None:
            rest.append(row)
        else:
            have.append((value, row))
    have.sort(key=lambda pair: pair[0], reverse=descending)
    return [row for _, row in have] + rest


def heading(column: Column, lineup: Lineup, units: Units) -> str:
    """A column's heading in one line, with its unit."""
    words = column.head.replace("-\n", "").replace("\n", " ")
    if column.key == "reaches":
        words = f"Down to {units.length.text(lineup.depth)}"
    return f"{words} ({column.unit(units).symbol})"


def as_rows(rows: Sequence[Row], lineup: Lineup, units: Units) -> list[list[str]]:
    """The table with its headings, in the units on screen; figures keep a plain minus."""
    head = ["Candidate", "Tackle", *(heading(column, lineup, units) for column in COLUMNS), "Note"]
    out = [head]
    for row in rows:
        cells = [text(column, row, lineup, units).replace("−", "-") for column in COLUMNS]
        out.append([row.candidate.name, row.candidate.words(units.length), *cells, row.trouble])
    return out


def as_tabs(rows: Sequence[Row], lineup: Lineup, units: Units) -> str:
    """The table with tabs between, for a spreadsheet."""
    lines = ("\t".join(str(safe(cell)) for cell in row) for row in as_rows(rows, lineup, units))
    return "".join(f"{line}\n" for line in lines)


def table_csv(rows: Sequence[Row], lineup: Lineup, units: Units) -> str:
    """The table as CSV, in the units on screen."""
    return as_csv(as_rows(rows, lineup, units))


CURVE_HEAD = (
    "plot", "candidate", "time_s", "speed_kn", "colors_out", "depth_m", "pitch_deg", "tension_n",
)  # fmt: skip


def curves_csv(rows: Sequence[Row], comparison: Comparison) -> str:
    """Every curve as CSV, a row a point; what a plot does not have stays empty."""
    out: list[list[str]] = [list(CURVE_HEAD)]

    def add(plot: str, row: Row, **values: np.ndarray) -> None:
        columns = [values.get(name) for name in CURVE_HEAD[2:]]
        for i in range(len(values["depth_m"])):
            cells = ["" if c is None else f"{float(c[i]):.6g}" for c in columns]
            out.append([plot, row.candidate.name, *cells])

    knots = np.linspace(KNOT.from_si(comparison.speeds[0]) + 1e-9,
                        KNOT.from_si(comparison.speeds[-1]) - 1e-9, 60)  # fmt: skip
    colors = np.linspace(0.5, COLOR.from_si(comparison.most_out), 60)
    for row in rows:
        if row.fall is not None:
            add("free fall", row, time_s=row.fall.time, depth_m=row.fall.depth,
                pitch_deg=DEGREE.from_si(row.fall.pitch))  # fmt: skip
        if row.drop is not None:
            add("drop", row, time_s=row.drop.time, depth_m=row.drop.depth,
                tension_n=row.drop.tension)  # fmt: skip
        if row.tow is not None:
            by_speed = row.tow.by_speed(row.candidate.line_out, KNOT.to_si(knots))
            add("run depth by speed", row, speed_kn=knots, depth_m=by_speed)
            by_out = row.tow.by_out(comparison.speed, COLOR.to_si(colors))
            add("run depth by colors", row, colors_out=colors, depth_m=by_out)
    return as_csv(out)
