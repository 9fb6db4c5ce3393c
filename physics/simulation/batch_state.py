"""What moves of a batch: where its boats and lines stand, and how they came there."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.line.handling import STACK, Handling
from physics.line.march import JUST_BEFORE, State
from physics.simulation.batch import Batch, tip_offset
from physics.simulation.past import Past, stack
from physics.simulation.scenario import Scenario, handlings
from physics.vessel.boat import BoatState, Motion, acceleration_jump
from physics.vessel.helm import HelmTrack
from physics.vessel.motion import TableTrack

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Track = HelmTrack | TableTrack

AN_INSTANT = 1e-9
"""Nothing happens within this time, s."""

JUMP, STEP_AFTER_JUMP = 0.02, 0.05
"""After the boat's acceleration jumps by more than the first, m/s^2, steps begin again at
the second, s, until what it sent down the line has passed."""


TRACK_WHOLE = 900.0
"""Where old steps of lines are forgotten, boats' tracks are thinned beyond this, s: further back
than anything is looked for often."""


@dataclass(slots=True)
class BatchState:
    """A batch at the ends of its lines' last steps.

    ``tracks`` are the boats of its K scenarios, one for all that go alike; of its L lines
    ``handled`` is what is done to them, ``tips`` the numbers of the nodes at their rod tips,
    ``pasts`` their steps, ``last`` the end of those, and ``reach`` s how far the attempts went
    that came to nothing since.
    """

    batch: Batch
    tracks: list[Track]
    handled: list[Handling | None]
    tips: Index
    pasts: list[Past]
    last: State
    reach: Array

    @classmethod
    def guessed(cls, batch: Batch, keep: float) -> BatchState:
        """A start for the settling: straight lines astern that slope down a little, no steps yet.

        Steps longer ago than ``keep`` s may be forgotten.
        """
        handled = [line for scenario in batch.scenarios for line in handlings(scenario)]
        tips = np.array([line.tip(0.0) if line else 0 for line in handled], dtype=np.intp)
        tracks = _tracks(batch.scenarios)
        r, v = _straight(batch, tracks, tips)
        lines, none = len(batch.rods), np.zeros_like(r)
        start = State(np.zeros(lines), np.zeros(lines), r, v, none, none)
        pasts = [Past(keep=keep) for _ in batch.rods]
        return cls(batch, tracks, handled, tips, pasts, start, start.time)

    def since(self, time: float) -> BatchState:
        """An independent one that knows the steps from just before ``time`` s only."""
        return BatchState(
            self.batch,
            _copies(self.tracks),
            list(self.handled),
            self.tips.copy(),
            [past.since(time) for past in self.pasts],
            self.last,
            self.reach,
        )

    @classmethod
    def together(cls, batch: Batch, starts: Sequence[BatchState]) -> BatchState:
        """Independent ones of ``starts`` in one batch, each from its own latest step on."""
        states = [start.last for start in starts]
        return cls(
            batch,
            _copies([track for start in starts for track in start.tracks]),
            [line for start in starts for line in start.handled],
            np.concatenate([start.tips for start in starts]),
            [past.tail() for start in starts for past in start.pasts],
            State(
                np.concatenate([state.time for state in states]),
                np.concatenate([state.step for state in states]),
                np.concatenate([state.position for state in states], axis=1),
                np.concatenate([state.velocity for state in states], axis=1),
                np.concatenate([state.accel for state in states], axis=1),
                np.concatenate([state.jerk for state in states], axis=1),
            ),
            np.concatenate([start.reach for start in starts]),
        )

    def tip_velocity(self, time: Array) -> Array:
        """Velocities of the rod tips (3, L), m/s, at each line's own time (L,), s."""
        out = np.zeros((3, len(time)))
        known: dict[tuple[int, float], BoatState] = {}
        for i, (k, _) in enumerate(self.batch.of):
            # what happens at an instant is felt after it, not by the step that ends there
            key = (k, float(time[i]) - AN_INSTANT)
            if key not in known:
                known[key] = self.tracks[k].at(key[1])
            boat = known[key]
            s, c = np.sin(boat.heading), np.cos(boat.heading)
            astern, abeam = self.batch.offsets[:, i]
            out[0, i] = boat.velocity[0] - boat.turn * (astern * c + abeam * s)
            out[1, i] = boat.velocity[1] - boat.turn * (-astern * s + abeam * c)
        return out

    def age(self) -> None:
        """Thin the boats' old tracks, if the lines' old steps may be forgotten."""
        if any(past.keep < math.inf for past in self.pasts):
            old = min(past.time[-1] for past in self.pasts) - TRACK_WHOLE
            for track in self.tracks:
                if isinstance(track, HelmTrack):
                    track.thin(old)

    def record(self, moved: NDArray[np.bool_]) -> None:
        """The last step is one of the past of each line that ``moved`` (L,)."""
        last = self.last
        rows = np.stack([last.position, last.velocity, last.accel, last.jerk])[None]
        for i in map(int, np.flatnonzero(moved)):
            # a copy: a view would keep the whole batch's arrays for the sake of one line
            own, only = rows[..., self.batch.nodes_of(i)].copy(), slice(i, i + 1)
            tip = int(self.tips[i])
            self.pasts[i].add(last.time[only], last.step[only], own, tip, self.reach[only])

    def next_break(self, i: int, time: float) -> float:
        """When line i next feels its boat or its reel change at once, s."""
        line, coming = self.handled[i], self.tracks[self.batch.of[i][0]].next_break(time)
        return coming if line is None else min(coming, line.next_break(time))

    def breaks(self, i: int, time: float) -> bool:
        """Whether something is done to line i at a time, s."""
        line = self.handled[i]
        return line is not None and line.next_break(time - 1e-6) < time + 1e-6

    def eased(self, i: int, time: float, step: float) -> float:
        """The step to try from a time on, s: a short one where line i feels a jump."""
        if self.breaks(i, time):
            return min(step, STEP_AFTER_JUMP)
        return min(step, step_after(self.tracks[self.batch.of[i][0]], time))

    def retipped(self, i: int, time: float, rows: Array) -> tuple[Array, int]:
        """Line i's own state (4, 3, K) with the node at the tip that is there at a time, s.

        Nodes that have come out are let go, those that have come in taken; also returns the
        number of the node.
        """
        line, old = self.handled[i], int(self.tips[i])
        new = old if line is None else line.tip(time)
        if line is None or old == new:
            return rows, old
        rows = rows.copy()
        out, rate = line.line_out(time)
        free, top = old + 1, rows[:, :, old].copy()
        element = rows[0][:, free] - top[0]
        element /= np.sqrt(element @ element)
        for j in range(new + 1, old + 1):
            down = (out + line.leader - line.along[j]) / (out + line.leader - line.along[old + 1])
            rows[:, :, j] = (1.0 - down) * top + down * rows[:, :, free]
            rows[1][:, j] += (1.0 - down) * rate * element
        for row, tip, apart in zip(rows, top, (STACK, 0.0, 0.0, 0.0), strict=True):
            row[:, new] = tip
            row[:, :new] = stack(tip, new, apart)
        return rows, new

    def shortened(self, shorter: dict[int, Past]) -> tuple[list[Past], State]:
        """All pasts, some lines' being these, and the state at their ends."""
        pasts = [shorter.get(i, past) for i, past in enumerate(self.pasts)]
        step = self.last.step.copy()
        for i, past in shorter.items():
            # even if nothing is dropped: attempts that came to nothing have shortened it
            step[i] = past.step[-1]
        ends = np.concatenate([past.state[-1] for past in pasts], axis=2)
        return pasts, State(np.array([past.time[-1] for past in pasts]), step, *ends)


