"""Rounds to drill on: a spread, a water and a mark that comes at a moment nobody tells.

Depends on: catalog, drill_best, planning, setup, units; physics.between, physics.boat,
physics.checks, physics.holds, physics.scenario, physics.timing, physics.water.

Every round is invented: no real place, boat or day. The tackle is the shipped one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, cast

import numpy as np

from app.catalog import Catalog
from app.drill_best import AFTER, best_answer, respond_slowed, slowed
from app.planning import (
    FIRST_LONGEST,
    FIRST_RESOLUTION,
    FIRST_TOLERANCE,
    PlanRequest,
    moved,
    situation,
)
from app.setup import RodSetup, Setup
from app.units import COLOR, FOOT, KNOT
from physics.between import between
from physics.boat import Order
from physics.checks import Unusable
from physics.holds import Responses, respond
from physics.scenario import Mark
from physics.timing import Answer, best, timing_map
from physics.water import Bottom, Water, compass_vector

Level = Literal[1, 2, 3, 4, 5, "own"]
LEVELS: tuple[Level, ...] = (1, 2, 3, 4, 5, "own")

LEVEL_WORDS: dict[Level, str] = {
    1: "One line over a level bottom",
    2: "Four lines over a level bottom",
    3: "Two lines in a current",
    4: "Four lines over a shoal",
    5: "Four lines, and one engine",
    "own": "Your own setup",
}

MARK_BETWEEN = (8.0, 30.0)
"""The mark passes under the sounder this long after the start, s."""

ENGINE_BEFORE = (6.0, 11.0)
"""The boat goes to one engine this long before the mark, s."""

LEAST_WINDOW = 2.5
"""A round is worth sailing if the best answer lifts lures through the mark this long, s."""

LEAST_WAIT = 2.0
"""And if there is time to see the mark and reach for the lever, s."""

TRIES = 24

BOAT = "center console, 26 ft, twin engines"
LEADCORE = ("18 lb leadcore", "27 lb leadcore", "36 lb leadcore")
LURES = ("sinking plug, 4 in", "sinking plug, 5 in", "sinking plug, 7 in")
COLORS, SPEEDS, DEPTHS = (5.0, 11.0), (5.0, 8.0), (20.0, 60.0)
"""Colors out, knots through the water, feet of water."""

TARGET_HOLDS = tuple(4.0 + n for n in range(17))
"""The bottom lies where one of these holds, s, brings the lowest line near it."""

TRY_HOLDS = (0.03, 0.2, 0.5, 1.0)
TRY_LONGEST = 30.0
TRY_WAITS = tuple(1.0 * n for n in range(41))
TRY_ENGINE_WAITS = (0.0, 6.0, 12.0)


@dataclass(frozen=True, slots=True)
class Round:
    """One round. Times s from the start of the run, in steady tow.

    ``setup`` has the mark and, at level 5, the order to one engine in it, and no
    gear order: run as it is, it tows on. ``words`` are what the trainee is told.
    """

    seed: int
    level: Level
    setup: Setup
    mark_at: float
    one_engine_at: float | None
    words: str


def make_round(level: Level, seed: int, catalog: Catalog, own: Setup | None = None) -> Round:
    """The round of a level and a seed (0 or more), always the same one.

    ``own`` is the setup for the level 'own': its mark comes at another moment,
    over the same ground. Takes about a second. Raises Unusable: level, seed, own;
    for what ``planning.situation`` refuses in one's own setup; march.Stuck.
    """
    if level not in LEVELS:
        raise Unusable("level", level, "1 to 5, or own")
    if seed < 0:
        raise Unusable("seed", seed, "0 or more")
    rng = np.random.default_rng((LEVELS.index(level), seed))
    if level == "own":
        if own is None:
            raise Unusable("own", None, "a setup")
        return _own_round(seed, own, catalog, rng)
    for _ in range(TRIES):
        mark_at = round(float(rng.uniform(*MARK_BETWEEN)), 1)
        before = round(float(rng.uniform(*ENGINE_BEFORE)), 1)
        engine = max(mark_at - before, 0.5) if level == 5 else None
        setup = _fitted(_spread(level, rng), level, mark_at, engine, catalog, rng)
        if setup is not None:
            return Round(seed, level, setup, mark_at, engine, _words(level, setup))
    raise Unusable("seed", seed, "another one: no round worth sailing came of it")


def _own_round(seed: int, own: Setup, catalog: Catalog, rng: np.random.Generator) -> Round:
    mark_at = round(float(rng.uniform(*MARK_BETWEEN)), 1)
    found = situation(PlanRequest(own), catalog)
    way = np.array(found.scenario.track().at(-1.0).velocity)
    # what lies under the mark stays under it
    bottom = moved(found.bottom, -way * mark_at)
    setup = replace(
        own, mark=replace(found.aim.mark, time=mark_at), orders=(), hold=None,
        water=replace(own.water, bottom=bottom),
    )  # fmt: skip
    answer = _answer(setup, catalog, _responses(setup, catalog))
    if answer is None:
        raise Unusable("own", own.name, "a setup with a wait and hold that lift a lure through")
    return Round(seed, "own", setup, mark_at, None, _words("own", setup))


def _spread(level: Level, rng: np.random.Generator) -> Setup:
    """A boat and its lines over deep water, without a mark."""
    low, high = COLORS
    base = float(rng.integers(round(2 * low), round(2 * high) - 1)) / 2.0
    more = float(rng.choice((0.0, 0.5, 1.0)))
    line, inner, outer = str(rng.choice(LEADCORE)), str(rng.choice(LURES)), str(rng.choice(LURES))
    speed = KNOT.to_si(round(float(rng.uniform(*SPEEDS)), 1))
    heading = math.radians(float(rng.integers(0, 72)) * 5.0)
    port = RodSetup("port", line, COLOR.to_si(base), lure=inner, astern=2.5, abeam=-1.2, height=1.8)
    rods = [port]
    if level != 1:
        rods.append(replace(port, name="starboard", abeam=1.2))
    if level in (2, 4, 5):
        out = replace(port, line_out=COLOR.to_si(base + more), lure=outer, astern=1.5, height=2.5)
        rods.append(replace(out, name="port outrigger", abeam=-4.5))
        rods.append(replace(out, name="starboard outrigger", abeam=4.5))
    current = (0.0, 0.0)
    if level == 3:
        along = float(rng.uniform(0.25, 0.75)) * float(rng.choice((-1.0, 1.0)))
        across = float(rng.uniform(-0.12, 0.12))
        east, north = compass_vector(heading)
        current = (along * east + across * north, along * north - across * east)
    water = Water(Bottom.level(DEEP), current=current)
    return Setup(
        "Drill", water, BOAT, tuple(rods), "Invented: no real place, boat or day.",
        speed=speed, heading=heading,
    )  # fmt: skip


DEEP = 150.0
"""Water a spread is tried over before its bottom is known, m."""


def _responses(setup: Setup, catalog: Catalog) -> list[Responses]:
    """Coarse drops of the spread; one row, or at one engine one for each of the waits tried."""
    quick = replace(setup, resolution=FIRST_RESOLUTION)
    holds = tuple(share * TRY_LONGEST for share in TRY_HOLDS)
    if setup.orders:
        scenario, _, _ = slowed(quick, catalog)
        return respond_slowed(
            scenario, TRY_ENGINE_WAITS, holds, tolerance=FIRST_TOLERANCE, longest=FIRST_LONGEST
        )
    found = situation(PlanRequest(quick), catalog)
    return [
        respond(
            found.scenario, holds, after=AFTER,
            tolerance=FIRST_TOLERANCE, longest=FIRST_LONGEST,
        )
    ]  # fmt: skip


def _answer(setup: Setup, catalog: Catalog, rows: list[Responses]) -> Answer | None:
    """The best wait and hold by coarse drops."""
    holds = tuple(np.arange(1.0, TRY_LONGEST + 0.5, 1.0))
    if setup.orders:
        _, aim, bottom = slowed(setup, catalog)
        return best_answer(rows, TRY_ENGINE_WAITS, holds, aim, bottom)
    found = situation(PlanRequest(setup), catalog)
    table = timing_map(between(rows[0], holds), TRY_WAITS, found.aim, found.bottom)
    return best(table, found.aim.clearance)


def _fitted(
    spread: Setup,
    level: Level,
    mark_at: float,
    engine: float | None,
    catalog: Catalog,
    rng: np.random.Generator,
) -> Setup | None:
    """The spread with a bottom and a mark it can be worked over, or None."""
    orders = () if engine is None else (Order(engine, "engines", 1),)
    deep = replace(spread, mark=Mark(5.0, time=mark_at), orders=orders)
    rows = _responses(deep, catalog)
    row = rows[len(rows) // 2]
    drops = between(row, TARGET_HOLDS)
    lowest = -np.nanmin(drops.low[..., 2], axis=(1, 2))
    spare = deep.timing.clearance + float(rng.uniform(0.1, 0.6))
    feet = np.ceil(FOOT.from_si(lowest + spare))
    over = float(rng.uniform(0.6, 1.2))
    serve = np.flatnonzero((feet >= DEPTHS[0]) & (feet <= DEPTHS[1]))
    if not len(serve):
        return None
    at = int(rng.choice(serve))
    depth = FOOT.to_si(float(feet[at]))
    lures = -np.nanmin(drops.lure[at, :, :, 2], axis=1)
    mark = FOOT.to_si(float(round(FOOT.from_si(float(np.median(lures)) - over))))
    bottom = Bottom.level(depth)
    if level == 4:
        more = FOOT.to_si(float(rng.integers(4, 14)))
        length, top = float(rng.uniform(50.0, 110.0)), float(rng.uniform(20.0, 40.0))
        there = spread.speed * mark_at
        shoal = ((-length, depth + more), (-0.5 * top, depth), (0.5 * top, depth),
                 (length, depth + more))  # fmt: skip
        bottom = Bottom(tuple((there + along, d) for along, d in shoal), spread.heading)
    setup = replace(deep, mark=Mark(mark, time=mark_at), water=replace(deep.water, bottom=bottom))
    answer = _answer(setup, catalog, rows)
    worth = answer is not None and answer.window >= LEAST_WINDOW and answer.wait >= LEAST_WAIT
    return setup if worth else None


def _words(level: Level, setup: Setup) -> str:
    """What the trainee is told: the spread, the water, the mark; never the moment."""
    mark = cast(Mark, setup.mark)
    said = [LEVEL_WORDS[level] + "."]
    knots = f"{KNOT.from_si(setup.speed):.1f} knots through the water"
    lines = [f"{rod.name} {COLOR.from_si(rod.line_out):g} colors" for rod in setup.rods]
    said.append(f"{knots}; {', '.join(lines)}.")
    bottom = setup.water.bottom
    deep = f"{FOOT.from_si(bottom.shallowest):.0f} ft"
    if bottom.is_level:
        said.append(f"The bottom is at {deep}.")
    else:
        said.append(f"The ground goes from {FOOT.from_si(bottom.deepest):.0f} ft up to {deep}.")
    if any(setup.water.current):
        east, north = setup.water.current
        ahead = compass_vector(setup.heading)
        along = east * ahead[0] + north * ahead[1]
        across = east * ahead[1] - north * ahead[0]
        side = "starboard" if across > 0.0 else "port"
        said.append(
            f"The current carries her {'ahead' if along > 0.0 else 'back'} "
            f"at {KNOT.from_si(abs(along)):.1f} knots"
            f" and to {side} at {KNOT.from_si(abs(across)):.1f}."
        )
    if any(order.action == "engines" for order in setup.orders):
        said.append(
            "Before the mark there is a fish on a fifth rod, and the boat goes to one engine "
            "for it: she slows down and the lines that are out sink. Keep them off bottom "
            "and work the mark with them all the same."
        )
    said.append(
        f"A mark {FOOT.from_si(mark.depth):.0f} ft down comes under the sounder "
        f"{MARK_BETWEEN[0]:.0f} to {MARK_BETWEEN[1]:.0f} s after the start."
    )
    return " ".join(said)
