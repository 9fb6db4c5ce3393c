"""What a round's drop did, the best there was to do, and the score: share of the strike window.

Functions of values that can be sent to another process; no screen.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.common.units import KNOT, Unit
from app.drill.apart import close_pairs, kept_apart
from app.drill.round import LEVELS, Round
from app.gear.catalog import Catalog
from app.planning.plan import Plan, full_answer
from app.planning.rods import RodPlan, rod_plans
from app.planning.situation import HOLDS, WAITS, PlanRequest, moved
from physics.answers.holds import Responses, bare
from physics.answers.timing import Aim
from physics.progress import ProgressCallback, part_of
from physics.simulation.drop_facts import SPACING, TOUCHING, nearest_ground
from physics.simulation.events import LINES_CLOSE
from physics.simulation.run import Run
from physics.simulation.trajectory import Trajectory
from physics.vessel.helm import HelmTrack

Array = NDArray[np.float64]

TOUCH_COSTS = 15.0
CROSSING_COSTS = 10.0
LATE_ENGINE_COSTS = 20.0
"""Points of 100 a line that touched, a pair that came close, and a call not answered cost."""

ENGINE_TIME = 5.0
"""One engine within this long of the call, s."""

TOUCH_LOOK = 0.1
"""Spacing at which lines are looked at for a touch, s."""

PLAN_SHARE = 0.9
"""Share of the work of the best answer that its plan is; then whether lines come close."""


def formula(unit: Unit) -> str:
    """How the score comes about, with distances in ``unit``."""
    eased = ", ".join(
        f"{100.0 * level.full_marks:.0f} % at level {number}"
        for number, level in sorted(LEVELS.items()) if level.full_marks < 1.0
    )  # fmt: skip
    return (
        "Score: the strike window your drop won, all lines added up, as a share of the longest "
        f"there was, in points of 100 (never above 100; of the longest {eased} are worth all of "
        "them). Lures that would have lifted had she stayed in gear, by throttle or wheel alone, "
        f"do not count. Less {TOUCH_COSTS:.0f} for each line that touched bottom, less "
        f"{CROSSING_COSTS:.0f} for each pair of lines that came within {unit.text(LINES_CLOSE)} "
        "of each other, and "
        f"at level 5 less {LATE_ENGINE_COSTS:.0f} if one engine was not ordered within "
        f"{ENGINE_TIME:.0f} s of the call and kept. Never below 0. Nothing else counts."
    )


@dataclass(frozen=True, slots=True)
class Best:
    """The best answer to a round. ``throttle`` m/s keeps the other lines off on one engine.

    ``plan`` has the responses to its own hold alone.

    ``throttle`` is None without a fish, or where the dial does not go that far.
    ``full_marks`` is the level's. ``window`` is the longest strike window there is, s, 0 where
    there is none; the answer's own may be shorter, and keep lines apart that come close in that.
    ``crossed`` are pairs that come close in the best, too.
    """

    plan: Plan
    window: float
    throttle: float | None = None
    full_marks: float = 1.0
    crossed: tuple[str, ...] = ()

    def path(self) -> tuple[Array, Array]:
        """Time since the mark (n,), s, and every lure's way (R, n, 3), m, from the mark's place."""
        wait, hold = self.plan.point
        path = self.plan.touched or self.plan.paths(hold)
        place = path.lure[0].copy()
        place[..., :2] += wait * path.boat_velocity
        return path.time + wait, place


@dataclass(frozen=True, slots=True)
class Taken:
    """What was done and what it did, from the mark on.

    ``wait`` s from the mark to out of gear (negative: before it) and ``hold`` s;
    None if she stayed in gear. ``time`` (n,) s since the mark; ``lure`` (R, n,
    3) m from the mark's place; ``ground`` (R, n) m under each. ``touched`` and
    ``crossed`` name lines and pairs; ``sank`` those that touched with the fish on
    alone. ``late`` tells that one engine was late.
    """

    wait: float | None
    hold: float | None
    time: Array
    lure: Array
    ground: Array
    rods: tuple[RodPlan, ...]
    in_gear: tuple[float, ...]
    touched: tuple[str, ...]
    crossed: tuple[str, ...]
    late: bool
    sank: tuple[str, ...] = ()

    @property
    def window(self) -> float:
        """Strike window of the whole spread that the drop won, s."""
        lifted = zip(self.rods, self.in_gear, strict=True)
        return sum(max(rod.lifting - without, 0.0) for rod, without in lifted)

    @property
    def by_throttle(self) -> float:
        """Strike window that was there without the drop, s."""
        return sum(min(rod.lifting, t) for rod, t in zip(self.rods, self.in_gear, strict=True))


@dataclass(frozen=True, slots=True)
class Score:
    """``points`` of 100; the ``window`` won of the ``possible``, s, and what was taken off.

    ``share`` is what the window was worth, 0 to 1.
    """

    points: float
    window: float
    possible: float
    share: float
    touches: int
    crossings: int
    late: bool


def find_best(
    round_: Round,
    catalog: Catalog,
    waits: tuple[float, ...] = WAITS,
    holds: tuple[float, ...] = HOLDS,
    progress: ProgressCallback | None = None,
) -> Best:
    """The best wait and hold, s, of those tried: what is worth most points.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    asked, marks = PlanRequest(round_.setup, waits, holds), LEVELS[round_.level].full_marks
    plan = full_answer(asked, catalog, part_of(progress, 0.0, PLAN_SHARE))
    window = 0.0 if plan.answer is None else plan.answer.window
    told = part_of(progress, PLAN_SHARE, 1.0)
    apart = kept_apart(round_, catalog, plan, CROSSING_COSTS, marks, told)
    plan = apart.plan
    throttle = None if round_.call_after is None else _kept_off(round_, catalog)
    # of all the holds that were run the best alone is shown; the others take megabytes
    plan = replace(plan, responses=plan.paths(plan.point[1]))
    return Best(plan, window, throttle, marks, apart.crossed)


