"""What a round was worth: what the trainee won, beside the best that could be won.

Depends on: catalog, drill_best, drill_round, live_drop, planning, units; physics.drop,
physics.events, physics.timing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.catalog import Catalog
from app.drill_best import AFTER, Best, best_of, best_of_plan
from app.drill_round import Round
from app.live_drop import live_drop
from app.planning import PlanRequest, situation
from app.units import FOOT
from physics.drop import Run
from physics.events import LIFTING, find_events, gear_spells
from physics.timing import FINE, Aim

Array = NDArray[np.float64]

FULL = 100.0
PER_TOUCH = 15.0
PER_CROSSING = 10.0

RULE = (
    f"{FULL:.0f} points for lifting the lures through the mark as long as the best wait and hold "
    f"would, fewer in proportion; less {PER_TOUCH:.0f} for every line that touched bottom and "
    f"{PER_CROSSING:.0f} for every time two lines came close; never under 0."
)

GOOD = 0.95
"""From this share of the best window on nothing is told as wrong but touching."""

OFF = 1.5
"""A wait or hold farther from the best than this is an error of its own, s."""

SETTLED = 10.0
"""A line may still touch this long after in gear, s."""

Kind = Literal["early", "late", "short", "long", "touched", "never"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was done and what it won. R rods, times s.

    ``wait`` from the mark (negative: out of gear before it) and ``hold`` are of
    the last time out of gear, None if she never was. ``lifting`` (R,) is how
    long each lure lifted through the mark. ``touched`` are the numbers of the
    lines that touched bottom, ``crossings`` how often two lines came close.
    ``lifts_at`` m is where the lures turned to lifting, from the mark's place,
    ahead positive. ``broken_off``: ended before ``is_over``.
    """

    wait: float | None
    hold: float | None
    lifting: tuple[float, ...]
    touched: tuple[int, ...]
    crossings: int
    lifts_at: float | None
    broken_off: bool

    @property
    def window(self) -> float:
        """Strike window of all lures together, s."""
        return float(sum(self.lifting))


@dataclass(frozen=True, slots=True)
class Score:
    """``points`` 0 to 100, ``share`` of the best window 0 to 1, what cost points, and it told."""

    points: float
    share: float
    touches: int
    crossings: int
    words: str


def aim_of(drill: Round, catalog: Catalog) -> Aim:
    """What counts as through the mark. Raises Unusable."""
    return situation(PlanRequest(drill.setup), catalog).aim


def best_for(drill: Round, catalog: Catalog) -> Best | None:
    """The best of a round, its order to one engine obeyed; a second or two, for a worker.

    Raises Unusable, march.Stuck.
    """
    return best_of(drill.setup, catalog, drill.one_engine_at)


def outcome_of(run: Run, now: float, aim: Aim) -> Outcome:
    """What a run's only scenario did up to ``now`` s, its last mark being the fish."""
    track = run.track()
    names = [rod.name for rod in run.scenarios[0].rods]
    events = [event for event in find_events(run.trajectory()) if event.time <= now]
    hit = {event.rod for event in events if event.kind in ("lure touches", "line touches")}
    touched = tuple(k for k, name in enumerate(names) if name in hit)
    crossings = sum(event.kind == "lines close" for event in events)
    marks = [order.time for order in track.orders if order.action == "mark" and order.time <= now]
    spells = [spell for spell in gear_spells(track.orders) if spell[0] <= now]
    nothing, broken_off = (0.0,) * len(names), not is_over(run, now, aim)
    if not marks or not spells:
        return Outcome(None, None, nothing, touched, crossings, None, broken_off)
    lifts_at: float | None
    drop = live_drop(run, now, aim)
    if drop is not None:
        lifts_at = float(np.mean([rod.lifts_at for rod in drop.rods]))
        lifting = tuple(rod.lifting for rod in drop.rods)
        return Outcome(drop.wait, drop.hold, lifting, touched, crossings, lifts_at, broken_off)
    # out of gear before the mark came, or not in gear again
    out, back = spells[-1][0], min(spells[-1][1], now)
    lifting, lifts_at = _lifting(run, marks[-1], min(out, marks[-1]), now, aim)
    return Outcome(out - marks[-1], back - out, lifting, touched, crossings, lifts_at, broken_off)


def is_over(run: Run, now: float, aim: Aim) -> bool:
    """Whether nothing more can be won at ``now`` s: in gear, and every lure past the mark's place.

    Also once ``AFTER`` s in gear, as far as the best is followed. ``now`` lies
    within the run's last steps.
    """
    orders = run.track().orders
    marks = [order.time for order in orders if order.action == "mark" and order.time <= now]
    if not marks or not run.boat(now).in_gear:
        return False
    gear = [back for _, back in gear_spells(orders) if back <= now]
    since = now - max([marks[-1], *gear])
    there = run.boat(marks[-1])
    ahead = np.array(there.velocity) / max(float(np.hypot(*there.velocity)), 1e-9)
    past = (run.lures_at(now)[0][:, :2] - np.array([there.x, there.y])) @ ahead
    settled = not gear or since >= SETTLED
    return bool(settled and past.min() > aim.radius) or (bool(gear) and since >= AFTER)


