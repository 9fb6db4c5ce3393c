"""What ``exposure.rows_of`` makes of a log, made of whole entries, one after the other: slow, and
easy to read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from app.log.entry import Entry, LineEntry
from app.log.learn.exposure import PHASE_OF
from app.log.light import light_of


def row_by_row(entries: Iterable[Entry]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Line-drops, and what lures did, of entries that are oldest first; None is not known."""
    lines, phases = [], []
    for entry in entries:
        if entry.rehearsal:
            continue
        for line in entry.lines:
            said = line.said
            row = {"day": entry.at.date().isoformat(), "drop": entry.id, "hit": line.hit}
            lines.append({
                **row, "seconds": entry.lasted,
                "hold": entry.hold, "speed": entry.speed, "tide": entry.tide,
                "light": light_of(entry), "side": entry.side, "lure": line.lure,
                "colors": line.out,
                "off_bottom": None if said is None else said.lift_off_bottom,
                "lure_speed": None if said is None else said.lift_speed,
            })  # fmt: skip
            phases += [row | more for more in _phases(line, entry.lasted)]
    return lines, phases


def _phases(line: LineEntry, lasted: float | None) -> Iterable[dict[str, Any]]:
    said = line.said
    if said is None or lasted is None:
        return
    ran = max(lasted - said.fell - said.lifted, 0.0)
    at_hit = said.phase if line.after is not None else PHASE_OF.get(line.outcome, "")
    if line.hit and not at_hit:
        return
    for phase, seconds in (
        ("falling", said.fell), ("lifting", said.lifted), ("running", ran)
    ):  # fmt: skip
        hit = line.hit and phase == at_hit
        if seconds > 0.0 or hit:
            yield {"hit": hit, "phase": phase, "seconds": max(seconds, 1.0)}
