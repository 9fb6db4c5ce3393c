"""Run scenarios: live, one at a time, or many in a batch, all with one stepper.

A Run is a past that can be carried on. Each accepted step of each line is
kept, so an order drops the steps that it would have changed and goes on from
there: the live run and one that knew the order from the start take the very
same steps. What an order asks for is worked out in full before anything of the
Run is changed, so one that fails leaves it as it was.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.checks import InvalidValue
from physics.line.core.stepper import BoatTable, Singular, Stepper, boat_table
from physics.line.handling import STACK, HandledMesh, Handling, handle
from physics.line.line_orders import LineOrder
from physics.line.march import (
    JUST_BEFORE,
    LONGEST,
    TOLERANCE,
    ConvergenceError,
    Count,
    Marcher,
    State,
)
from physics.line.mesh import Mesh, build_mesh, part_of
from physics.line.system import LineSystem
from physics.line.tackle import Rod
from physics.simulation.past import Past, hermite, stack
from physics.simulation.scenario import Scenario, handlings
from physics.simulation.strength import Strength
from physics.simulation.trajectory import LineRecord, Trajectory
from physics.vessel.boat import BoatState, Order, Pieces, jolt
from physics.vessel.helm import HelmTrack
from physics.vessel.motion import TableTrack

Array = NDArray[np.float64]
Index = NDArray[np.intp]

AN_INSTANT = 1e-9
"""Nothing happens within this time, s."""

LOT = 64
"""Most steps the compiled stepper takes of a line at a time: more only fill memory."""

JOLT, AFTER_JOLT = 0.02, 0.05
"""After the boat's acceleration jumps by more than the first, m/s^2, steps begin again at
the second, s, until what it sent down the line has passed."""

BATCH_LINES = 16
"""Lines stepped together: more fall out of the processor's cache."""


def tip_offset(rod: Rod, boat: BoatState) -> tuple[Array, Array]:
    """Where the rod tip is from the transducer (3,), m, and its velocity over ground (3,)."""
    s, c = np.sin(boat.heading), np.cos(boat.heading)
    ahead, starboard = np.array([s, c, 0.0]), np.array([c, -s, 0.0])
    place = -rod.astern * ahead + rod.abeam * starboard
    place[2] = rod.height
    swing = boat.turn * (-rod.astern * starboard - rod.abeam * ahead)
    return place, np.array([*boat.velocity, 0.0]) + swing


