"""What the screen draws: an immutable picture of now, and the track that led here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.environment.water import Bottom
from physics.line.tackle import Rod
from physics.simulation.run import Run
from physics.vessel.boat import BoatState

Array = NDArray[np.float64]

SAMPLE_EVERY = 0.1
"""Rehearsal seconds between kept samples: a pixel or less on the depth strip."""

STEADY_BEFORE = 60.0
"""The steady tow before the start is shown for this long, s."""

KEPT = 6000
"""Samples kept, ten minutes; then the older half goes."""


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """A mark over the ground: when it was under the sounder, where, and its depth, m."""

    time: float
    x: float
    y: float
    depth: float


@dataclass(frozen=True, slots=True)
class Picture:
    """One instant for the screen, SI.

    ``nodes`` holds (3, K) positions per rod; ``lure`` (rods, 3) and
    ``lure_velocity`` (rods, 3) the middle of each lure; ``ground`` (rods,) the
    depth of the ``bottom`` under each. ``out`` (rods,) is the line between tip and leader,
    m, ``going`` (rods,) how fast it goes out, m/s, ``fish`` the mass of what is
    hooked, kg, or 0; ``over`` names what of each line is pulled beyond its strength, or "".
    """

    time: float
    boat: BoatState
    rods: tuple[Rod, ...]
    nodes: tuple[Array, ...]
    lure: Array
    lure_velocity: Array
    ground: Array
    bottom: Bottom
    mark: PlacedMark | None
    out: Array
    going: Array
    fish: tuple[float, ...]
    over: tuple[str, ...]

    def ahead(self) -> Array:
        """Unit vector (2,) the boat points along, east and north."""
        return np.array([np.sin(self.boat.heading), np.cos(self.boat.heading)])

    def along(self, x: Array, y: Array) -> Array:
        """Distance ahead of the transducer along the heading, m; astern is negative."""
        east, north = self.ahead()
        out: Array = (x - self.boat.x) * east + (y - self.boat.y) * north
        return out


def pictured(run: Run, now: float, mark: PlacedMark | None) -> Picture:
    """A run as it is at ``now``, s."""
    scenario = run.scenarios[0]
    nodes, speeds = run.moving_nodes_at(now)
    lure = np.array([0.5 * (place[:, -2] + place[:, -1]) for place in nodes])
    speed = np.array([0.5 * (rate[:, -2] + rate[:, -1]) for rate in speeds])
    bottom = scenario.water.bottom
    ground = bottom.depth_at(lure[:, 0], lure[:, 1])
    return Picture(
        now, run.boat(now), scenario.rods, tuple(nodes), lure, speed, ground, bottom, mark,
        run.lines_out(now), run.lines_going(now), run.fish_on(now),
        run.over_strength(now),
    )  # fmt: skip


class Track:
    """Samples of where boat and lures were, for trails and the depth strip.

    Arrays grow in place; the views handed out hold the samples so far and
    must not be kept past the next ``add``.
    """

    def __init__(self, rods: int) -> None:
        self._time = np.empty(KEPT)
        self._lure = np.empty((KEPT, rods, 3))
        self._ground = np.empty((KEPT, rods))
        self._boat = np.empty((KEPT, 2))
        self._count = 0

    def begin(self, picture: Picture) -> None:
        """Fill in the steady tow that led to the first picture."""
        for number in range(int(STEADY_BEFORE) * 2):
            back = STEADY_BEFORE - 0.5 * number
            self._time[number] = picture.time - back
            self._lure[number] = picture.lure - back * picture.lure_velocity
            self._ground[number] = picture.ground
            east, north = picture.boat.velocity
            self._boat[number] = picture.boat.x - back * east, picture.boat.y - back * north
        self._count = int(STEADY_BEFORE) * 2

    def add(self, picture: Picture) -> bool:
        """Keep a picture if it is due; whether it was."""
        n = self._count
        if n and picture.time < self._time[n - 1] + SAMPLE_EVERY - 1e-9:
            return False
        if n == KEPT:
            n = KEPT // 2
            for rows in (self._time, self._lure, self._ground, self._boat):
                rows[:n] = rows[-n:]
        self._time[n] = picture.time
        self._lure[n] = picture.lure
        self._ground[n] = picture.ground
        self._boat[n] = picture.boat.x, picture.boat.y
        self._count = n + 1
        return True

    @property
    def time(self) -> Array:
        """(n,) s."""
        return self._time[: self._count]

    @property
    def lure(self) -> Array:
        """(n, rods, 3) m over ground."""
        return self._lure[: self._count]

    @property
    def ground(self) -> Array:
        """(n, rods) depth of the bottom under each lure, m."""
        return self._ground[: self._count]

    @property
    def boat(self) -> Array:
        """(n, 2) where the sounder was over ground, east and north, m."""
        return self._boat[: self._count]