def _kept_off(round_: Round, catalog: Catalog) -> float | None:
    """The least throttle, m/s, in half knots, that keeps the other lines clear on one engine."""
    setup = round_.setup
    scenario = bare(setup.scenario(catalog))
    share = scenario.boat.one_engine
    first = np.ceil(KNOT.from_si(setup.speed) * 2.0) / 2.0
    dial = [KNOT.to_si(float(first + 0.5 * n)) for n in range(12)]
    run = Run([replace(scenario, speed=throttle * share) for throttle in dial])
    keep = scenario.water.bottom.shallowest - setup.timing.clearance
    for k, throttle in enumerate(dial):
        lines = run.nodes_at(0.0, k)
        others = [n for n, rod in zip(lines, setup.rods, strict=True) if rod.name != round_.hooked]
        if max(-float(line[2].min()) for line in others) <= keep:
            return throttle
    return None


def measure(round_: Round, trajectory: Trajectory) -> Taken:
    """What a round's run did, from the mark to the end of the round. Raises ConvergenceError."""
    track, mark = trajectory.track, round_.mark
    until = min(round_.end_time(track.orders), trajectory.end)
    spell = round_.spell(track.orders)
    wait = hold = None
    if spell is not None and spell[0] < until:
        wait, hold = spell[0] - mark.time, min(spell[1], until) - spell[0]
    path, rods = _lifts(round_, trajectory, until, wait or 0.0, hold or 0.0)
    stayed = _stayed_in_gear(trajectory, until)
    without = rods if stayed is None else _lifts(round_, stayed, until, 0.0, 0.0)[1]
    time = path.time + (wait or 0.0)
    lure = path.lure[0]
    here = track.at(mark.time)
    bottom = moved(trajectory.scenario.water.bottom, np.array([here.x, here.y]))
    call = round_.call_time(track.orders)
    touched = _touched(round_, trajectory, until, call)
    before = touched if call is None else _touched(round_, trajectory, min(call, until), call)
    return Taken(
        wait, hold, time, lure, bottom.depth_at(lure[..., 0], lure[..., 1]), rods,
        tuple(rod.lifting for rod in without), touched,
        close_pairs(trajectory, mark.time, until),
        call is not None and call < until and not _on_one_engine(track, call, until),
        tuple(name for name in touched if name not in before),
    )  # fmt: skip