def _lifting(
    run: Run, mark: float, since: float, now: float, aim: Aim
) -> tuple[tuple[float, ...], float | None]:
    """Seconds each lure lifted through the mark, counted as a plan does, and where they turned.

    The place is None for lures that still sink at ``now``.
    """
    time: Array = np.arange(since, now + 1e-9, FINE)
    if len(time) < 3:
        return (0.0,) * len(run.scenarios[0].rods), None
    boat = run.boat(mark)
    ahead = np.array(boat.velocity) / max(float(np.hypot(*boat.velocity)), 1e-9)
    seconds, turns = [], []
    for line in run.trajectory(since=since).lines:
        path = line.lure(time) - np.array([boat.x, boat.y, 0.0])
        near = np.hypot(path[:, 0], path[:, 1]) <= aim.radius
        level = np.abs(-path[:, 2] - aim.mark.depth) <= aim.mark.band
        rising = np.gradient(path[:, 2], FINE) > LIFTING
        seconds.append(FINE * float((near & level & rising & (time >= mark)).sum()))
        deep = int(path[:, 2].argmin())
        if deep < len(time) - 1:
            turns.append(float(path[deep, :2] @ ahead))
    return tuple(seconds), float(np.mean(turns)) if turns else None


def score(outcome: Outcome, best: Best) -> Score:
    """Points by RULE."""
    share = min(1.0, outcome.window / best.window) if best.window > 0.0 else 0.0
    touches, crossings = len(outcome.touched), outcome.crossings
    points = max(0.0, FULL * share - PER_TOUCH * touches - PER_CROSSING * crossings)
    words = f"{outcome.window:.1f} s of lifting through the mark, of {best.window:.1f} s possible"
    if touches:
        words += f"; {_count(touches, 'line')} touched, {PER_TOUCH * touches:.0f} off"
    if crossings:
        words += f"; lines close {_count(crossings, 'time')}, {PER_CROSSING * crossings:.0f} off"
    return Score(points, share, touches, crossings, f"{words}: {points:.0f} points.")


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def errors_of(outcome: Outcome, best: Best) -> tuple[Kind, ...]:
    """What went wrong, the worst first: early, late, short, long, touched, never.

    Empty for a clean drop that won nearly all there was.
    """
    if outcome.wait is None or outcome.hold is None:
        return ("touched", "never") if outcome.touched else ("never",)
    waited, held = outcome.wait - best.wait, outcome.hold - best.hold
    timing: list[tuple[float, Kind]] = [
        (abs(waited), "early" if waited < 0.0 else "late"),
        (abs(held), "short" if held < 0.0 else "long"),
    ]
    timing.sort(reverse=True)
    found: list[Kind] = ["touched"] if outcome.touched else []
    if outcome.touched or outcome.window < GOOD * best.window:
        found += [kind for off, kind in timing if off >= OFF]
    if not found:
        found = [timing[0][1]] if outcome.window < GOOD * best.window else []
    if found[:1] == ["touched"] and "long" in found:
        # a line on the bottom is told by the hold that put it there
        found.remove("long")
        found.insert(0, "long")
    return tuple(found)


def advice(outcome: Outcome, best: Best, rods: Sequence[str]) -> str:
    """One sentence on what to do otherwise, from the numbers; ``rods`` are the rods' names."""
    errors = errors_of(outcome, best)
    touched = _listed([rods[k] for k in outcome.touched])
    if outcome.wait is None or outcome.hold is None:
        never = "You never went out of gear"
        return f"{never}, and {touched} touched." if touched else f"{never}."
    if not errors:
        close = f", but lines came close {_count(outcome.crossings, 'time')}"
        return f"Well timed{close if outcome.crossings else ''}."
    timing = next((kind for kind in errors if kind != "touched"), None)
    if timing is None:
        return f"Well timed, but {touched} touched."
    waited, held = abs(outcome.wait - best.wait), abs(outcome.hold - best.hold)
    cause = {
        "early": f"Out of gear {_seconds(waited)} early",
        "late": f"Out of gear {_seconds(waited)} late",
        "short": f"Held {_seconds(held)} too short",
        "long": f"Held {_seconds(held)} too long",
    }[timing]
    return f"{cause}: {touched + ' touched' if touched else _effect(timing, outcome, best)}."


def _effect(timing: Kind, outcome: Outcome, best: Best) -> str:
    place = outcome.lifts_at
    if timing in ("early", "late") and place is not None and abs(place) >= FOOT.to_si(1.0):
        side = "short of it" if place < 0.0 else "past it"
        return f"the lures lifted {FOOT.from_si(abs(place)):.0f} ft {side}"
    return f"{outcome.window:.1f} s through the mark of {best.window:.1f} s possible"


def _seconds(value: float) -> str:
    return f"{value:.0f} s" if value >= 2.0 else f"{value:.1f} s"


def _listed(names: Sequence[str]) -> str:
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


__all__ = [
    "RULE", "Best", "Kind", "Outcome", "Score", "advice", "aim_of", "best_for", "best_of_plan",
    "errors_of", "is_over", "outcome_of", "score",
]  # fmt: skip
