"""Measurements that are all off by the ratio of two units: perhaps typed in the wrong one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.common.units import FATHOM, FOOT, KNOT, METER, METER_PER_SECOND, MILE_PER_HOUR, Unit
from physics.calibration.calibrate import Calibration
from physics.calibration.measured import CoastDown, DockFall, DropTouch, TowDepth

LEAST_ROWS = 2

DEPTHS = (METER, FOOT, FATHOM)
SPEEDS = (METER_PER_SECOND, KNOT, MILE_PER_HOUR)

DEPTH_WITHIN = 0.25
"""How near a ratio depths must come, in logarithms: about as far as line and model are in doubt."""

LEAST_DEPTH_RATIO = 1.9
"""A smaller ratio, as a fathom to a meter, a draggy line may have too."""

SPEED_WITHIN = 0.03
"""The same for speeds against the boat's own trolling speed, which is set to a figure or two."""


def suspicions(result: Calibration) -> list[str]:
    """A question for each quantity that smells of a wrong unit; empty if none does."""
    out = []
    depths = [
        row.measured / row.assumed
        for row in result.rows
        if isinstance(row.row, TowDepth | DropTouch) and row.assumed > 0.0
    ]
    # a fall timed over a depth ten feet deep and typed as ten meters is too quick for it
    depths += [row.assumed / row.measured for row in result.rows if isinstance(row.row, DockFall)]
    pair = _pair(depths, DEPTHS, DEPTH_WITHIN, LEAST_DEPTH_RATIO)
    if pair is not None:
        out.append(
            f"All depths are about {float(np.median(depths)):.2g} times what this gear would make "
            f"of them: were {pair[1].name} typed as {pair[0].name}?"
        )
    boat = result.gear.boat
    if boat is not None:
        speeds = [
            (row.row.start if isinstance(row.row, CoastDown) else row.row.speed)
            / boat.trolling_speed
            for row in result.rows
            if isinstance(row.row, CoastDown | DropTouch)
        ]
        pair = _pair(speeds, SPEEDS, SPEED_WITHIN, 1.0 + SPEED_WITHIN)
        if pair is not None:
            out.append(
                f"All speeds are about {float(np.median(speeds)):.2g} times her trolling speed: "
                f"were {pair[1].name} typed as {pair[0].name}?"
            )
    return out


def _pair(
    ratios: Sequence[float], units: Sequence[Unit], within: float, least: float
) -> tuple[Unit, Unit] | None:
    """The (taken for, meant) units whose ratio all of these have; None if there are none."""
    if len(ratios) < LEAST_ROWS:
        return None
    logs = np.log(ratios)
    if np.ptp(logs) > 2.0 * within:
        return None
    found = None
    for meant in units:
        for taken in units:
            ratio = taken.to_si(1.0) / meant.to_si(1.0)
            far = abs(float(np.median(logs)) - float(np.log(ratio)))
            if max(ratio, 1.0 / ratio) >= least and far < within:
                within, found = far, (taken, meant)
    return found
