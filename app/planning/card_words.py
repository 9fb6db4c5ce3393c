"""What stands on a helm card beside its numbers, and the card as CSV."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from app.common import csv_text
from app.common.units import COLOR, figure, shown
from app.common.words import CAUTION
from app.planning.card_table import CardNumbers, TackleTable
from app.planning.words import of_drops
from app.scenario.setup import RodSetup
from physics.vessel.boat import Boat

NOTHING = "–"
"""Stands where there is no number."""

LEGEND = f"{NOTHING} out of reach in 60 s, or never lifting at the mark. Holds are rounded down."

NO_STEADY = "out of reach in 60 s, touching too often, or never lifting"

STEADY = "steady holds"
"""What stands on a card whose holds touch no more often than may be."""


@dataclass(frozen=True, slots=True)
class Card:
    """A helm card: its numbers, the day it was made, and what the scenario is called by then."""

    numbers: CardNumbers
    made: date
    name: str = ""

    @property
    def title(self) -> str:
        """The setup's name."""
        return self.name or self.numbers.request.setup.name

    def inputs(self, number: int) -> tuple[str, str]:
        """Two lines saying what one tackle's numbers hold for."""
        found, unit = self.numbers.found, self.numbers.unit
        boat = found.scenario.boat
        rod = self.numbers.tackles[number].rod
        helm = (
            f"{_boat(boat)} at {' coming down to '.join(self.speeds(number))}; "
            f"keeps {unit.text(found.aim.clearance)} off bottom; "
            f"mark {unit.text(self.numbers.mark_height)} off bottom"
        )
        tip = f"rod tip {shown(rod.height, unit)} up, {shown(rod.astern, unit)} astern of sounder"
        return helm, f"{_tackle(rod, shown(rod.leader_length, unit))}; {tip}"

    @property
    def steady(self) -> str:
        """What a card of steady holds says of them; nothing on any other."""
        setup = self.numbers.request.setup
        if not setup.card.steady:
            return ""
        often = of_drops(setup.timing.touch_chance, 1)
        return f"{STEADY.capitalize()}, rounded down: a line touches in {often} at most."

    def speeds(self, number: int) -> list[str]:
        """The speeds of one tackle's numbers, with their unit."""
        told = self.numbers.request.setup.speed_unit
        return [told.text(times.speed) for times in self.numbers.tackles[number].times]

    def legend(self, number: int) -> str:
        """What signs in one tackle's tables mean."""
        rod = self.numbers.tackles[number].rod
        legend = LEGEND
        if self.steady:
            legend = f"{self.steady} {NOTHING} {NO_STEADY}."
        if rod.line is None or rod.sections is not None:
            return legend
        beyond = [out for out in self.numbers.tackles[number].line_out if _backing(rod, out)]
        return legend + (f" {line_out(rod, beyond[0])}: leadcore + backing." if beyond else "")


@dataclass(frozen=True, slots=True)
class Grid:
    """One table of a card as text: title, corner, heads of columns and rows, cells.

    ``own`` is the row of the case on screen, if it has one.
    """

    title: str
    corner: str
    columns: tuple[str, ...]
    rows: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    own: int | None = None