class Run:
    """One or more scenarios carried forward in time, each by its own clock.

    Starts in steady tow at t = 0. ``advance`` carries on, ``order`` steers,
    ``branch`` makes an independent copy of now, ``trajectory`` tells the past.
    """

    def __init__(
        self,
        scenarios: Sequence[Scenario],
        *,
        tolerance: float = TOLERANCE,
        longest: float = LONGEST,
        keep: float = math.inf,
    ) -> None:
        """``keep``: steps longer ago, s, may be forgotten, for a run without an end."""
        if not scenarios:
            raise InvalidValue("scenarios", 0, "at least one scenario")
        self.scenarios = tuple(scenarios)
        self._tracks: list[HelmTrack | TableTrack] = [s.track() for s in scenarios]
        self._of: list[tuple[int, int]] = [
            (k, j) for k, s in enumerate(scenarios) for j in range(len(s.rods))
        ]
        self._rods = [scenarios[k].rods[j] for k, j in self._of]
        self._offsets = np.array([(rod.astern, rod.abeam) for rod in self._rods]).T
        self._handled = [line for scenario in scenarios for line in handlings(scenario)]
        self._tips = np.array([line.tip(0.0) if line else 0 for line in self._handled])
        self.mesh = self._laid(self._handled)
        self._marcher = self._march(self.mesh, self._handled, self._tips, tolerance, longest)
        start = self._marcher.settle(*self._guess())
        self._state = start
        self._past = [Past(keep=keep) for _ in self._rods]
        self._reach = start.time
        self._system: LineSystem | None = None
        self._worn: HandledMesh | None = None
        self._pulls: dict[tuple[float, ...], Array] = {}
        self._record(np.ones(len(self._rods), dtype=bool))

    def _laid(self, handled: Sequence[Handling | None]) -> Mesh:
        """The mesh of all lines, with what waits on their reels."""
        return build_mesh(
            [(self.scenarios[k].rods[j], self.scenarios[k].water) for k, j in self._of],
            [self.scenarios[k].resolution for k, _ in self._of],
            [line.spare if line else [] for line in handled],
        )

    def _march(
        self,
        mesh: Mesh,
        handled: Sequence[Handling | None],
        tips: Index,
        tolerance: float,
        longest: float,
    ) -> Marcher:
        dressing = HandledMesh(mesh, handled, tips) if any(handled) else None
        return Marcher(mesh, mesh.first, self._drive, tolerance, longest, dressing=dressing)

    def __getstate__(self) -> dict[str, object]:
        """Sent to another process without what can be made anew."""
        return {**self.__dict__, "_system": None, "_worn": None, "_pulls": {}}

    @property
    def count(self) -> Count:
        """Work done so far."""
        return self._marcher.count

    def _drive(self, time: Array) -> Array:
        """Tip velocities (3, L) at each line's own time."""
        out = np.zeros((3, len(time)))
        known: dict[tuple[int, float], BoatState] = {}
        for i, (k, _) in enumerate(self._of):
            # what happens at an instant is felt after it, not by the step that ends there
            key = (k, float(time[i]) - AN_INSTANT)
            if key not in known:
                known[key] = self._tracks[k].at(key[1])
            boat = known[key]
            s, c = np.sin(boat.heading), np.cos(boat.heading)
            astern, abeam = self._offsets[:, i]
            out[0, i] = boat.velocity[0] - boat.turn * (astern * c + abeam * s)
            out[1, i] = boat.velocity[1] - boat.turn * (-astern * s + abeam * c)
        return out

    def _guess(self) -> tuple[Array, Array]:
        """Straight lines astern, sloping down a little: a start for the settling."""
        r, v = np.zeros((3, self.mesh.nodes)), np.zeros((3, self.mesh.nodes))
        for i, (k, _) in enumerate(self._of):
            boat = self._tracks[k].at(0.0)
            place, velocity = tip_offset(self._rods[i], self._tracks[k].at(-JUST_BEFORE))
            first, last = self.mesh.first[i] + self._tips[i], self.mesh.last[i]
            out = np.concatenate([[0.0], np.cumsum(self.mesh.length[first:last])])
            water = np.array([*self.scenarios[k].water.current, 0.0])
            flow = velocity - water
            speed = max(float(np.hypot(flow[0], flow[1])), 1e-6)
            bottom = self.scenarios[k].water.bottom.shallowest
            drop = min(0.07, 0.5 * (bottom + self._rods[i].height) / max(out[-1], 0.1))
            r[:, first : last + 1] = (
                np.array([boat.x, boat.y, 0.0])[:, None]
                + place[:, None]
                - out * (flow / speed)[:, None] * np.sqrt(1.0 - drop * drop)
            )
            r[2, first : last + 1] -= out * drop
            reel = self.mesh.first[i]
            r[:, reel:first] = stack(r[:, first], int(first - reel))
            v[:, reel : last + 1] = velocity[:, None]
        return r, v

    def _record(self, moved: NDArray[np.bool_]) -> None:
        state = self._state
        for i in np.flatnonzero(moved):
            span = slice(self.mesh.first[i], self.mesh.last[i] + 1)
            # copies: a view would keep the whole batch's arrays for the sake of one line
            rows = [
                row[:, span].copy()
                for row in (state.position, state.velocity, state.accel, state.jerk)
            ]
            time, step, reach = float(state.time[i]), float(state.step[i]), float(self._reach[i])
            self._past[i].add(time, step, rows, int(self._tips[i]), reach)

    def advance(self, until: float | Array, most_rounds: int | None = None) -> bool:
        """Step until every line has reached ``until`` (s, one or per scenario) or beyond.

        Steps keep their own length and end only at orders and the like, so a
        line may be ahead of ``until``. With ``most_rounds`` it stops early;
        returns whether it got there. Raises ConvergenceError.
        """
        goal = np.broadcast_to(np.asarray(until, dtype=float), len(self.scenarios))
        each = np.array([goal[k] for k, _ in self._of])
        if self._marcher.compiled is not None:
            return self._advance_compiled(self._marcher.compiled, each, most_rounds)
        rounds = 0
        while np.any(self._state.time < each - 1e-9):
            if most_rounds is not None and rounds >= most_rounds:
                return False
            rounds += 1
            limit = self._state.time.copy()
            for i in range(len(self._of)):
                if limit[i] < each[i] - 1e-9:
                    limit[i] = self._next_break(i, float(limit[i]))
            self._round(limit)
        return True

    def _advance_compiled(
        self, stepper: Stepper, each: Array, most: int | None, exactly: bool = False
    ) -> bool:
        """As ``advance``, line by line; at most so many steps of each."""
        arrived = True
        tables: dict[int, tuple[float, float, BoatTable]] = {}
        made: dict[tuple[int, float, float], BoatTable] = {}
        for i, (k, _) in enumerate(self._of):
            past, goal = self._past[i], float(each[i])
            left = LOT if most is None else most
            while past.time[-1] < goal - 1e-9:
                if left <= 0:
                    arrived = False
                    break
                now = past.time[-1]
                limit = self._next_break(i, now)
                if exactly:
                    limit = min(limit, goal)
                end = min(limit, goal + self._marcher.longest)
                known = tables.get(k)
                if known is None or known[0] > now or known[1] < end:
                    # most lines of a boat come from one break to the next together
                    if (k, now, end) not in made:
                        made[k, now, end] = _table(self._tracks[k].pieces(now, end))
                    known = tables[k] = now, end, made[k, now, end]
                left -= self._march_line(stepper, i, known[2], limit, goal, min(left, LOT))
                if most is None:
                    left = LOT
        self._state = self._shortened({})[1]
        self._reach = self._state.time
        return arrived

    def _march_line(
        self, stepper: Stepper, i: int, boat: BoatTable, limit: float, goal: float, most: int
    ) -> int:
        """Carry line i on; how many steps it took. Raises ConvergenceError."""
        past, marcher, now = self._past[i], self._marcher, self._past[i].time[-1]
        start = np.array([past.position[-1], past.velocity[-1], past.accel[-1], past.jerk[-1]])
        try:
            done = stepper.march(
                i, boat, self._offsets[:, i], start, now, past.step[-1], limit, goal,
                marcher.tolerance, marcher.longest, most,
            )  # fmt: skip
        except Singular as error:
            raise ConvergenceError(f"line {i} found no solution at {error.time:.3f} s") from None
        marcher.count.rounds += done.tries
        marcher.count.solves += done.solves
        marcher.count.rejected += done.tries - len(done.time)
        tip = int(self._tips[i])
        for k, rows in enumerate(done.state):
            past.add(float(done.time[k]), float(done.step[k]), rows, tip, float(done.reach[k]))
        line, time = self._handled[i], past.time[-1]
        if len(done.time) and abs(time - limit) < 1e-9:
            if line is not None and self._breaks(line, time):
                past.replace_last(self._retipped(done.state[-1], i, line, time), int(self._tips[i]))
            past.step[-1] = self._eased(i, time, past.step[-1])
        return len(done.time)

    def _next_break(self, i: int, time: float) -> float:
        """When line i next feels its boat or its reel change at once, s."""
        line, coming = self._handled[i], self._tracks[self._of[i][0]].next_break(time)
        return coming if line is None else min(coming, line.next_break(time))

    def _round(self, limit: Array) -> None:
        state, moved = self._marcher.round(self._state, limit)
        self._reach = np.maximum(self._reach, self._marcher.tried)
        landed = moved & (np.abs(state.time - limit) < 1e-9)
        for i in np.flatnonzero(landed):
            line = self._handled[i]
            if line is not None and self._breaks(line, float(state.time[i])):
                state = self._retip(state, int(i), line)
            state.step[i] = self._eased(int(i), float(state.time[i]), float(state.step[i]))
        self._state = state
        self._record(moved)
        self._reach = np.where(moved, state.time, self._reach)

    @staticmethod
    def _breaks(line: Handling, time: float) -> bool:
        """Whether something of a line changes at once at a time."""
        return line.next_break(time - 1e-6) < time + 1e-6

    def _eased(self, i: int, time: float, step: float) -> float:
        """The step to try from a time on, s: a short one where line i is jolted."""
        line = self._handled[i]
        jolted = line is not None and self._breaks(line, time)
        if jolted or jolt(self._tracks[self._of[i][0]], time) > JOLT:
            return min(step, AFTER_JOLT)
        return step

    def _retip(self, state: State, i: int, line: Handling) -> State:
        """Let go the nodes of line i that have come out, take those that have come in."""
        span = slice(self.mesh.first[i], self.mesh.last[i] + 1)
        rows = [a.copy() for a in (state.position, state.velocity, state.accel, state.jerk)]
        mine = self._retipped(np.array([row[:, span] for row in rows]), i, line, state.time[i])
        for row, part in zip(rows, mine, strict=True):
            row[:, span] = part
        return State(state.time, state.step, *rows)

    def _retipped(self, rows: Array, i: int, line: Handling, time: float) -> Array:
        """Line i's own state (4, 3, K) with another node at the tip, if it is time for that."""
        old, new = int(self._tips[i]), line.tip(float(time))
        if old == new:
            return rows
        rows = rows.copy()
        out, rate = line.line_out(float(time))
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
        self._set_tip(i, new)
        return rows

    def _set_tip(self, i: int, tip: int) -> None:
        self._tips[i] = tip
        if self._marcher.dressing is not None:
            self._marcher.dressing.set_tips(self._tips)

    def order_line(self, order: LineOrder, scenario: int = 0) -> None:
        """Order something of one line; what was already computed beyond it is dropped.

        Raises InvalidValue for a rod that is not there, and for a time this Run does not
        know; then nothing is changed.
        """
        names = [rod.name for rod in self.scenarios[scenario].rods]
        if order.rod not in names:
            raise InvalidValue("line order", order.rod, "one of " + ", ".join(names))
        i = self._of.index((scenario, names.index(order.rod)))
        self._require_known(order.time, [i])
        water, fine = self.scenarios[scenario].water, self.scenarios[scenario].resolution
        before = self._handled[i]
        orders = before.orders if before else ()
        after = handle(self._rods[i], (*orders, order), water, fine)
        handled = [*self._handled]
        handled[i] = after
        more = len(after.spare) - (len(before.spare) if before else 0)
        mesh = self._laid(handled) if more else self.mesh
        pasts, state = self._shortened({i: self._past[i].before(order.time).respooled(more)})
        tips = np.array([past.tip[-1] for past in pasts])
        old = self._marcher
        marcher = self._march(mesh, handled, tips, old.tolerance, old.longest)
        marcher.count = old.count
        self.mesh, self._handled, self._tips, self._marcher = mesh, handled, tips, marcher
        self._system = self._worn = None
        self._resume(pasts, state)
        self._ease([i], order.time)

    def line_orders(self, scenario: int = 0) -> tuple[LineOrder, ...]:
        """Everything ordered of a scenario's lines, by time."""
        lines = [self._handled[i] for i in self._lines_of(scenario)]
        orders = [order for line in lines if line for order in line.orders]
        return tuple(sorted(orders, key=lambda order: order.time))

    def lines_out(self, time: float, scenario: int = 0) -> Array:
        """Line between tip and leader of each rod (rods,), m."""
        out = []
        for i in self._lines_of(scenario):
            line, rod = self._handled[i], self._rods[i]
            out.append(line.line_out(time)[0] if line else rod.line_out - rod.sections[-1].length)
        return np.array(out)

    def lines_going(self, time: float, scenario: int = 0) -> Array:
        """How fast each rod's line goes out (rods,), m/s; negative coming in."""
        lines = [self._handled[i] for i in self._lines_of(scenario)]
        return np.array([line.line_out(time)[1] if line else 0.0 for line in lines])

    def fish_on(self, time: float, scenario: int = 0) -> tuple[float, ...]:
        """Mass of the fish on each rod's line, kg; 0 without one."""
        lines = [self._handled[i] for i in self._lines_of(scenario)]
        return tuple(line.fish(time) if line else 0.0 for line in lines)

    def advance_exactly(self, until: float) -> None:
        """Step until every line stands at ``until`` itself.

        Raises InvalidValue for a time before this Run begins, and ConvergenceError.
        """
        lines = range(len(self._rods))
        self._require_known(until, lines)
        self._resume(*self._shortened({i: self._past[i].until(until) for i in lines}))
        if self._marcher.compiled is not None:
            each = np.full(len(self._rods), until)
            self._advance_compiled(self._marcher.compiled, each, None, exactly=True)
            return
        while np.any(self._state.time < until - 1e-9):
            limit = np.full(len(self._rods), until)
            for i in lines:
                limit[i] = min(until, self._next_break(i, float(self._state.time[i])))
            self._round(limit)

    def order(self, order: Order, scenario: int = 0) -> None:
        """Give one scenario an order; what was already computed beyond it is dropped.

        Raises InvalidValue with a prescribed motion, and for a time this Run does not
        know; then nothing is changed.
        """
        track = self._tracks[scenario]
        if isinstance(track, TableTrack):
            raise InvalidValue("order", order.action, "no orders with a prescribed motion")
        lines = [] if order.action == "mark" else self._lines_of(scenario)
        self._require_known(order.time, lines)
        track = track.copy()
        track.order(order)
        track.at(order.time)
        cut = self._shortened({i: self._past[i].before(order.time) for i in lines})
        self._tracks[scenario] = track
        self._resume(*cut)
        self._ease(lines, order.time)

    def _require_known(self, time: float, lines: Sequence[int] | range) -> None:
        """Some lines' pasts must begin no later than a time."""
        begin = max((self._past[i].time[0] for i in lines), default=0.0)
        if time < begin - 1e-9:
            raise InvalidValue(
                "order time", time, f"{begin:.3f} s, where this run begins, or later"
            )

    def _shortened(self, shorter: dict[int, Past]) -> tuple[list[Past], State]:
        """All pasts, some lines' being these, and the state at their ends."""
        pasts = [shorter.get(i, past) for i, past in enumerate(self._past)]
        step = self._state.step.copy()
        for i, past in shorter.items():
            # even if nothing is dropped: attempts that came to nothing have shortened it
            step[i] = past.step[-1]
        rows = [(past.position, past.velocity, past.accel, past.jerk) for past in pasts]
        ends = [
            np.concatenate([row[-1] for row in kind], axis=1) for kind in zip(*rows, strict=True)
        ]
        return pasts, State(np.array([past.time[-1] for past in pasts]), step, *ends)

    def _resume(self, pasts: list[Past], state: State) -> None:
        """Go on from where these pasts end."""
        fresh = [past is not old for past, old in zip(pasts, self._past, strict=True)]
        self._reach = np.where(fresh, state.time, self._reach)
        self._past, self._state, self._pulls = pasts, state, {}
        tips = np.array([past.tip[-1] for past in pasts])
        if not np.array_equal(tips, self._tips):
            self._tips = tips
            if self._marcher.dressing is not None:
                self._marcher.dressing.set_tips(tips)

    def _ease(self, lines: Sequence[int], time: float) -> None:
        """Begin with a short step where a line stands at the very instant it is jolted."""
        for i in lines:
            if time > 0.0 and abs(self._past[i].time[-1] - time) < 1e-9:
                self._state.step[i] = self._eased(i, time, float(self._state.step[i]))

    def branch(
        self,
        since: float = math.inf,
        tolerance: float | None = None,
        longest: float | None = None,
    ) -> Run:
        """An independent Run that knows this one's steps from just before ``since`` s only.

        Without it, the last of each line. It may go on with a ``tolerance``, m, and a
        ``longest`` step, s, of its own.
        """
        twin = object.__new__(Run)
        twin.scenarios, twin._of, twin._rods = self.scenarios, self._of, self._rods
        twin.mesh, twin._offsets = self.mesh, self._offsets
        twin._tracks = [track.copy() for track in self._tracks]
        twin._handled, twin._tips = list(self._handled), self._tips.copy()
        old = self._marcher
        twin._marcher = twin._march(
            twin.mesh, twin._handled, twin._tips, tolerance or old.tolerance, longest or old.longest
        )
        twin._state = self._state
        twin._past = [past.since(since) for past in self._past]
        twin._reach = self._reach
        twin._system, twin._worn, twin._pulls = None, None, {}
        return twin

    def branch_at(self, time: float) -> Run:
        """An independent Run standing exactly at ``time``."""
        twin = self.branch(time)
        twin.advance_exactly(time)
        twin._past = [past.tail() for past in twin._past]
        return twin

    def fan(self, starts: Sequence[Run]) -> Run:
        """One Run of many branches of this one, each from its own latest step on.

        The k-th start is scenario k of the new Run (this one must hold a
        single scenario); stepped together they cost a fraction of one by one.
        """
        lines = len(self._rods)
        twin = self.branch()
        twin.scenarios = tuple(start.scenarios[0] for start in starts)
        twin._of = [(k, j) for k in range(len(starts)) for j in range(lines)]
        twin._rods = [rod for start in starts for rod in start._rods]
        twin.mesh, _ = part_of(self.mesh, np.tile(np.arange(lines), len(starts)))
        twin._offsets = np.tile(self._offsets, len(starts))
        twin._tracks = [start._tracks[0].copy() for start in starts]
        twin._past = [past.tail() for start in starts for past in start._past]
        twin._handled = [line for start in starts for line in start._handled]
        twin._tips = np.concatenate([start._tips for start in starts])
        twin._reach = np.concatenate([start._reach for start in starts])
        states = [start._state for start in starts]
        twin._state = State(
            np.concatenate([s.time for s in states]),
            np.concatenate([s.step for s in states]),
            np.concatenate([s.position for s in states], axis=1),
            np.concatenate([s.velocity for s in states], axis=1),
            np.concatenate([s.accel for s in states], axis=1),
            np.concatenate([s.jerk for s in states], axis=1),
        )
        old = self._marcher
        twin._marcher = twin._march(
            twin.mesh, twin._handled, twin._tips, old.tolerance, old.longest
        )
        return twin

    def boat(self, time: float, scenario: int = 0) -> BoatState:
        """The boat of one scenario at a time, s."""
        return self._tracks[scenario].at(time)

    def track(self, scenario: int = 0) -> HelmTrack | TableTrack:
        """The helm track of one scenario."""
        return self._tracks[scenario]

    def reached(self) -> float:
        """The time every line has reached, s."""
        return float(self._state.time.min())

    def nodes_at(self, time: float, scenario: int = 0) -> list[Array]:
        """Node positions (3, K) of each rod at a time within its last steps, m."""
        return self.moving_nodes_at(time, scenario)[0]

    def moving_nodes_at(self, time: float, scenario: int = 0) -> tuple[list[Array], list[Array]]:
        """Node positions and velocities (3, K) of each rod, as in ``nodes_at``."""
        places, speeds = [], []
        for i in self._lines_of(scenario):
            past = self._past[i]
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

    def tensions_at(self, time: float, scenario: int = 0) -> Array:
        """Pull of each rod's line on its tip (rods,), N; straight between steps."""
        if self._system is None:
            self._system, self._worn = LineSystem(self.mesh), None
            if any(self._handled):
                self._worn = HandledMesh(self.mesh, self._handled, self._tips)
                self._system = LineSystem(self._worn.mesh, self._worn.balls, self._worn.base)
        at = [past.index(time) for past in self._past]
        pair = []
        for back in (1, 0):
            row = [max(j - back, 0) for j in at]
            key = tuple(past.time[j] for past, j in zip(self._past, row, strict=True))
            if key not in self._pulls:
                pasts = list(zip(self._past, row, strict=True))
                tips = np.array([p.tip[j] for p, j in pasts])
                if self._worn is not None:
                    self._worn.set_tips(tips)
                    self._worn.at(np.array(key))
                self._system.evaluate(
                    np.concatenate([p.position[j] for p, j in pasts], axis=1),
                    np.concatenate([p.velocity[j] for p, j in pasts], axis=1),
                    np.concatenate([p.accel[j] for p, j in pasts], axis=1),
                    np.ones(self.mesh.nodes),
                )
                ends = self._system.residual[:, self.mesh.first + tips]
                pull = np.sqrt((ends**2).sum(axis=0))
                self._pulls[key] = pull
                while len(self._pulls) > 4:
                    self._pulls.pop(next(iter(self._pulls)))
            pair.append((np.array(key), self._pulls[key]))
        (t0, p0), (t1, p1) = pair
        share = np.clip((time - t0) / np.maximum(t1 - t0, 1e-9), 0.0, 1.0)
        both = p0 + share * (p1 - p0)
        return np.array([both[i] for i in self._lines_of(scenario)])

    def over_strength(self, time: float, scenario: int = 0) -> tuple[str, ...]:
        """What of each rod's line carries more than it stands, by name; "" where nothing does.

        At the last step before ``time``, s.
        """
        out = []
        for i in self._lines_of(scenario):
            fine, past = self.scenarios[scenario].resolution, self._past[i]
            line = Strength(self._rods[i], fine, self._handled[i])
            j = max(past.index(time) - 1, 0)
            pulls = line.pulls(
                np.array([past.time[j]]), past.position[j][None], np.array([past.tip[j]])
            )[0]
            over = [
                s.name for s, pull in zip(line.sections, pulls, strict=True) if pull > s.strength
            ]
            out.append(over[0] if over else "")
        return tuple(out)

    def _lines_of(self, scenario: int) -> list[int]:
        return [i for i, (k, _) in enumerate(self._of) if k == scenario]

    def trajectory(self, scenario: int = 0, since: float = 0.0) -> Trajectory:
        """What one scenario did, from its first step at or before ``since``."""
        records = []
        for i, (k, j) in enumerate(self._of):
            if k != scenario:
                continue
            past = self._past[i]
            at = max(int(np.searchsorted(past.time, since, side="right")) - 1, 0)
            records.append(LineRecord(
                self.scenarios[k].rods[j],
                np.array(past.time[at:]),
                np.array(past.position[at:]),
                np.array(past.velocity[at:]),
                np.array(past.accel[at:]),
                self._handled[i],
                np.array(past.tip[at:]),
            ))  # fmt: skip
        return Trajectory(self.scenarios[scenario], self._tracks[scenario].copy(), tuple(records))


