"""The numbers of the helm card: every one simulated, for this boat and this spread.

Over deep level water a drop is the same for every depth of bottom as long as
nothing touches, so one run a hold and line length gives a whole column.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.common.units import COLOR, FOOT, Unit
from app.gear.catalog import Catalog
from app.planning.doubts import DOUBT_RESOLUTION, doubt_rows
from app.planning.plan import RUNS_SHARE, holds_to_run
from app.planning.situation import PlanRequest, Situation, situation
from app.scenario.setup import LINES_OUT, RodSetup
from physics.answers.between import between
from physics.answers.holds import Responses, bare, respond
from physics.answers.timing import Aim, best, shortest_hold, timing_map
from physics.answers.touch_limits import touch_limits
from physics.environment.water import Bottom
from physics.progress import Cancelled, ProgressCallback, part_of
from physics.simulation.drop_facts import deepest, sinks_on
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario

Array = NDArray[np.float64]

LONGEST = 60.0
"""Longest hold on a card, s."""

HOLDS = tuple(2.0 * n for n in range(31))
"""Holds told apart, s; the shortest one that serves lies on a curve through them."""

WAITS = tuple(0.5 * n for n in range(181))
"""Waits tried, s."""

LEAST_MARK = 0.3
"""A mark shallower than this is no mark, m."""

DEPTHS = 6
COLORS = 5
SPEEDS = 6
SPEED_STEP = 0.5
"""Between the rows of running depth, in what the setup tells speeds in."""

LEAST_SPEED = 0.5
OWN = 0.01
"""A row this near one's own depth, m, or speed, m/s, is told alike: it is that row."""

STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
"""Spacing of the bottom depths, in the card's unit."""

LIMITS_SHARE = 0.5
"""Share of the work of one speed that finding how often holds touch is, where it is asked."""

UNDER = 20.0
"""The deep water is this much deeper than the longest line, m."""


@dataclass(frozen=True, slots=True)
class Times:
    """What to do at one ``speed``, m/s; D depths, C lengths of line. NaN where there is none.

    (D, C): ``hold`` s that brings the line within the clearance (on a steady card no longer
    than lets it touch as often as may be), ``sinks_on`` s that the lure then goes on sinking
    in gear, ``wait`` s from the mark to out of gear with the longest strike window on that hold.
    """

    speed: float
    hold: Array
    sinks_on: Array
    wait: Array


@dataclass(frozen=True, slots=True)
class TackleTable:
    """The numbers of one kind of tackle; D depths, C lengths of line, S speeds.

    ``rod`` is the rod they were run for, ``rods`` the names of all rigged
    alike. ``line_out`` (C,) m and ``depths`` (D,) m of bottom. ``times`` are at the setup's
    speed and, if it is wanted, at the one she comes down to. ``run_depth`` (S, C) m at
    ``speeds`` (S,) m/s.
    """

    rod: RodSetup
    rods: tuple[str, ...]
    line_out: Array
    depths: Array
    times: tuple[Times, ...]
    speeds: Array
    run_depth: Array

    @property
    def hold(self) -> Array:
        """Hold at the setup's own speed (D, C), s."""
        return self.times[0].hold


@dataclass(frozen=True, slots=True)
class CardNumbers:
    """All numbers of a helm card. ``mark_height`` m over the bottom, ``unit`` of lengths."""

    request: PlanRequest
    found: Situation
    unit: Unit
    mark_height: float
    tackles: tuple[TackleTable, ...]


