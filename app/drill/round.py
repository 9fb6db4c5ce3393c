"""One round of the drill: a spread, water, speed and a mark at an unknown moment, from a seed.

All rounds are invented. The same level and seed give the same round everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from app.common.quantities import Quantity, spell
from app.common.scales import always
from app.common.units import COLOR, FOOT, KNOT, PLAIN
from app.gear.catalog import Catalog
from app.planning.situation import HOLDS
from app.scenario.setup import RodSetup, Setup
from physics.answers.holds import AFTER, bare
from physics.answers.timing import RADIUS
from physics.checks import InvalidValue, Limits
from physics.environment.water import Bottom, Water, compass_vector
from physics.simulation.events import out_of_gear_intervals
from physics.simulation.run import Run
from physics.simulation.scenario import Mark, Scenario
from physics.vessel.boat import Order

FREE = 0
"""The level of a round on a scenario of the teacher's own."""

BOAT = "center console, 26 ft, twin engines"

EARLIEST_MARK, LATEST_MARK = 12.0, 30.0
"""The mark comes between these, s after the start."""

NO_DROP = 60.0
"""A round in which the boat stays in gear ends this long after the mark, s."""

LONGEST = 100.0
"""No drop is followed for longer than this after the mark, s."""

FOLLOWED = 30.0
"""A round ends this long after in gear, s, but not before all lures have come by the mark."""

COME_BY = 45.0
"""By then the lures of every round have come by the mark's place, s after the mark."""

LATEST_CALL = 90.0
"""The fish is on by then, s after the mark, whatever was done."""

FIGHT = 50.0
"""A round goes on this long after the fish is on, s."""

FISH_ON_ENGINE = 0.45
"""Share of her speed that the boat of a fish-on round holds on one engine: little, so that
lines sink at once."""

BAND = FOOT.to_si(3.0)
"""How far over and under the mark still counts, m; levels may have it wider or narrower."""

HELPS = ("full", "fades", "off")
"""How much of the look-ahead a round shows."""


@dataclass(frozen=True, slots=True)
class Level:
    """What a level asks. ``wheel`` and ``engines`` say whether the trainee works those too.

    ``band`` m over and under the mark and ``radius`` m around it still count; ``full_marks`` is
    the share of the longest strike window that is worth 100 points. The three are set so that in
    the mean over rounds the same error of timing costs more at each level: two lines that are
    alike have their windows at once, and a current carries them past the mark, so that level 3
    with the numbers of level 2 would be the hardest.
    """

    number: int
    title: str
    about: str
    help: str
    wheel: bool = False
    engines: bool = False
    band: float = BAND
    radius: float = RADIUS
    full_marks: float = 1.0


SEED = Quantity("seed", spell("seed"), Limits(0.0, 999_999.0), 1.0, always(PLAIN, 0, 1.0), "round")

