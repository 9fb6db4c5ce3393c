"""What the model says of measured rows, for many sets of factors at once.

Rows under way are lines of one batch, however many sets of factors they are asked for: a
Jacobian by differences costs one batch. Two rows that need the same run share it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from typing import TypeVar

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.sink import free_falls
from physics.calibration.coast import coasting
from physics.calibration.factors import Factors, Gear, wet_share
from physics.calibration.measured import CoastDown, DockFall, DropTouch, Row, TowDepth
from physics.calibration.tows import Shapes, Tow, depths
from physics.checks import InvalidValue
from physics.line.tackle import Lure, Rod
from physics.progress import ProgressCallback, part_of, report_progress
from physics.vessel.boat import Boat

Array = NDArray[np.float64]
Thing = TypeVar("Thing", Boat, Lure, Rod)

SPARE = 1.25
"""Falls are followed for this many times the longest measured; beyond, at their last rate."""

LONGEST_FALL = 120.0


def predict(
    gear: Gear,
    rows: Sequence[Row],
    many: Sequence[Factors],
    progress: ProgressCallback | None = None,
    shapes: Shapes | None = None,
) -> Array:
    """What each row's measured number should be under each set of factors (F, n), SI.

    ``progress`` hears of it every few steps. Raises InvalidValue where the gear lacks what a row
    needs, ConvergenceError, Cancelled. ``shapes`` remembers steady tows from call to call.
    """
    shapes = Shapes() if shapes is None else shapes
    out = np.full((len(many), len(rows)), np.nan)
    done, whole = 0.0, sum(row.cost for row in rows)
    for kind, work in _KINDS.items():
        at = [i for i, row in enumerate(rows) if row.kind == kind]
        if at:
            end = min(done + sum(rows[i].cost for i in at) / whole, 1.0)
            part_progress = part_of(progress, done, end)
            out[:, at] = work(gear, [rows[i] for i in at], many, part_progress, shapes)
            done = end
    return out


def errors(
    gear: Gear,
    rows: Sequence[Row],
    factors: Factors,
    progress: ProgressCallback | None = None,
    shapes: Shapes | None = None,
) -> tuple[Array, Array]:
    """Predictions (n,) and standard deviations (n,) of prediction against measurement.

    A row's own error, and how far its prediction moves when each of its inputs is off by the
    error of that, add up as squares. Raises as ``predict``.
    """
    return uncertainty(gear, rows, factors, progress, shapes)[:2]


def uncertainty(
    gear: Gear,
    rows: Sequence[Row],
    factors: Factors,
    progress: ProgressCallback | None = None,
    shapes: Shapes | None = None,
) -> tuple[Array, Array, Array]:
    """As ``errors``; third, how far each row is off (n,) where what is late is late every time:
    the clock of all rows of its kind, by as much as a single one is."""
    nudged = [row.nudged() for row in rows]
    every = [*rows, *(row for group in nudged for row in group)]
    found = predict(gear, every, [factors], progress, shapes)[0]
    square = np.array([row.own_error for row in rows]) ** 2
    at = len(rows)
    late = np.zeros(len(rows))
    for i, (row, group) in enumerate(zip(rows, nudged, strict=True)):
        moved = found[at : at + len(group)] - found[i]
        square[i] += (moved**2).sum()
        for name in row.late:
            late[i] = row.own_error if name == row.number else moved[row.inputs.index(name)]
        at += len(group)
    return found[: len(rows)], np.sqrt(square), late


def _coast(
    gear: Gear,
    rows: Sequence[Row],
    many: Sequence[Factors],
    progress: ProgressCallback | None,
    _: Shapes,
) -> Array:
    chosen = [row for row in rows if isinstance(row, CoastDown)]
    boat = _needed(gear.boat, "boat", "coast-down")
    start = np.array([row.start for row in chosen])
    seconds = np.array([row.seconds for row in chosen])
    report_progress(progress, 0.0)
    return np.array([coasting(factors.on_boat(boat), start, seconds) for factors in many])


def _dock(
    gear: Gear,
    rows: Sequence[Row],
    many: Sequence[Factors],
    progress: ProgressCallback | None,
    _: Shapes,
) -> Array:
    chosen = [row for row in rows if isinstance(row, DockFall)]
    lure = _needed(gear.falling, "lure", "dock test")
    wet_share(lure, gear.water)
    depth = np.array([row.depth for row in chosen])
    until = min(SPARE * max(row.seconds for row in chosen) + 1.0, LONGEST_FALL)
    density = gear.water.density
    report_progress(progress, 0.0)
    falls = free_falls([f.on_lure(lure, density) for f in many], gear.water, until)
    out = np.empty((len(many), len(chosen)))
    for row, fall in zip(out, falls, strict=True):
        gone, rate = np.maximum.accumulate(np.abs(fall.depth)), max(abs(fall.rate), 1e-4)
        rising = np.concatenate([[True], np.diff(gone) > 0.0])
        within = scipy.interpolate.PchipInterpolator(gone[rising], fall.time[rising])(
            np.minimum(depth, gone[-1])
        )
        row[:] = within + np.maximum(depth - gone[-1], 0.0) / rate
    return out


def _under_way(
    gear: Gear,
    rows: Sequence[Row],
    many: Sequence[Factors],
    progress: ProgressCallback | None,
    shapes: Shapes,
) -> Array:
    """Tows and drops alike: a tow is a drop looked at before it begins."""
    asked: dict[Hashable, list[tuple[int, int]]] = {}
    for f in range(len(many)):
        for i, row in enumerate(rows):
            assert isinstance(row, TowDepth | DropTouch)
            asked.setdefault((f, *_run_of(row)), []).append((f, i))
    tows, looks = [], []
    for cells in asked.values():
        f, i = cells[0]
        times = sorted({_seconds(rows[i]) for _, i in cells})
        looks.append([times.index(_seconds(rows[i])) for _, i in cells])
        tows.append(_tow(gear, many[f], rows[i], tuple(times)))
    out = np.empty((len(many), len(rows)))
    found = depths(tows, gear.water, shapes, progress)
    for cells, places, values in zip(asked.values(), looks, found, strict=True):
        for (f, i), place in zip(cells, places, strict=True):
            out[f, i] = values[place]
    return out


def _run_of(row: TowDepth | DropTouch) -> tuple[Hashable, ...]:
    """What two rows must have in common to need one run only."""
    return row.kind, row.rod, row.speed, _hold(row)


def _seconds(row: Row) -> float:
    return row.seconds if isinstance(row, DropTouch) else 0.0


def _hold(row: Row) -> float:
    """When the row's line feels the boat in gear again; inf if not before it is looked at."""
    return row.hold if isinstance(row, DropTouch) and row.hold < row.seconds else math.inf


def _tow(gear: Gear, factors: Factors, row: Row, looks: tuple[float, ...]) -> Tow:
    assert isinstance(row, TowDepth | DropTouch)
    like = _needed(row.rod or gear.rod, "rod", "row under way")
    boat = None
    if isinstance(row, DropTouch):
        boat = factors.on_boat(_needed(gear.boat, "boat", "drop"))
    return Tow(factors.on_rod(like, gear), like, row.speed, looks, boat, _hold(row))


def _needed(thing: Thing | None, field: str, what: str) -> Thing:
    if thing is None:
        raise InvalidValue(field, None, f"a {field}, for a {what}")
    return thing


_Work = Callable[[Gear, Sequence[Row], Sequence[Factors], ProgressCallback | None, Shapes], Array]


_KINDS: dict[str, _Work] = {
    DockFall.kind: _dock,
    TowDepth.kind: _under_way,
    DropTouch.kind: _under_way,
    CoastDown.kind: _coast,
}