def card_numbers(
    request: PlanRequest,
    catalog: Catalog,
    unit: Unit = FOOT,
    progress: ProgressCallback | None = None,
) -> CardNumbers:
    """Run everything a card needs: some seconds a kind of tackle.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    found = situation(request, catalog)
    height = found.depth - found.aim.mark.depth
    wish = request.setup.card
    depths = _depths(found.depth, unit)
    if wish.depths:
        depths = with_own(np.array(wish.depths), found.depth)
    groups = _alike(request.setup.rods)
    tackles = []
    for number, group in enumerate(groups):

        def report_share(share: float, done: int = number) -> bool:
            return progress is not None and progress((done + share) / len(groups))

        tackles.append(_tackle(request, catalog, found, group, depths, height, report_share))
    return CardNumbers(request, found, unit, height, tuple(tackles))


def _tackle(
    request: PlanRequest,
    catalog: Catalog,
    found: Situation,
    group: Sequence[RodSetup],
    depths: Array,
    height: float,
    report_share: ProgressCallback,
) -> TackleTable:
    line_out, setup = _lines(group), request.setup
    wanted = [setup.speed]
    if setup.card.slower is not None and abs(setup.card.slower - setup.speed) > OWN:
        wanted.append(setup.card.slower)
    times = []
    for number, speed in enumerate(wanted):

        def share_of_speed(share: float, done: int = number) -> bool:
            return report_share((done + share) / len(wanted))

        at_speed = replace(request, setup=replace(setup, speed=speed))
        scenario = _spread(at_speed, catalog, found, group[0], line_out)
        limits, runs = None, 1.0
        if setup.card.steady:
            runs = 1.0 - LIMITS_SHARE
            limits = _limits(request, scenario, depths, part_of(share_of_speed, 0.0, LIMITS_SHARE))

        def share_of_runs(
            share: float, told: ProgressCallback = share_of_speed, part: float = runs
        ) -> bool:
            return told(1.0 - part * (1.0 - share))

        times.append(_times(scenario, found, depths, height, share_of_runs, limits))
    speeds = _speeds(wanted, setup.speed_unit)
    if report_share(1.0):
        raise Cancelled
    return TackleTable(
        group[0], tuple(rod.name for rod in group), line_out, depths, tuple(times), speeds,
        _run_depths(scenario, speeds),
    )  # fmt: skip


def _limits(
    request: PlanRequest, scenario: Scenario, depths: Array, progress: ProgressCallback | None
) -> Array:
    """The longest holds (D, C), s, that touch no more often than may be."""
    setup = request.setup
    coarse = replace(scenario, resolution=DOUBT_RESOLUTION)
    rows = doubt_rows(request)
    allowed = setup.timing.touch_chance
    return touch_limits(coarse, depths.tolist(), rows, allowed, LONGEST, progress)


def _times(
    scenario: Scenario,
    found: Situation,
    depths: Array,
    height: float,
    report_share: ProgressCallback,
    limits: Array | None,
) -> Times:
    """One row a depth of bottom, one column a rod; no hold is longer than ``limits`` (D, C)."""
    run = respond(
        scenario,
        holds_to_run(scenario.water, LONGEST),
        progress=lambda share: report_share(RUNS_SHARE * share),
    )
    responses = between(run, HOLDS)
    shape = len(depths), len(scenario.rods)
    hold, going_on, wait = (np.full(shape, np.nan) for _ in range(3))
    least = np.nanmin(responses.low[..., 2], axis=2)
    for j in range(shape[1]):
        if report_share(RUNS_SHARE + (1.0 - RUNS_SHARE) * j / shape[1]):
            raise Cancelled
        for i, depth in enumerate(depths):
            wanted = shortest_hold(responses.holds, depth + least[:, j], found.aim.clearance)
            if wanted is not None and limits is not None:
                wanted = min(wanted, float(limits[i, j]))
            if wanted is None or math.isnan(wanted):
                continue
            hold[i, j] = wanted
            going_on[i, j] = sinking_on(responses, j, wanted)
            if depth - height >= LEAST_MARK:
                mark = replace(found.aim.mark, depth=float(depth - height))
                wait[i, j] = wait_for(responses, j, wanted, replace(found.aim, mark=mark))
    return Times(scenario.speed, hold, going_on, wait)


def sinking_on(responses: Responses, number: int, hold: float) -> float:
    """How long one lure goes on sinking in gear after a hold, s; NaN if it never drops."""
    depth = -between(responses, (hold,)).lure[0, number, :, 2]
    known = np.isfinite(depth)
    found = sinks_on(deepest(responses.time[known], depth[known]), float(depth[0]), hold)
    return math.nan if found is None else found


def wait_for(responses: Responses, number: int, hold: float, aim: Aim) -> float:
    """The wait, s, that gives one lure the longest strike window with a hold; NaN if none does."""
    one = between(responses, (hold,))
    own = slice(number, number + 1)
    alone = replace(one, lure=one.lure[:, own], low=one.low[:, own])
    # over no bottom in particular: how near it comes is settled already
    found = timing_map(alone, WAITS, aim, Bottom.level(aim.mark.depth + UNDER))
    answer = best(found, -math.inf)
    return math.nan if answer is None else answer.wait


def _spread(
    request: PlanRequest, catalog: Catalog, found: Situation, rod: RodSetup, line_out: Array
) -> Scenario:
    """One rod with each length of line out, side by side over deep level water."""
    rods = tuple(
        # own sections take no other length
        replace(rod, name=f"{number}", line_out=rod.line_out if rod.sections else float(out))
        for number, out in enumerate(line_out)
    )
    deep = float(line_out.max()) + rod.leader_length + UNDER
    water = request.setup.water.over(Bottom.level(max(deep, found.depth)))
    setup = replace(request.setup.untold(), rods=rods, water=water, mark=None)
    return bare(setup.scenario(catalog))


def _run_depths(scenario: Scenario, speeds: Array) -> Array:
    """Running depth of each rod's lure (S, C), m."""
    run = Run([replace(scenario, speed=float(speed)) for speed in speeds])
    return np.array([-run.lures_at(0.0, k)[0][:, 2] for k in range(len(speeds))])


