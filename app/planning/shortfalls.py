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

    With the longest ``hold``, s, it comes within ``off`` m of the bottom at best, be it after
    she is in gear again, and falls at ``rate`` m/s when she goes in gear; ``remedies`` are what
    would bring it down, once ``tried``.
    """

    number: int
    rod: str
    hold: float
    off: float
    rate: float
    remedies: tuple[Remedy, ...] = ()
    tried: bool = False


Why = Literal["ground", "foul", "shallow", "deep", "aside", "waits", "lift"]


@dataclass(frozen=True, slots=True)
class Miss:
    """A lure that never lifts through the mark, and the limit that binds.

    foul: it would lift through the mark for up to ``window`` s, but whenever it does, line
    ``near`` comes within the clearance of the bottom; the best of those drops leaves ``by`` m
    (negative: it would be under the ground). All others hold whether the spread keeps clear or
    not. ground: it has no window, and no wait and hold keeps the spread clear either; ``by`` m
    is the most that is left. shallow: it stays ``by`` m above the mark itself; deep: it never
    comes up to within ``by`` m of it. aside: it passes ``by`` m to that ``side`` of the mark,
    port or starboard of the boat's way over ground. waits: with these waits it comes up through
    the mark's depth ``by`` m from its place at the nearest. lift: it is never lifting at the
    mark's depth (``by`` is 0).
    """

    number: int
    rod: str
    why: Why
    by: float
    side: str = ""
    window: float = 0.0
    near: str = ""


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
    least = found.clearance.min(axis=2)
    out = []
    for number, rod in enumerate(rods):
        lifting = found.lifting[..., number]
        if lifting[clear].max(initial=0.0) > 0.0:
            continue
        if lifting.max() > 0.0:
            at = np.unravel_index(np.where(lifting > 0.0, least, -np.inf).argmax(), least.shape)
            near = rods[int(found.clearance[at].argmin())].name
            window = float(lifting.max())
            out.append(Miss(number, rod.name, "foul", float(least[at]), "", window, near))
        elif not clear.any():
            out.append(Miss(number, rod.name, "ground", float(least.max())))
        else:
            out.append(Miss(number, rod.name, *_why(number, found, responses, aim)))
    return tuple(out)


def _why(number: int, found: TimingMap, responses: Responses, aim: Aim) -> tuple[Why, float, str]:
    """Why a lure has no window at all, however near the bottom the lines may come."""
    mark = aim.mark
    path = responses.lure[:, number]
    depth, rate = -path[..., 2], responses.rise[:, number]
    if (deepest := float(np.nanmax(depth))) < mark.depth - mark.band:
        return "shallow", mark.depth - deepest, ""
    if (highest := float(np.nanmin(depth))) > mark.depth + mark.band:
        return "deep", highest - mark.depth, ""
    lifts = (np.abs(depth - mark.depth) <= mark.band) & (rate > LIFTING)
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
