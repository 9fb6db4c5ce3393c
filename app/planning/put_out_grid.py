"""What may be put out: the speeds, and of every rod line, lure and leader, as a grid to search."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from app.common.reading import one_of
from app.common.units import COLOR
from app.gear.catalog import Catalog
from app.planning.remedies import FASTEST, NO_LURES, SLOWEST
from app.scenario.limits import WAIT
from app.scenario.setup import LINES_OUT, RodSetup, Setup
from physics.answers.holds import LONGEST_HOLD, bare
from physics.answers.put_out import RodOptions
from physics.checks import InvalidValue, Limits, require_number
from physics.environment.water import compass_vector

LEAST_OUT = COLOR.to_si(1.0)
"""Nobody trolls leadcore with less out (common practice, no source), m."""

SPEED_RANGE = 1.5
"""How much slower and faster may be tried unless told, in what the setup tells speeds in."""

USUAL_UNISON = 3.0
"""Lures within this of each other lift together, s (assumed)."""

UNISON = Limits(0.2, 60.0, "s")


@dataclass(frozen=True, slots=True)
class RodFreedom:
    """What may change of one rod. With nothing it stays as it is.

    ``colors``: how much is out, to half a color, up to ``most`` m: by default the leadcore on
    its reel, or what is out now if that is more. ``lures`` and ``leaders`` are names it may
    have besides its own.
    """

    colors: bool = True
    most: float | None = None
    lures: tuple[str, ...] = ()
    leaders: tuple[str, ...] = ()

    @property
    def stays(self) -> bool:
        """Whether nothing of the rod may change."""
        return not (self.colors or self.lures or self.leaders)


STAYS = RodFreedom(colors=False)


@dataclass(frozen=True, slots=True)
class PutOutRequest:
    """What is asked. ``rods`` say what may change of each; ``speeds`` m/s, least and most.

    ``speeds`` None keeps the setup's speed. A ``hold`` and a ``wait``, s, are kept where given.
    ``unison`` s is how near each other all lures are to lift; None asks for no such thing.
    """

    setup: Setup
    rods: tuple[RodFreedom, ...]
    speeds: tuple[float, float] | None = None
    hold: float | None = None
    wait: float | None = None
    unison: float | None = USUAL_UNISON

    def check(self, catalog: Catalog) -> None:
        """Raise InvalidValue (hold, wait, unison, speeds, lure, leader, most, motion)."""
        if self.hold is not None:
            require_number("hold", self.hold, 0.0, LONGEST_HOLD, "s")
        if self.wait is not None:
            require_number("wait", self.wait, 0.0, WAIT.high, "s")
        if self.unison is not None:
            require_number("unison", self.unison, *UNISON)
        if self.speeds is not None:
            for speed in self.speeds:
                require_number("speeds", speed, SLOWEST, FASTEST, "m/s")
            if self.speeds[0] > self.speeds[1]:
                raise InvalidValue("speeds", self.speeds[0], "the slower one first")
        if len(self.rods) != len(self.setup.rods):
            raise InvalidValue("rods", len(self.rods), f"one for each of {len(self.setup.rods)}")
        if self.setup.motion is not None:
            raise InvalidValue("motion", "a table", "a boat that answers the helm")
        leaders = catalog.of_role("leader")
        for freedom in self.rods:
            if freedom.most is not None:
                require_number("most", freedom.most, *LINES_OUT)
            for lure in freedom.lures:
                if lure not in catalog.lures:
                    raise InvalidValue("lure", lure, one_of(lure, list(catalog.lures)))
            for leader in freedom.leaders:
                if leader not in leaders:
                    raise InvalidValue("leader", leader, one_of(leader, leaders))


def usual_request(setup: Setup, *, hold: float | None = None) -> PutOutRequest:
    """Line and speed may change, tackle stays."""
    around = setup.speed_unit.to_si(SPEED_RANGE)
    speeds = (max(SLOWEST, setup.speed - around), min(FASTEST, setup.speed + around))
    usual = min(speeds[0], setup.speed), max(speeds[1], setup.speed)
    inside = SLOWEST <= setup.speed <= FASTEST
    return PutOutRequest(setup, (RodFreedom(),) * len(setup.rods), usual if inside else None, hold)


def fishable_lures(catalog: Catalog) -> list[str]:
    """Names of the lures that somebody fishes with by themselves."""
    return [name for name, lure in catalog.lures.items() if lure.kind not in NO_LURES]


def speeds_of(request: PutOutRequest, step: float) -> list[float]:
    """The least and the most speed allowed, the setup's own if it is, and those between, m/s.

    They are ``step`` of the setup's unit apart at the most.
    """
    own = request.setup.speed
    if request.speeds is None:
        return [own]
    low, high = request.speeds
    ends = sorted({low, high, min(max(own, low), high)})
    apart = request.setup.speed_unit.to_si(step)
    out = ends[:1]
    for a, b in pairwise(ends):
        count = max(math.ceil((b - a) / apart - 0.01), 1)
        out += [*np.linspace(a, b, count + 1)[1:-1].tolist(), b]
    return out


def lengths_of(rod: RodSetup, freedom: RodFreedom) -> list[list[float]]:
    """How much line the rod may have out, m, rising; in one list what is of one kind throughout."""
    own = rod.line_out
    if not freedom.colors or rod.sections is not None or rod.line is None:
        return [[own]]
    most = max(rod.on_reel, own) if freedom.most is None else freedom.most
    halves = COLOR.to_si(0.5) * np.arange(1, math.floor(COLOR.from_si(most) * 2.0 + 1e-9) + 1)
    every = [float(x) for x in halves if x >= LEAST_OUT - 1e-9 and abs(x - own) > 0.01]
    every = sorted([*every, own])
    parts = [
        [x for x in every if x <= rod.on_reel + 1e-9],
        [x for x in every if x > rod.on_reel + 1e-9],
    ]
    return [part for part in parts if part]


Families = tuple[tuple[RodSetup, ...], ...]
"""Of one rod the options, in families of lines alike but for how much is out, rising."""


def families_of(
    rod: RodSetup,
    freedom: RodFreedom,
    lures: Sequence[str] | None = None,
    leaders: Sequence[str] | None = None,
) -> Families:
    """Everything one rod may have out; its own tackle, and ``lures`` and ``leaders`` if told."""
    own = rod.lure if isinstance(rod.lure, str) else None
    others = [x for x in (freedom.lures if lures is None else lures) if x != own]
    ties = [x for x in (freedom.leaders if leaders is None else leaders) if x != rod.leader]
    if rod.sections is not None:
        ties = []
    return tuple(
        tuple(replace(rod, lure=lure, leader=leader, line_out=out) for out in part)
        for lure in (rod.lure, *others)
        for leader in (rod.leader, *ties)
        for part in lengths_of(rod, freedom)
    )


def change_of(now: RodSetup, then: RodSetup) -> float:
    """How far an option is from what is out, 0 to 1."""
    length = min(abs(then.line_out - now.line_out) / LINES_OUT.high, 1.0)
    return 0.4 * length + 0.4 * (then.lure != now.lure) + 0.2 * (then.leader != now.leader)


def options_of(now: RodSetup, families: Families, catalog: Catalog) -> RodOptions:
    """One rod's options, looked up. Raises InvalidValue."""
    return RodOptions(
        tuple(tuple(one.rod(catalog) for one in family) for family in families),
        tuple(change_of(now, one) for family in families for one in family),
    )


def at_speed(setup: Setup, speed: float, catalog: Catalog) -> Setup:
    """The setup at another speed, m/s, its mark in the same place over a bottom that is not level.

    The mark's place is told by the time at which the boat is over it.
    """
    mark, other = setup.mark, replace(setup, speed=speed)
    if speed == setup.speed or mark is None or setup.water.bottom.is_level:
        return other
    now, then = (_along(one, catalog) for one in (setup, other))
    if min(abs(now), abs(then)) < 1e-3 or now * then < 0.0:
        return other
    return replace(other, mark=replace(mark, time=mark.time * now / then))


def _along(setup: Setup, catalog: Catalog) -> float:
    """How fast the boat moves along the profile over ground, m/s."""
    plain = replace(setup, orders=(), line_orders=(), hold=None)
    velocity = bare(plain.scenario(catalog)).track().at(-1.0).velocity
    return float(np.dot(velocity, compass_vector(setup.water.bottom.bearing)))
