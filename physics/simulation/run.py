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
from physics.line.handling import HandledMesh, Handling, handle
from physics.line.line_orders import LineOrder
from physics.line.march import LONGEST, TOLERANCE, Count, Marcher, State
from physics.line.mesh import Mesh
from physics.simulation.batch import Batch
from physics.simulation.batch_state import BatchState, Track
from physics.simulation.compiled_march import BoatTables, advance_compiled
from physics.simulation.past import Past
from physics.simulation.run_queries import RunQueries
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import BoatState, Order
from physics.vessel.motion import TableTrack

Array = NDArray[np.float64]
Index = NDArray[np.intp]

BATCH_LINES = 16
"""Lines stepped together: more fall out of the processor's cache."""


class Run(RunQueries):
    """One or more scenarios carried forward in time, each by its own clock.

    Starts in steady tow at t = 0. ``advance`` carries on, ``order`` steers,
    ``branch`` makes an independent copy of now, ``trajectory`` tells the past.
    """

    def __init__(
        self,
        start: Sequence[Scenario] | BatchState,
        *,
        tolerance: float = TOLERANCE,
        longest: float = LONGEST,
        keep: float = math.inf,
    ) -> None:
        """From the steady tow of some scenarios, or on from where a batch stands.

        ``tolerance`` m and ``longest`` s are the stepper's. ``keep``: steps longer ago, s, and
        more than one for each of those, may be forgotten, for a run without an end that begins in
        steady tow. Raises InvalidValue without a scenario, and ConvergenceError.
        """
        self._boats = BoatTables()
        if isinstance(start, BatchState):
            super().__init__(start)
            self._marcher = self._march(start.batch.mesh, start.handled, start.tips,
                                        tolerance, longest)  # fmt: skip
            return
        if not start:
            raise InvalidValue("scenarios", 0, "at least one scenario")
        state = BatchState.guessed(Batch.lay(start), keep)
        super().__init__(state)
        self._marcher = self._march(state.batch.mesh, state.handled, state.tips,
                                    tolerance, longest)  # fmt: skip
        state.last = self._marcher.settle(state.last.position, state.last.velocity)
        state.reach = state.last.time
        state.record(np.ones(len(state.pasts), dtype=bool))

    def _march(
        self,
        mesh: Mesh,
        handled: Sequence[Handling | None],
        tips: Index,
        tolerance: float,
        longest: float,
    ) -> Marcher:
        handled_mesh = HandledMesh(mesh, handled, tips) if any(handled) else None
        # not a method of this Run's: one that is done with must go at once, not with the collector
        drive = self._state.tip_velocity
        return Marcher(mesh, mesh.first, drive, tolerance, longest, handled_mesh=handled_mesh)

    def __getstate__(self) -> dict[str, object]:
        """Sent to another process without what can be made anew."""
        return {**self.__dict__, "_tensions": None}

    @property
    def count(self) -> Count:
        """Work done so far."""
        return self._marcher.count

    def advance(self, until: float | Array, most_rounds: int | None = None) -> bool:
        """Step until every line has reached ``until`` (s, one or per scenario) or beyond.

        Steps keep their own length and end only at orders and the like, so a
        line may be ahead of ``until``. With ``most_rounds`` it stops early;
        returns whether it got there. Raises ConvergenceError.
        """
        state, each = self._state, self.batch.of_lines(until)
        state.age()
        if self._marcher.compiled is not None:
            return advance_compiled(
                state, self._marcher, self._marcher.compiled, self._boats, each, most_rounds
            )
        rounds = 0
        while np.any(state.last.time < each - 1e-9):
            if most_rounds is not None and rounds >= most_rounds:
                return False
            rounds += 1
            limit = state.last.time.copy()
            for i in range(len(limit)):
                if limit[i] < each[i] - 1e-9:
                    limit[i] = state.next_break(i, float(limit[i]))
            self._round(limit)
        return True

    def advance_exactly(self, until: float) -> None:
        """Step until every line stands at ``until`` itself.

        Raises InvalidValue for a time before this Run begins, and ConvergenceError.
        """
        state, lines = self._state, range(len(self.batch.rods))
        self._require_known(until, lines)
        self._resume(*state.shortened({i: state.pasts[i].until(until) for i in lines}))
        each = np.full(len(lines), until)
        if self._marcher.compiled is not None:
            advance_compiled(
                state, self._marcher, self._marcher.compiled, self._boats, each, exactly=True
            )
            return
        while np.any(state.last.time < until - 1e-9):
            limit = each.copy()
            for i in lines:
                limit[i] = min(until, state.next_break(i, float(state.last.time[i])))
            self._round(limit)

    def _round(self, limit: Array) -> None:
        """Try one step of every line that is short of its ``limit`` (L,), s."""
        state = self._state
        last, moved = self._marcher.round(state.last, limit)
        state.reach = np.maximum(state.reach, self._marcher.tried)
        landed = moved & (np.abs(last.time - limit) < 1e-9)
        for i in map(int, np.flatnonzero(landed)):
            time = float(last.time[i])
            if state.breaks(i, time):
                last = self._retip(last, i, time)
            last.step[i] = state.eased(i, time, float(last.step[i]))
        state.last = last
        state.record(moved)
        state.reach = np.where(moved, last.time, state.reach)

    def _retip(self, last: State, i: int, time: float) -> State:
        """The state with the node at line i's tip that is there at a time, s."""
        span = self.batch.nodes_of(i)
        rows = [a.copy() for a in (last.position, last.velocity, last.accel, last.jerk)]
        own = np.array([row[:, span] for row in rows])
        mine, self._state.tips[i] = self._state.retipped(i, time, own)
        for row, part in zip(rows, mine, strict=True):
            row[:, span] = part
        self._marcher.hold_above(self._state.tips)
        return State(last.time, last.step, *rows)

    def order(self, order: Order, scenario: int = 0, *others: int) -> None:
        """Give one scenario an order, or some; what was already computed beyond it is dropped.

        Raises InvalidValue with a prescribed motion, for a time this Run does not know and a
        speed the boat is not made for; then nothing is changed.
        """
        state, mine = self._state, (scenario, *others)
        # boats that go alike share a track, and so they do afterwards
        tracks = {id(state.tracks[k]): state.tracks[k] for k in mine}
        lines = [i for k in mine if order.action != "mark" for i in self.batch.lines_of(k)]
        self._require_known(order.time, lines)
        ordered: dict[int, Track] = {}
        for name, track in tracks.items():
            if isinstance(track, TableTrack):
                raise InvalidValue("order", order.action, "no orders with a prescribed motion")
            if order.action == "throttle":
                track.boat.require_drivable(order.value)
            twin = ordered[name] = track.copy()
            twin.order(order)
            twin.at(order.time)
        cut = state.shortened({i: state.pasts[i].before(order.time) for i in lines})
        for k in mine:
            state.tracks[k] = ordered[id(state.tracks[k])]
        self._resume(*cut)
        self._ease(lines, order.time)

    def order_line(self, order: LineOrder, scenario: int = 0) -> None:
        """Order something of one line; what was already computed beyond it is dropped.

        Raises InvalidValue for a rod that is not there, and for a time this Run does not
        know; then nothing is changed.
        """
        state, batch, of = self._state, self.batch, self.scenarios[scenario]
        names = [rod.name for rod in of.rods]
        if order.rod not in names:
            raise InvalidValue("line order", order.rod, "one of " + ", ".join(names))
        i = batch.line(scenario, names.index(order.rod))
        self._require_known(order.time, [i])
        before = state.handled[i]
        orders = before.orders if before else ()
        after = handle(batch.rods[i], (*orders, order), of.water, of.resolution)
        handled = [*state.handled]
        handled[i] = after
        more = len(after.spare) - (len(before.spare) if before else 0)
        if more:
            batch = batch.respooled(handled)
        cut = state.shortened({i: state.pasts[i].before(order.time).respooled(more)})
        tips = np.array([past.tip[-1] for past in cut[0]])
        old = self._marcher
        marcher = self._march(batch.mesh, handled, tips, old.tolerance, old.longest)
        marcher.count = old.count
        state.batch, state.handled, state.tips, self._marcher = batch, handled, tips, marcher
        self._tensions = None
        self._resume(*cut)
        self._ease([i], order.time)

    def _require_known(self, time: float, lines: Sequence[int] | range) -> None:
        """Some lines' pasts must begin no later than a time."""
        begin = max((self._state.pasts[i].time[0] for i in lines), default=0.0)
        if time < begin - 1e-9:
            raise InvalidValue(
                "order time", time, f"{begin:.3f} s, where this run begins, or later"
            )

    def _resume(self, pasts: list[Past], last: State) -> None:
        """Go on from where these pasts end."""
        state = self._state
        fresh = [past is not old for past, old in zip(pasts, state.pasts, strict=True)]
        state.reach = np.where(fresh, last.time, state.reach)
        state.pasts, state.last = pasts, last
        if self._tensions is not None:
            self._tensions.forget()
        tips = np.array([past.tip[-1] for past in pasts])
        if not np.array_equal(tips, state.tips):
            state.tips = tips
            self._marcher.hold_above(tips)

    def _ease(self, lines: Sequence[int], time: float) -> None:
        """Begin with a short step where a line stands at the very instant it feels a jump."""
        state = self._state
        for i in lines:
            if time > 0.0 and abs(state.pasts[i].time[-1] - time) < 1e-9:
                state.last.step[i] = state.eased(i, time, float(state.last.step[i]))

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
        own = self._marcher
        return Run(
            self._state.since(since),
            tolerance=tolerance or own.tolerance,
            longest=longest or own.longest,
        )

    def branch_at(self, time: float) -> Run:
        """An independent Run standing exactly at ``time``."""
        twin = self.branch(time)
        twin.advance_exactly(time)
        twin._state.pasts = [past.tail() for past in twin._state.pasts]
        return twin

    def fan(self, starts: Sequence[Run]) -> Run:
        """One Run of many branches of this one, each from its own latest step on.

        The k-th start is scenario k of the new Run (this one must hold a
        single scenario); stepped together they cost a fraction of one by one.
        """
        state = BatchState.together(
            self.batch.repeated(len(starts)), [start._state for start in starts]
        )
        return Run(state, tolerance=self._marcher.tolerance, longest=self._marcher.longest)


def simulate(
    scenario: Scenario, *, tolerance: float = TOLERANCE, longest: float = LONGEST
) -> Trajectory:
    """Run one scenario for its duration from steady tow. Raises ConvergenceError."""
    run = Run([scenario], tolerance=tolerance, longest=longest)
    run.advance(scenario.duration)
    return run.trajectory()


def simulate_many(
    scenarios: Sequence[Scenario], *, tolerance: float = TOLERANCE, longest: float = LONGEST
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


__all__ = ["Frame", "Run", "frames", "simulate", "simulate_many"]
