"""What stays the same of scenarios that are stepped side by side, while their lines move."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from physics.line.handling import Handling
from physics.line.mesh import Mesh, build_mesh, part_of
from physics.line.tackle import Rod
from physics.simulation.scenario import Scenario, handlings
from physics.vessel.boat import BoatState

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """K scenarios and their L lines, one after another.

    ``of`` (L,) says which rod of which scenario each line is, and ``rods`` (L,) are those;
    ``offsets`` (2, L) is how far astern and abeam of the transducer each tip is, m. ``mesh``
    is that of all lines, with what waits on their reels.
    """

    scenarios: tuple[Scenario, ...]
    of: tuple[tuple[int, int], ...]
    rods: tuple[Rod, ...]
    offsets: Array
    mesh: Mesh

    @classmethod
    def lay(cls, scenarios: Sequence[Scenario]) -> Batch:
        """The lines of some scenarios under their own orders."""
        of = tuple((k, j) for k, s in enumerate(scenarios) for j in range(len(s.rods)))
        rods = tuple(scenarios[k].rods[j] for k, j in of)
        offsets = np.array([(rod.astern, rod.abeam) for rod in rods]).T
        handled = [line for scenario in scenarios for line in handlings(scenario)]
        mesh = _mesh(scenarios, of, handled)
        return cls(tuple(scenarios), of, rods, offsets, mesh)

    def respooled(self, handled: Sequence[Handling | None]) -> Batch:
        """The same lines with other lengths on their reels."""
        return replace(self, mesh=_mesh(self.scenarios, self.of, handled))

    def repeated(self, times: int) -> Batch:
        """This batch so many times over."""
        count, lines = len(self.scenarios), len(self.rods)
        return Batch(
            self.scenarios * times,
            tuple((k + number * count, j) for number in range(times) for k, j in self.of),
            self.rods * times,
            np.tile(self.offsets, times),
            part_of(self.mesh, np.tile(np.arange(lines), times))[0],
        )

    def lines_of(self, scenario: int) -> list[int]:
        """Numbers of one scenario's lines."""
        first = self.line(scenario, 0)
        return list(range(first, first + len(self.scenarios[scenario].rods)))

    def line(self, scenario: int, rod: int) -> int:
        """Number of the line of one rod of one scenario."""
        return bisect_left(self.of, (scenario, rod))

    def nodes_of(self, line: int) -> slice:
        """Where a line's nodes are among those of the mesh."""
        return slice(int(self.mesh.first[line]), int(self.mesh.last[line]) + 1)

    def of_lines(self, value: float | Array) -> Array:
        """One value for all, or one a scenario (K,), as one a line (L,)."""
        each = np.broadcast_to(np.asarray(value, dtype=float), len(self.scenarios))
        return np.array([each[k] for k, _ in self.of])


def tip_offset(rod: Rod, boat: BoatState) -> tuple[Array, Array]:
    """Where the rod tip is from the transducer (3,), m, and its velocity over ground (3,), m/s."""
    s, c = np.sin(boat.heading), np.cos(boat.heading)
    ahead, starboard = np.array([s, c, 0.0]), np.array([c, -s, 0.0])
    place = -rod.astern * ahead + rod.abeam * starboard
    place[2] = rod.height
    swing = boat.turn * (-rod.astern * starboard - rod.abeam * ahead)
    return place, np.array([*boat.velocity, 0.0]) + swing


def _mesh(
    scenarios: Sequence[Scenario],
    of: Sequence[tuple[int, int]],
    handled: Sequence[Handling | None],
) -> Mesh:
    return build_mesh(
        [(scenarios[k].rods[j], scenarios[k].water) for k, j in of],
        [scenarios[k].resolution for k, _ in of],
        [line.spare if line else [] for line in handled],
    )
