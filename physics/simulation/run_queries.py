"""What can be asked of a run: where boats and lines are, and what they carry."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.line.line_orders import LineOrder
from physics.line.mesh import Mesh
from physics.simulation.batch import Batch
from physics.simulation.batch_state import BatchState
from physics.simulation.past import ACCEL, POSITION, VELOCITY, between_steps, hermite
from physics.simulation.scenario import Scenario
from physics.simulation.strength import strength_of
from physics.simulation.tip_tensions import TipTensions
from physics.simulation.trajectory import LineRecord, Trajectory
from physics.vessel.boat import BoatState
from physics.vessel.helm import HelmTrack
from physics.vessel.motion import TableTrack

Array = NDArray[np.float64]


class RunQueries:
    """Asks a batch's state and changes nothing of it."""

    def __init__(self, state: BatchState) -> None:
        self._state = state
        self._tensions: TipTensions | None = None

    @property
    def batch(self) -> Batch:
        """What stays the same of the scenarios."""
        return self._state.batch

    @property
    def scenarios(self) -> tuple[Scenario, ...]:
        """The scenarios that are run."""
        return self.batch.scenarios

    @property
    def mesh(self) -> Mesh:
        """The mesh of all their lines."""
        return self.batch.mesh

    def boat(self, time: float, scenario: int = 0) -> BoatState:
        """The boat of one scenario at a time, s."""
        return self._state.tracks[scenario].at(time)

    def track(self, scenario: int = 0) -> HelmTrack | TableTrack:
        """The helm track of one scenario."""
        return self._state.tracks[scenario]

    def reached(self, some: slice = slice(None)) -> float:
        """The time every line has reached, s, or every line of some scenarios."""
        lines = [i for k in range(len(self.scenarios))[some] for i in self.batch.lines_of(k)]
        return float(self._state.last.time[lines].min())

    def nodes_at(self, time: float, scenario: int = 0) -> list[Array]:
        """Node positions (3, K) of each rod at a time within its last steps, m."""
        return self.moving_nodes_at(time, scenario)[0]

    def moving_nodes_at(self, time: float, scenario: int = 0) -> tuple[list[Array], list[Array]]:
        """Node positions and velocities (3, K) of each rod, as in ``nodes_at``."""
        places, speeds = [], []
        for i in self.batch.lines_of(scenario):
            past = self._state.pasts[i]
            r, v = hermite(past, past.index(time), time)
            places.append(r)
            speeds.append(v)
        return places, speeds

    def lures_at(self, time: float, scenario: int = 0) -> tuple[Array, Array]:
        """Middle of each rod's lure (rods, 3), m, and its velocity over ground, m/s."""
        places, speeds = self.moving_nodes_at(time, scenario)
        return (
            np.array([0.5 * (r[:, -2] + r[:, -1]) for r in places]),
            np.array([0.5 * (v[:, -2] + v[:, -1]) for v in speeds]),
        )

    def lowest(self) -> Array:
        """How high the lowest node of each line of the batch is at its last step (L,), m up."""
        out: Array = np.minimum.reduceat(self._state.last.position[2], self.mesh.first)
        return out

    def lowest_at(self, times: Array, scenario: int = 0) -> Array:
        """How high the lowest node of each rod's line is at times (n,) of its past (rods, n), m up.

        After its last step a line stays where it was.
        """
        out = []
        for i in self.batch.lines_of(scenario):
            past = self._state.pasts[i]
            time = np.array(past.time)
            z, rate = np.array([state[:2, 2] for state in past.state]).swapaxes(0, 1)
            out.append(between_steps(time, z, rate, np.minimum(times, time[-1])).min(axis=1))
        return np.array(out)

    def line_orders(self, scenario: int = 0) -> tuple[LineOrder, ...]:
        """Everything ordered of a scenario's lines, by time."""
        lines = [self._state.handled[i] for i in self.batch.lines_of(scenario)]
        orders = [order for line in lines if line for order in line.orders]
        return tuple(sorted(orders, key=lambda order: order.time))

    def lines_out(self, time: float, scenario: int = 0) -> Array:
        """Line between tip and leader of each rod (rods,), m."""
        out = []
        for i in self.batch.lines_of(scenario):
            line, rod = self._state.handled[i], self.batch.rods[i]
            out.append(line.line_out(time)[0] if line else rod.line_out - rod.sections[-1].length)
        return np.array(out)

    def lines_going(self, time: float, scenario: int = 0) -> Array:
        """How fast each rod's line goes out (rods,), m/s; negative coming in."""
        lines = [self._state.handled[i] for i in self.batch.lines_of(scenario)]
        return np.array([line.line_out(time)[1] if line else 0.0 for line in lines])

    def fish_on(self, time: float, scenario: int = 0) -> tuple[float, ...]:
        """Mass of the fish on each rod's line, kg; 0 without one."""
        lines = [self._state.handled[i] for i in self.batch.lines_of(scenario)]
        return tuple(line.fish(time) if line else 0.0 for line in lines)

    def tensions_at(self, time: float, scenario: int = 0) -> Array:
        """Tension of each rod's line at its tip (rods,), N; straight between steps."""
        tensions = self._tip_tensions().at(time, self._state.pasts)
        return tensions[self.batch.lines_of(scenario)]

    def _tip_tensions(self) -> TipTensions:
        if self._tensions is None:
            self._tensions = TipTensions(self._state)
        return self._tensions

    def over_strength(self, time: float, scenario: int = 0) -> tuple[str, ...]:
        """What of each rod's line carries more than it stands, by name; "" where nothing does.

        At the last step before ``time``, s.
        """
        out = []
        for i in self.batch.lines_of(scenario):
            fine, past = self.scenarios[scenario].resolution, self._state.pasts[i]
            line = strength_of(self.batch.rods[i], fine, self._state.handled[i])
            j = max(past.index(time) - 1, 0)
            tensions = line.tensions(
                np.array([past.time[j]]), past.state[j][:1], np.array([past.tip[j]])
            )[0]
            over = [
                section.name
                for section, tension in zip(line.sections, tensions, strict=True)
                if tension > section.strength
            ]
            out.append(over[0] if over else "")
        return tuple(out)

    def trajectory(self, scenario: int = 0, since: float = 0.0) -> Trajectory:
        """What one scenario did, from its first step at or before ``since``."""
        records, numbers = [], self.batch.lines_of(scenario)
        for i in numbers:
            past = self._state.pasts[i]
            at = max(int(np.searchsorted(past.time, since, side="right")) - 1, 0)
            state = np.array(past.state[at:])
            records.append(LineRecord(
                self.batch.rods[i],
                np.array(past.time[at:]),
                [state[:, row] for row in (POSITION, VELOCITY, ACCEL)],
                self._state.handled[i],
                np.array(past.tip[at:]),
            ))  # fmt: skip
        track = self._state.tracks[scenario].copy()
        tension = self._tip_tensions().of_lines
        return Trajectory(self.scenarios[scenario], track, tuple(records), tension, numbers)
