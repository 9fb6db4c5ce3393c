"""Rows to learn from: what was done on the water, never a rehearsal.

They are made of bare columns, because to make whole entries of a log of many seasons takes far
longer than to learn from it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from app.log.entry import PHASES
from app.log.learn.factors import FACTORS
from app.log.learn.table import Array, Columns, numbered
from app.log.reading import Entries

PHASE_OF = {"drop": "falling", "lift": "lifting", "troll": "running"}
"""What a lure did when it was hit, where only the outcome tells: a hit on the turn or on slowing
for a fish may be any."""

TIMED = {"falling": "fell", "lifting": "lifted", "running": "ran"}
"""Phases, and where it is kept how long each lasted."""

LEAST = 1.0
"""A phase in which there was a hit lasted no less than this, s."""

READ = {
    "entry": "entries.number", "day": "entries.day", "lasted": "entries.lasted",
    "hold": "entries.hold", "speed": "entries.speed", "tide": "entries.tide",
    "light": "entries.lit", "side": "entries.side", "lure": "lines.lure", "colors": "lines.out",
    "outcome": "lines.outcome", "after": "lines.after", "said": "lines.depth",
    "phase": "lines.phase", "fell": "lines.fell", "lifted": "lines.lifted",
    "off_bottom": "lines.lift_off_bottom", "lure_speed": "lines.lift_speed",
}  # fmt: skip
"""What is read, and from which column. Off bottom and lure speed are those at the lift and not
those at the hit: nothing but the hits may hang on whether there was one."""


def rows_of(entries: Entries) -> tuple[Columns, Columns]:
    """Rows one a line-drop, and rows one for each thing a lure did in a line-drop."""
    rows = entries.line_drops(list(READ.values()))
    of: dict[str, Any] = dict(zip(READ, zip(*rows, strict=True) if rows else [()] * len(READ),
                                  strict=True))  # fmt: skip
    words = {factor.key for factor in FACTORS if not factor.number}
    for name in READ:
        of[name] = _texts(of[name]) if name in words | {"day", "outcome"} else _numbers(of[name])
    of["day"] = numbered(of["day"])[0]
    # they come in the order of time
    of["drop"] = np.cumsum(np.diff(of["entry"], prepend=-1.0) != 0.0)
    of["hit"] = np.array([outcome != "nothing" for outcome in of["outcome"]], dtype=bool)
    # a line ran while it neither fell nor lifted: what a person says of the time comes first
    of["ran"] = np.maximum(of["lasted"] - of["fell"] - of["lifted"], 0.0)
    timed = np.column_stack([of[TIMED[phase]] for phase in PHASES])
    keys = [factor.key for factor in FACTORS if factor.key != "phase"]
    lines = Columns(of["day"], of["drop"], of["hit"], of["lasted"], {key: of[key] for key in keys})
    return lines, _phases(of, timed)


def _numbers(values: Sequence[Any]) -> Array:
    """Numbers, NaN where the file holds none."""
    try:
        return np.array(values, dtype=float)
    except (TypeError, ValueError):
        return np.array([v if isinstance(v, int | float) else math.nan for v in values])


def _texts(values: Sequence[Any]) -> Sequence[Any]:
    """Words, none where the file holds another thing; what the model never said stays None."""
    if {type(value) for value in values} <= {str, type(None)}:
        return values
    return [value if isinstance(value, str) else "" for value in values]


def _phases(of: dict[str, Any], timed: Array) -> Columns:
    """A row for each thing a lure did for a while; none for a hit at an unknown moment, nor where
    nobody knows how long the line fished."""
    at_hit = [
        (phase if known else PHASE_OF.get(outcome, "")) if hit else ""
        for phase, known, outcome, hit in zip(
            of["phase"], np.isfinite(of["after"]), of["outcome"], of["hit"], strict=True
        )
    ]
    hit = np.array([[at == phase for phase in PHASES] for at in at_hit], dtype=bool)
    hit = hit.reshape(timed.shape)
    use = np.isfinite(of["said"]) & np.isfinite(of["lasted"]) & (hit.any(axis=1) | ~of["hit"])
    row, phase = np.nonzero(use[:, None] & ((timed > 0.0) | hit))
    doing = list(map(PHASES.__getitem__, phase))
    seconds = np.maximum(timed[row, phase], LEAST)
    return Columns(of["day"][row], of["drop"][row], hit[row, phase], seconds, {"phase": doing})
