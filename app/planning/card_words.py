"""What stands on a helm card beside its numbers, and the card as CSV."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from app.common import csv_text
from app.common.units import COLOR, KNOT
from app.common.words import CAUTION
from app.planning.card_table import CardNumbers, TackleTable
from app.scenario.setup import RodSetup
from physics.vessel.boat import Boat

NOTHING = "–"
"""Stands where there is no number."""

LEGEND = f"{NOTHING} out of reach in 60 s, or never lifting at the mark. Holds are rounded down."


@dataclass(frozen=True, slots=True)
class Card:
    """A helm card: its numbers and the day it was made."""

    numbers: CardNumbers
    made: date

    @property
    def title(self) -> str:
        """The setup's name."""
        return self.numbers.request.setup.name

    def inputs(self, number: int) -> tuple[str, str]:
        """Two lines saying what one tackle's numbers hold for."""
        found, unit = self.numbers.found, self.numbers.unit
        boat = found.scenario.boat
        rod = self.numbers.tackles[number].rod
        helm = (
            f"{_boat(boat)} at {self.numbers.request.setup.speed_unit.text(found.scenario.speed)}; "
            f"keeps {unit.text(found.aim.clearance)} off bottom; "
            f"mark {unit.text(self.numbers.mark_height)} off bottom"
        )
        tip = f"rod tip {unit.text(rod.height, 0)} up, {unit.text(rod.astern, 0)} astern of sounder"
        return helm, f"{_tackle(rod, unit.text(rod.leader_length, 0))}; {tip}"


@dataclass(frozen=True, slots=True)
class Grid:
    """One table of a card as text: title, corner, heads of columns and rows, cells."""

    title: str
    corner: str
    columns: tuple[str, ...]
    rows: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


def grids(card: Card, number: int) -> tuple[Grid, Grid, Grid, Grid]:
    """Hold, wait, sinking on and running depth of one tackle, as printed.

    Seconds are whole ones: holds rounded down, which keeps clear, the others
    to the nearest.
    """
    table, unit = card.numbers.tackles[number], card.numbers.unit
    columns = tuple(_plain(COLOR.from_si(out)) for out in table.line_out)
    depths = tuple(_plain(unit.from_si(depth)) for depth in table.depths)
    speeds = tuple(f"{KNOT.from_si(speed):.1f}" for speed in table.speeds)
    bottom, speed = f"bottom {unit.symbol}", "knots"

    return (
        Grid("HOLD out of gear, s", bottom, columns, depths, _cells(table.hold, down=True)),
        Grid("WAIT after the mark, s", bottom, columns, depths, _cells(table.wait)),
        Grid("SINKS ON once in gear, s", bottom, columns, depths, _cells(table.sinks_on)),
        Grid(
            f"RUNNING DEPTH in tow, {unit.symbol}", speed, columns, speeds,
            _cells(unit.from_si(table.run_depth), digits=1),
        ),
    )  # fmt: skip


def as_csv(card: Card) -> str:
    """One row a number, seconds to 0.1: rods, what, bottom or speed, colors out, value, unit.

    Date, inputs and caution are rows too, with their text as the value.
    """
    symbol = card.numbers.unit.symbol
    out = [
        ["rods", "what", f"bottom_{symbol}", "speed_kn", "colors_out", "value", "unit"],
        ["", "title", "", "", "", card.title, ""],
        ["", "date", "", "", "", card.made.isoformat(), ""],
        ["", "caution", "", "", "", CAUTION, ""],
    ]
    for number, table in enumerate(card.numbers.tackles):
        rods = "; ".join(table.rods)
        out += [[rods, "input", "", "", "", said, ""] for said in card.inputs(number)]
        out += [[rods, *row] for row in _rows(card, table)]
    return csv_text.as_csv(out)


def _rows(card: Card, table: TackleTable) -> Iterator[list[str]]:
    unit = card.numbers.unit
    colors = [f"{COLOR.from_si(out):.4g}" for out in table.line_out]
    for what, values in (
        ("hold", table.hold),
        ("wait after the mark", table.wait),
        ("sinks on in gear", table.sinks_on),
    ):
        for depth, row in zip(table.depths, values, strict=True):
            for out, value in zip(colors, row, strict=True):
                said = "" if math.isnan(value) else f"{value:.1f}"
                yield [what, f"{unit.from_si(depth):g}", "", out, said, "s"]
    for speed, row in zip(table.speeds, table.run_depth, strict=True):
        for out, value in zip(colors, row, strict=True):
            said = f"{unit.from_si(value):.1f}"
            yield ["running depth", "", f"{KNOT.from_si(speed):g}", out, said, unit.symbol]


def _boat(boat: Boat) -> str:
    return f"{boat.name[0].upper()}{boat.name[1:]}, {boat.half_time:g} s to half speed,"


def _tackle(rod: RodSetup, leader: str) -> str:
    lure = rod.lure if isinstance(rod.lure, str) else rod.lure.name
    if rod.sections is not None:
        return "; ".join([*(section.name for section in rod.sections), lure])
    line = rod.backing if rod.line is None else rod.line
    if rod.line is not None:
        line += f" ({_plain(COLOR.from_si(rod.on_reel))} colors on the reel)"
    return f"{line}; {leader} of {rod.leader}; {lure}"


def _cells(
    values: NDArray[np.float64], digits: int = 0, down: bool = False
) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(_cell(float(value), digits, down) for value in row) for row in values)


def _cell(value: float, digits: int, down: bool) -> str:
    if math.isnan(value):
        return NOTHING
    return f"{math.floor(value) if down else value:.{digits}f}"


def _plain(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