def _lifts(
    round_: Round, trajectory: Trajectory, until: float, wait: float, hold: float
) -> tuple[Responses, tuple[RodPlan, ...]]:
    """Every lure's way from the mark, in m from its place, and what it did there."""
    mark, ground = round_.mark, trajectory.scenario.water.bottom
    here = trajectory.track.at(mark.time)
    origin = np.array([here.x, here.y, 0.0])
    time: Array = np.arange(0.0, until - mark.time + 1e-9, SPACING)
    at = mark.time + time
    lure = np.stack([line.lure(at) for line in trajectory.lines]) - origin
    low = np.stack([nearest_ground(line.nodes(at), ground)[0] for line in trajectory.lines])
    low -= origin
    aim = Aim(mark, round_.setup.timing.radius, round_.setup.timing.clearance)
    path = Responses(np.array([hold]), time - wait, lure[None], low[None], np.array(here.velocity))
    names = [rod.name for rod in trajectory.scenario.rods]
    return path, rod_plans(names, path, moved(ground, origin[:2]), aim, 0.0, hold)


def _stayed_in_gear(trajectory: Trajectory, until: float) -> Trajectory | None:
    """The same run without a drop; None where she did stay in gear."""
    track = trajectory.track
    assert isinstance(track, HelmTrack)
    others = [order for order in track.orders if order.action not in ("out of gear", "in gear")]
    if len(others) == len(track.orders):
        return None
    run = Run([replace(trajectory.scenario, orders=tuple(others))])
    run.advance(until)
    return run.trajectory()


def _touched(
    round_: Round, trajectory: Trajectory, until: float, call: float | None
) -> tuple[str, ...]:
    """Lines that touched bottom in the round; the hooked one is its angler's from the call on."""
    out = []
    for line in trajectory.lines:
        name = line.rod.name
        end = min(until, call) if call is not None and name == round_.hooked else until
        nodes = line.nodes(np.arange(trajectory.start, end, TOUCH_LOOK))
        if nearest_ground(nodes, trajectory.scenario.water.bottom)[1].min() < TOUCHING:
            out.append(name)
    return tuple(out)


def _on_one_engine(track: object, call: float, until: float) -> bool:
    """Whether one engine was ordered in time, and kept to the end."""
    assert isinstance(track, HelmTrack)
    first = min(call + ENGINE_TIME, until)
    given = {o.time for o in track.orders if o.action == "engines" and first < o.time <= until}
    return all(track.throttle_at(time)[1] == 1 for time in {first, *given})


@dataclass(frozen=True, slots=True)
class Ended:
    """A round that has ended and is not scored yet: its number in the store, itself, its tackle,
    what was done, and the orders as text."""

    number: int
    round: Round
    catalog: Catalog
    run: Trajectory
    orders: str


def scored_late(
    ended: Ended,
    waits: tuple[float, ...],
    holds: tuple[float, ...],
    progress: ProgressCallback | None = None,
) -> tuple[Taken, Best]:
    """All that the score of a round is made of. Raises as ``find_best``."""
    best = find_best(ended.round, ended.catalog, waits, holds, progress)
    return measure(ended.round, ended.run), best


def score(taken: Taken, best: Best) -> Score:
    """The score by the ``formula``; 0 where no window is possible."""
    possible, window = best.window, taken.window
    share = min(window / (best.full_marks * possible), 1.0) if possible > 0.0 else 0.0
    points = 100.0 * share - TOUCH_COSTS * len(taken.touched)
    points -= CROSSING_COSTS * len(taken.crossed) + LATE_ENGINE_COSTS * taken.late
    return Score(
        max(points, 0.0), window, possible, share, len(taken.touched), len(taken.crossed),
        taken.late,
    )  # fmt: skip