def _alike(rods: Sequence[RodSetup]) -> list[list[RodSetup]]:
    """Rods grouped by tackle: the same but for name, side and length of line out."""
    groups: dict[RodSetup, list[RodSetup]] = {}
    for rod in rods:
        own = replace(rod.plain(), name="", abeam=0.0)
        key = own if rod.sections else replace(own, line_out=COLOR.size)
        groups.setdefault(key, []).append(rod)
    return list(groups.values())


def _lines(group: Sequence[RodSetup]) -> Array:
    """Lengths of line out to run, m: the rods' own, and whole colors about them up to the reel's.

    Own sections stay as they are. Beyond the leadcore on the reel there are only a rod's own.
    """
    first = group[0]
    if first.sections is not None:
        return np.array([math.fsum(section.length for section in first.sections)])
    own = sorted({round(COLOR.from_si(rod.line_out), 6) for rod in group})
    most = COLOR.from_si(LINES_OUT.high if first.line is None else first.on_reel)
    near = sorted(
        {float(whole) for whole in range(1, int(most) + 1)} - set(own),
        key=lambda whole: (min(abs(whole - out) for out in own), whole),
    )
    lengths: Array = COLOR.size * np.array(sorted(own + near[: max(COLORS - len(own), 0)]))
    return lengths


def with_own(values: Array, own: float) -> Array:
    """Values that rise with one's own among them, unless it is there but for rounding."""
    if np.isclose(values, own, rtol=0.0, atol=OWN).any():
        return values
    out: Array = np.sort(np.append(values, own))
    return out


def _depths(own: float, unit: Unit) -> Array:
    """Bottom depths about one's own and with it, m, the others round in the card's unit."""
    here = unit.from_si(own)
    step = next((s for s in STEPS if s >= here / 10.0), STEPS[-1])
    first = max(round(here / step) - 2, 1)
    depths = unit.to_si(step * (first + np.arange(DEPTHS, dtype=np.float64)))
    return with_own(depths, own)


def _speeds(own: Sequence[float], unit: Unit) -> Array:
    """Speeds about one's own and with them, m/s, the others round in what speeds are told in."""
    middle = round(unit.from_si(own[0]) / SPEED_STEP) * SPEED_STEP
    first = max(middle - SPEED_STEP * (SPEEDS // 2), LEAST_SPEED)
    speeds: Array = unit.to_si(first + SPEED_STEP * np.arange(SPEEDS, dtype=np.float64))
    for speed in own:
        speeds = with_own(speeds, speed)
    return speeds