def _table(pieces: Pieces) -> BoatTable:
    return boat_table(pieces.time, pieces.speed, pieces.heading, pieces.turn, pieces.drift)


def simulate(
    scenario: Scenario, *, tolerance: float = TOLERANCE, longest: float = 1.0
) -> Trajectory:
    """Run one scenario for its duration from steady tow. Raises ConvergenceError."""
    run = Run([scenario], tolerance=tolerance, longest=longest)
    run.advance(scenario.duration)
    return run.trajectory()


def simulate_many(
    scenarios: Sequence[Scenario], *, tolerance: float = TOLERANCE, longest: float = 1.0
) -> list[Trajectory]:
    """Run many scenarios in batches; each answer is what ``simulate`` gives alone."""
    out: list[Trajectory] = []
    batch: list[Scenario] = []
    for number, scenario in enumerate(scenarios):
        batch.append(scenario)
        full = sum(len(s.rods) for s in batch) >= BATCH_LINES
        if full or number == len(scenarios) - 1:
            run = Run(batch, tolerance=tolerance, longest=longest)
            run.advance(np.array([s.duration for s in batch]))
            out += [run.trajectory(k) for k in range(len(batch))]
            batch = []
    return out


@dataclass(frozen=True, slots=True)
class Frame:
    """One instant of a live run: the boat, and node positions (3, K) of each rod, m."""

    time: float
    boat: BoatState
    nodes: list[Array]


def frames(scenario: Scenario, interval: float) -> Generator[Frame, Order | None, None]:
    """Frames of a run every ``interval`` s until its duration; no clock, no screen.

    ``send`` an Order to steer; it takes effect at its own time, which must not
    lie before the last frame.
    """
    run = Run([scenario])
    number = 0
    while (time := number * interval) <= scenario.duration + 1e-9:
        run.advance(time)
        order = yield Frame(time, run.boat(time), run.nodes_at(time))
        if order is not None:
            run.order(order)
        number += 1


__all__ = ["Frame", "Run", "frames", "simulate", "simulate_many", "tip_offset"]
