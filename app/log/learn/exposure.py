"""Rows to learn from, made of entries: what was done on the water, never a rehearsal."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import UTC

from app.log.entry import Entry, LineEntry, Said
from app.log.learn.factors import FACTORS
from app.log.learn.table import Columns, Value
from app.log.light import light_of

PHASE_OF = {"drop": "falling", "lift": "lifting", "troll": "running"}
"""What a lure did when it was hit, where only the outcome tells: a hit on the turn or on slowing
for a fish may be any."""


def rows_of(entries: Iterable[Entry]) -> tuple[Columns, Columns]:
    """Rows one a line-drop, and rows one for each thing a lure did in a line-drop.

    Nothing in a row but its hits hangs on whether there was one: off bottom and lure speed are
    those at the lift, and not those at the hit.
    """
    keys = [factor.key for factor in FACTORS if factor.key != "phase"]
    lines, phases = _none(keys), _none(["phase"])
    for entry in entries:
        if entry.rehearsal:
            continue
        day = entry.at.date().isoformat()
        drop = f"{entry.at.astimezone(UTC).isoformat()} {entry.id}"
        shared: dict[str, Value] = {
            "hold": _number(entry.hold),
            "speed": _number(entry.speed),
            "tide": entry.tide,
            "light": light_of(entry),
            "side": entry.side,
        }
        for line in entry.lines:
            said = line.said
            seconds = _number(entry.lasted) if said is None else said.exposed
            own: dict[str, Value] = {
                "off_bottom": math.nan if said is None else _number(said.lift_off_bottom),
                "lure_speed": math.nan if said is None else _number(said.lift_speed),
                "lure": line.lure,
                "colors": _number(line.out),
            }
            _add(lines, day, drop, line.hit, seconds, shared | own)
            if said is not None:
                _add_phases(phases, day, drop, line, said)
    return lines, phases


def _none(keys: list[str]) -> Columns:
    return Columns([], [], [], [], {key: [] for key in keys})


def _number(value: float | None) -> float:
    return math.nan if value is None else value


def _add(
    rows: Columns, day: str, drop: str, hit: bool, seconds: float, values: dict[str, Value]
) -> None:
    rows.day.append(day)
    rows.drop.append(drop)
    rows.hits.append(float(hit))
    rows.seconds.append(seconds)
    for key, value in values.items():
        rows.values[key].append(value)


def _add_phases(rows: Columns, day: str, drop: str, line: LineEntry, said: Said) -> None:
    """A row for each thing the lure did for a while; none for a hit at an unknown moment."""
    at_hit = said.phase if line.after is not None else PHASE_OF.get(line.outcome, "")
    if line.hit and not at_hit:
        return
    for phase, seconds in (
        ("falling", said.fell), ("lifting", said.lifted), ("running", said.ran)
    ):  # fmt: skip
        hit = line.hit and phase == at_hit
        if seconds > 0.0 or hit:
            _add(rows, day, drop, hit, max(seconds, 1.0), {"phase": phase})