def grids(card: Card, number: int) -> tuple[Grid, Grid, Grid, Grid]:
    """Hold, wait, sinking on and running depth of one tackle, as printed.

    Seconds are whole ones: holds rounded down, which keeps clear, the others
    to the nearest. Those of two speeds stand side by side, ``9/7``.
    """
    numbers, table = card.numbers, card.numbers.tackles[number]
    unit, told = numbers.unit, numbers.request.setup.speed_unit
    columns = tuple(line_out(table.rod, float(out)) for out in table.line_out)
    depths = tuple(figure(float(depth), unit) for depth in table.depths)
    speeds = tuple(f"{told.from_si(float(speed)):.1f}" for speed in table.speeds)
    bottom = f"bottom {unit.symbol}"
    hold = "STEADY HOLD" if card.steady else "HOLD"
    here = _nearest(table.depths, numbers.found.depth)
    at = ""
    if len(table.times) > 1:
        at = " at " + "/".join(f"{told.from_si(times.speed):.3g}" for times in table.times)
        at += f" {told.symbol}"

    def of(attribute: str, *, down: bool = False) -> tuple[tuple[str, ...], ...]:
        each = [_cells(getattr(times, attribute), down=down) for times in table.times]
        return tuple(
            tuple("/".join(pair) for pair in zip(*rows, strict=True))
            for rows in zip(*each, strict=True)
        )

    return (
        Grid(f"{hold} out of gear, s{at}", bottom, columns, depths, of("hold", down=True), here),
        Grid(f"WAIT after the mark, s{at}", bottom, columns, depths, of("wait"), here),
        Grid(f"SINKS ON once in gear, s{at}", bottom, columns, depths, of("sinks_on"), here),
        Grid(
            f"RUNNING DEPTH in tow, {unit.symbol}", told.name, columns, speeds,
            _cells(unit.from_si(table.run_depth), digits=1),
            _nearest(table.speeds, table.times[0].speed),
        ),
    )  # fmt: skip


def line_out(rod: RodSetup, out: float) -> str:
    """Colors of line out, m; beyond the leadcore on the reel ``10+2``, the second of backing."""
    if not _backing(rod, out):
        return _plain(COLOR.from_si(out))
    return f"{_plain(COLOR.from_si(rod.on_reel))}+{_plain(COLOR.from_si(out - rod.on_reel))}"


def _backing(rod: RodSetup, out: float) -> bool:
    """Whether a reel's leadcore ends before so much line, m, is out."""
    return rod.line is not None and rod.sections is None and out > rod.on_reel + 1e-6


def _nearest(values: NDArray[np.float64], own: float) -> int:
    return int(np.abs(values - own).argmin())


def as_csv(card: Card) -> str:
    """One row a number, seconds to 0.1: rods, what, bottom, speed, colors out, value, unit.

    Date, inputs and caution are rows too, with their text as the value.
    """
    symbol, speed = card.numbers.unit.symbol, card.numbers.request.setup.speed_unit.symbol
    out = [
        ["rods", "what", f"bottom_{symbol}", f"speed_{speed}", "colors_out", "value", "unit"],
        ["", "title", "", "", "", card.title, ""],
        ["", "date", "", "", "", card.made.isoformat(), ""],
        ["", "caution", "", "", "", CAUTION, ""],
    ]
    if card.steady:
        out.append(["", "holds", "", "", "", card.steady, ""])
    for number, table in enumerate(card.numbers.tackles):
        rods = "; ".join(table.rods)
        out += [[rods, "input", "", "", "", said, ""] for said in card.inputs(number)]
        out += [[rods, *row] for row in _rows(card, table)]
    return csv_text.as_csv(out)


def _rows(card: Card, table: TackleTable) -> Iterator[list[str]]:
    unit, told = card.numbers.unit, card.numbers.request.setup.speed_unit
    colors = [f"{COLOR.from_si(out):.4g}" for out in table.line_out]
    for times in table.times:
        speed = f"{told.from_si(times.speed):.4g}"
        for what, values in (
            ("hold", times.hold),
            ("wait after the mark", times.wait),
            ("sinks on in gear", times.sinks_on),
        ):
            for depth, row in zip(table.depths, values, strict=True):
                for out, value in zip(colors, row, strict=True):
                    said = "" if math.isnan(value) else f"{value:.1f}"
                    yield [what, f"{unit.from_si(depth):.6g}", speed, out, said, "s"]
    for at, row in zip(table.speeds, table.run_depth, strict=True):
        for out, value in zip(colors, row, strict=True):
            said = f"{unit.from_si(value):z.1f}"
            yield ["running depth", "", f"{told.from_si(at):.4g}", out, said, unit.symbol]


def _boat(boat: Boat) -> str:
    return f"Boat: {boat.name}, {boat.half_time:g} s to half speed,"


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
    return f"{math.floor(value) if down else value:z.{digits}f}"


def _plain(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
