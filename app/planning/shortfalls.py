"""What cannot be done, and why: lines that do not reach the bottom, lures that miss the mark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.planning.remedies import Remedy
from physics.answers.holds import Responses
from physics.answers.timing import Aim, TimingMap
from physics.line.tackle import Rod
from physics.simulation.events import LIFTING


@dataclass(frozen=True, slots=True)
class Shortfall:
    """A line that no hold brings near the bottom.

    After the longest ``hold``, s, it is still ``off`` m from the bottom and
    falling at ``rate`` m/s; ``remedies`` are what would bring it down, once
    ``tried``.
    """

    number: int
    rod: str
    hold: float
    off: float
    rate: float
    remedies: tuple[Remedy, ...] = ()
    tried: bool = False


Why = Literal["clearance", "shallow", "deep", "aside", "waits", "lift"]


@dataclass(frozen=True, slots=True)
class Miss:
    """A lure that never lifts through the mark, and why.

    clearance: no wait and hold keeps the spread clear of the bottom.
    shallow: it stays ``by`` m above the mark's band; deep: it never comes up
    to within ``by`` m of it. aside: it passes ``by`` m to that ``side`` of the
    mark, port or starboard of the boat's way over ground. waits: with
    these waits it comes up through the mark's depth ``by`` m from its place.
    lift: it is never lifting at the mark's depth (``by`` is 0).
    """

    number: int
    rod: str
    why: Why
    by: float
    side: str = ""


def find_shortfalls(
    rods: Sequence[Rod], found: TimingMap, responses: Responses, reach: Sequence[float | None]
) -> tuple[Shortfall, ...]:
    """The rods without a hold in ``reach``; ``found`` is over level water."""
    out = []
    hold = float(responses.holds[-1])
    at = int(np.searchsorted(responses.time, hold))
    for number, rod in enumerate(rods):
        if reach[number] is None:
            off = float(found.clearance[0, :, number].min())
            rate = -float(responses.rise[-1, number, at])
            out.append(Shortfall(number, rod.name, hold, off, rate))
    return tuple(out)


def find_misses(
    rods: Sequence[Rod], found: TimingMap, responses: Responses, aim: Aim
) -> tuple[Miss, ...]:
    """The rods that have no strike window at any wait and hold that keeps clear."""
    clear = found.allowed(aim.clearance)
    out = []
    for number, rod in enumerate(rods):
        if not clear.any():
            out.append(Miss(number, rod.name, "clearance", aim.clearance))
        elif found.lifting[clear, number].max() <= 0.0:
            out.append(Miss(number, rod.name, *_why(number, clear, found, responses, aim)))
    return tuple(out)


def _why(
    number: int, clear: np.ndarray, found: TimingMap, responses: Responses, aim: Aim
) -> tuple[Why, float, str]:
    holds = np.flatnonzero(clear.any(axis=0))
    path = responses.lure[holds, number]
    depth, rate = -path[..., 2], responses.rise[holds, number]
    if (by := aim.mark.depth - aim.mark.band - float(np.nanmax(depth))) > 0.0:
        return "shallow", by, ""
    if (by := float(np.nanmin(depth)) - aim.mark.depth - aim.mark.band) > 0.0:
        return "deep", by, ""
    lifts = (np.abs(depth - aim.mark.depth) <= aim.mark.band) & (rate > LIFTING)
    if not lifts.any():
        return "lift", 0.0, ""
    place, boat_velocity = path[lifts][:, :2], responses.boat_velocity
    ground_speed = max(float(np.hypot(*boat_velocity)), 1e-9)
    aside = (place[:, 0] * boat_velocity[1] - place[:, 1] * boat_velocity[0]) / ground_speed
    nearest = float(aside[np.abs(aside).argmin()])
    if abs(nearest) > aim.radius:
        return "aside", abs(nearest), "starboard" if nearest > 0.0 else "port"
    there = place[None] + found.waits[:, None, None] * boat_velocity
    return "waits", float(np.hypot(there[..., 0], there[..., 1]).min()), ""