def step_after(motion: Motion, time: float) -> float:
    """The longest step to try after a time, s: a short one if the boat's acceleration jumps."""
    return STEP_AFTER_JUMP if acceleration_jump(motion, time) > JUMP else math.inf


def _tracks(scenarios: Sequence[Scenario]) -> list[Track]:
    """The boats of scenarios, those that go alike sharing one: it is integrated only once."""
    known: dict[Hashable, Track] = {}
    out = []
    for one in scenarios:
        water, motion = one.water, one.motion
        mark = one.mark and (one.mark.time, one.mark.depth)
        # a long table is the same if it is the very same
        key = (
            one.boat, water.current, water.wind, one.speed, one.heading, one.orders, mark,
            id(motion),
        )  # fmt: skip
        if key not in known:
            known[key] = one.track()
        out.append(known[key])
    return out


def _copies(tracks: Sequence[Track]) -> list[Track]:
    """Independent continuations; those that were one stay one."""
    known = {id(track): track.copy() for track in tracks}
    return [known[id(track)] for track in tracks]


def _straight(batch: Batch, tracks: Sequence[Track], tips: Index) -> tuple[Array, Array]:
    """Node positions (3, N), m, and velocities, m/s, of straight lines astern."""
    mesh = batch.mesh
    r, v = np.zeros((3, mesh.nodes)), np.zeros((3, mesh.nodes))
    for i, (k, _) in enumerate(batch.of):
        boat, rod, water = tracks[k].at(0.0), batch.rods[i], batch.scenarios[k].water
        place, velocity = tip_offset(rod, tracks[k].at(-JUST_BEFORE))
        first, last = mesh.first[i] + tips[i], mesh.last[i]
        out = np.concatenate([[0.0], np.cumsum(mesh.length[first:last])])
        flow = velocity - np.array([*water.current, 0.0])
        speed = max(float(np.hypot(flow[0], flow[1])), 1e-6)
        drop = min(0.07, 0.5 * (water.bottom.shallowest + rod.height) / max(out[-1], 0.1))
        r[:, first : last + 1] = (
            np.array([boat.x, boat.y, 0.0])[:, None]
            + place[:, None]
            - out * (flow / speed)[:, None] * np.sqrt(1.0 - drop * drop)
        )
        r[2, first : last + 1] -= out * drop
        reel = mesh.first[i]
        r[:, reel:first] = stack(r[:, first], int(first - reel))
        v[:, reel : last + 1] = velocity[:, None]
    return r, v