LEVELS = {
    level.number: level
    for level in (
        Level(1, "One line", "One line over a level bottom. The look-ahead is drawn.", "full",
              band=2.0 * BAND, radius=2.0 * RADIUS, full_marks=0.6),
        Level(2, "Four lines", "Four lines, level bottom. The look-ahead fades out of gear.",
              "fades", band=1.25 * BAND, radius=1.25 * RADIUS, full_marks=0.85),
        Level(3, "Current", "Two lines, a current with or against her. No look-ahead from here on.",
              "off",
              wheel=True, band=2.0 * BAND, radius=2.0 * RADIUS, full_marks=0.9),
        Level(4, "Shoal", "Four lines up a shoal: the mark lies on its top.", "off",
              wheel=True, engines=True),
        Level(5, "Fish on", "Four lines. After the drop a fish is on one: slow to one engine "
              "at the call, and keep the other lines off the bottom.", "off",
              wheel=True, engines=True, band=0.5 * BAND, radius=0.75 * RADIUS),
        Level(FREE, "Own scenario", "The scenario on screen, with a mark at an unknown moment.",
              "off", wheel=True, engines=True),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Round:
    """A round. ``setup`` has the mark with its moment and no orders.

    With ``call_after`` s a fish is on the ``hooked`` line that long after in
    gear. ``help`` is one of HELPS. ``come_by`` s is what the last lure takes to the mark's
    place with the boat in gear, if that is longer than in the rounds of the levels.
    """

    level: int
    seed: int
    setup: Setup
    help: str
    call_after: float | None = None
    hooked: str | None = None
    come_by: float = 0.0

    @property
    def mark(self) -> Mark:
        """The mark, with its moment."""
        assert self.setup.mark is not None
        return self.setup.mark

    def spell(self, orders: Sequence[Order]) -> tuple[float, float] | None:
        """(out of gear, in gear) of the drop for the mark, s; infinity while still out.

        The first one that ends after the mark was under the sounder.
        """
        later = [drop for drop in out_of_gear_intervals(orders) if drop[1] > self.mark.time]
        return later[0] if later else None

    def call_time(self, orders: Sequence[Order]) -> float | None:
        """When the fish is on, s, as the orders stand; None in a round without one."""
        if self.call_after is None:
            return None
        latest = self.mark.time + LATEST_CALL
        spell = self.spell(orders)
        return latest if spell is None else min(spell[1] + self.call_after, latest)

    def end_time(self, orders: Sequence[Order]) -> float:
        """When the round is over, s, as the orders stand."""
        call = self.call_time(orders)
        if call is not None:
            return call + FIGHT
        spell = self.spell(orders)
        if spell is None:
            return self.mark.time + max(NO_DROP, self.come_by)
        last = [back for _, back in out_of_gear_intervals(orders)][-1]
        last = max(last + max(FOLLOWED, self.come_by), self.mark.time + COME_BY)
        longest = max(LONGEST, 2.0 * self.come_by + HOLDS[-1])
        return min(last, self.mark.time + longest)


def make_round(level: int, seed: int, catalog: Catalog) -> Round:
    """The round of a level, 1 to 5, and a seed. Raises InvalidValue (level, seed)."""
    if level not in LEVELS or level == FREE:
        raise InvalidValue("level", level, "1 to 5")
    if not SEED.low <= seed <= SEED.high:
        raise InvalidValue("seed", seed, f"a whole number from {SEED.low:.0f} to {SEED.high:.0f}")
    dice = np.random.default_rng([seed, level])
    colors, knots = dice.integers(12, 21) / 2.0, dice.integers(12, 17) / 2.0
    speed, heading = KNOT.to_si(float(knots)), math.radians(10.0 * dice.integers(36))
    rods = _rods(level, float(colors))
    margin, over = float(dice.integers(12, 21)), float(dice.integers(5, 8))
    when = round(float(dice.uniform(EARLIEST_MARK, LATEST_MARK)), 1)
    current = _current(dice, heading) if level == 3 else (0.0, 0.0)
    after, hooked = round(float(dice.uniform(30.0, 36.0)), 1), int(dice.integers(len(rods)))
    deep = Water(Bottom.level(sum((rod.line_out for rod in rods), 100.0)), current=current)
    fish = level == 5
    boat = replace(catalog.boats[BOAT], one_engine=FISH_ON_ENGINE) if fish else BOAT
    setup = Setup(
        f"Drill, level {level}, round {seed}", deep, boat, rods, speed=speed, heading=heading
    )
    # with a fish on there is less water to spare, so that a boat too slow has lines touch
    depth = FOOT.from_si(_lowest(setup, catalog)) + (9.0 if fish else margin)
    depth = FOOT.to_si(float(round(depth)))
    mark = Mark(depth - FOOT.to_si(4.0 if fish else over), when, LEVELS[level].band)
    bottom = _shoal(dice, depth, speed * when, heading) if level == 4 else Bottom.level(depth)
    timing = replace(setup.timing, radius=LEVELS[level].radius)
    setup = replace(setup, water=replace(deep, bottom=bottom), mark=mark, timing=timing)
    return Round(
        level, seed, setup, LEVELS[level].help,
        after if fish else None, rods[hooked].name if fish else None,
    )  # fmt: skip


def free_round(setup: Setup, seed: int, catalog: Catalog, help: str = "off") -> Round:
    """A round on a teacher's scenario; only when the mark comes is drawn.

    Raises InvalidValue (motion, and what the setup itself may refuse).
    """
    if setup.motion is not None:
        raise InvalidValue("motion", "a table", "a boat that answers the helm")
    dice = np.random.default_rng([seed, FREE])
    when = round(float(dice.uniform(EARLIEST_MARK, LATEST_MARK)), 1)
    mark = setup.mark or Mark(max(0.5, setup.water.bottom.shallowest - 1.5))
    drawn = replace(mark, time=when)
    if not setup.water.bottom.is_level:
        # the ground lies where it lies: the mark stays at its own place over it
        drawn = mark if setup.mark is not None else drawn
    own = replace(setup.untold(), mark=drawn)
    return Round(FREE, seed, own, help, come_by=_come_by(own.scenario(catalog)))


def _come_by(scenario: Scenario) -> float:
    """What the farthest lure takes at most to the mark's place in gear, as long as plans follow."""
    boat = scenario.boat
    way = max(rod.astern + rod.line_out + rod.lure.length for rod in scenario.rods)
    speed = math.hypot(*bare(scenario).track().at(-1.0).velocity)
    picking_up = boat.shift_time + boat.idle_time + boat.throttle_time + boat.half_time
    return min(picking_up + way / max(speed, way / AFTER), AFTER)


def _rods(level: int, colors: float) -> tuple[RodSetup, ...]:
    lures = ("sinking plug, 5 in", "sinking plug, 7 in")
    every = (
        ("port long", 0.0, -3.6, 0), ("port short", 1.0, -1.5, 1),
        ("starboard short", 1.0, 1.5, 1), ("starboard long", 0.0, 3.6, 0),
    )  # fmt: skip
    chosen = {1: every[3:], 3: (every[0], every[3])}.get(level, every)
    return tuple(
        RodSetup(
            "only line" if level == 1 else name,
            line_out=COLOR.to_si(colors - less),
            lure=lures[lure],
            abeam=abeam,
        )
        for name, less, abeam, lure in chosen
    )


def _current(dice: np.random.Generator, heading: float) -> tuple[float, float]:
    """East and north, m/s: with the boat or against her, a little across, never none.

    More across, and lines that lie along her heading pass the mark too far to the side.
    """
    way = heading + math.pi * float(dice.integers(2)) + float(dice.uniform(-0.2, 0.2))
    east, north = compass_vector(way)
    knots = float(dice.integers(3, 8)) / 5.0
    return KNOT.to_si(knots) * float(east), KNOT.to_si(knots) * float(north)


def _shoal(dice: np.random.Generator, top: float, mark: float, heading: float) -> Bottom:
    """Ground along the track that rises to ``top`` m before the mark, ``mark`` m along."""
    deep = top + FOOT.to_si(float(dice.integers(6, 13)))
    edge = mark - float(dice.integers(12, 28))
    foot = edge - float(dice.integers(35, 61))
    far = mark + float(dice.integers(40, 81))
    points = ((foot, deep), (edge, top), (far, top), (far + 50.0, deep + 1.0))
    return Bottom(points, heading)


def _lowest(setup: Setup, catalog: Catalog) -> float:
    """Depth of the lowest line in steady tow, m."""
    run = Run([setup.scenario(catalog)])
    return max(-float(line[2].min()) for line in run.nodes_at(0.0))


__all__ = ["FREE", "HELPS", "LEVELS", "Level", "Round", "free_round", "make_round"]
