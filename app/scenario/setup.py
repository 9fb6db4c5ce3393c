"""A drop as a person describes it: spools, colors out, lures by name; SI inside."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from app.common.reading import one_of
from app.common.units import BOAT_SPEEDS, COLOR, FOOT, Unit, feet_and_meters
from app.gear.catalog import Catalog
from app.gear.tackle_file import LineKind
from app.scenario.card_wish import CardWish
from app.scenario.limits import WAIT, Timing
from app.scenario.soundings import Soundings
from physics.answers.doubt import Doubt
from physics.checks import InvalidValue, Limits, require_name, require_number
from physics.environment.water import BOTTOM, Water
from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution
from physics.line.tackle import MOST_LINE, LineSection, Lure, Rod
from physics.simulation.scenario import LENGTH_OF_RUN, MARK_LIMITS, MOST_RODS, Mark, Scenario
from physics.vessel.boat import STOPS_SHORT, TROLLING_SPEED, Boat, Order
from physics.vessel.motion import PrescribedMotion

Item = TypeVar("Item", Lure, Boat, LineKind)

LINES_OUT = Limits(COLOR.to_si(0.1), COLOR.to_si(40.0), "m")
LEADERS = Limits(0.05, FOOT.to_si(100.0), "m")
ON_REELS = Limits(0.0, COLOR.to_si(100.0), "m")
HOLD_LIMITS = Limits(0.5, 600.0, "s")

USUAL_BACKING = "50 lb braid backing"
"""What a rod is taken to have behind its leadcore when nothing is said."""

BACKING_ON_REEL = 100.0
"""Backing taken to be on a reel behind its leadcore, m (assumed)."""

SHORTEST_SECTION = 0.05
"""A snippet of line shorter than this is taken as part of its neighbor, m."""

HOLD_WITHOUT_MARK = 10.0
"""When a drop without a mark goes out of gear, s."""


@dataclass(frozen=True, slots=True)
class RodSetup:
    """One rod. Lengths in m.

    ``line_out`` is everything between rod tip and leader: leadcore as far as
    the ``on_reel`` m of it last, and ``backing`` beyond. ``line`` None is
    backing alone. ``astern`` and ``abeam`` (to starboard) are from the
    sounder's transducer, ``height`` from the water. ``lure`` may be a Lure
    instead of a catalog name; ``sections``, tip first, replace line, backing
    and leader.
    """

    name: str
    line: str | None = "27 lb leadcore"
    line_out: float = COLOR.size * 5.0
    on_reel: float = COLOR.size * 10.0
    backing: str = USUAL_BACKING
    leader: str = "50 lb mono leader"
    leader_length: float = FOOT.size * 20.0
    lure: str | Lure = "sinking plug, 5 in"
    astern: float = 2.0
    abeam: float = 0.0
    height: float = 2.0
    sections: tuple[LineSection, ...] | None = None

    @property
    def needs_backing(self) -> bool:
        """Whether more line is out than the reel holds leadcore."""
        return self.line is None or self.line_out > self.on_reel

    def plain(self) -> RodSetup:
        """Without what ``sections`` make idle: then line, backing and leader are defaults."""
        if self.sections is None:
            return self
        return RodSetup(
            self.name, lure=self.lure, astern=self.astern, abeam=self.abeam,
            height=self.height, sections=self.sections,
        )  # fmt: skip

    def rod(self, catalog: Catalog) -> Rod:
        """The rod with its tackle looked up. Raises InvalidValue."""
        lure = self.lure
        if isinstance(lure, str):
            lure = _pick("lure", lure, catalog.lures)
        return Rod(
            self.name, self._sections(catalog), lure, self.astern, self.abeam, self.height,
            self._reserve(catalog),
        )  # fmt: skip

    def _reserve(self, catalog: Catalog) -> tuple[LineSection, ...]:
        """What the reel holds beyond what is out: the rest of the leadcore, then backing."""
        left = self.on_reel - self.line_out
        kinds = _role(catalog, "leadcore")
        if self.sections is not None or self.line not in kinds or left < SHORTEST_SECTION:
            return ()
        reserve = [kinds[self.line].section(min(left, MOST_LINE))]
        backing = _role(catalog, "backing").get(self.backing)
        if backing is not None:
            reserve.append(backing.section(BACKING_ON_REEL))
        return tuple(reserve)

    def _sections(self, catalog: Catalog) -> tuple[LineSection, ...]:
        if self.sections is not None:
            total = math.fsum(section.length for section in self.sections)
            if total > LINES_OUT.high + LEADERS.high:
                raise InvalidValue(
                    "sections", total, "at most 40 colors (366 m) and a leader of 100 ft (30 m)"
                )
            return self.sections
        require_number("line_out", self.line_out, *LINES_OUT)
        require_number("on_reel", self.on_reel, *ON_REELS)
        require_number("leader_length", self.leader_length, *LEADERS)
        core = 0.0 if self.line is None else min(self.on_reel, self.line_out)
        backing = self.line_out - core
        if core < SHORTEST_SECTION:
            core, backing = 0.0, self.line_out
        elif backing < SHORTEST_SECTION:
            core, backing = self.line_out, 0.0
        parts = []
        if backing:
            kind = _pick("backing", self.backing, _role(catalog, "backing"))
            parts.append(kind.section(backing))
        if core:
            parts.append(_pick("line", self.line, _role(catalog, "leadcore")).section(core))
        leader = _pick("leader", self.leader, _role(catalog, "leader"))
        return (*parts, leader.section(self.leader_length))


@dataclass(frozen=True, slots=True)
class Setup:
    """A whole scenario in the user's terms; ``scenario`` turns it into physics.

    ``speed`` m/s, ``heading`` rad, ``duration`` s. ``hold`` s, if any, is how
    long the boat stays out of gear when no gear orders are given, ``wait`` s, if any, how
    long after a mark she goes out of gear. ``boat`` is
    a catalog name or a Boat. ``doubt`` says how uncertain the inputs are,
    ``timing`` what a plan has to keep to;
    ``line_orders`` what is done to the lines, by the names of their rods, ``soundings`` what
    recorded depths are made ready with. ``speed_in`` is what speeds are told in, of BOAT_SPEEDS;
    ``card`` what is wanted on the helm card.
    """

    name: str
    water: Water
    boat: str | Boat
    rods: tuple[RodSetup, ...]
    notes: str = ""
    speed: float = TROLLING_SPEED
    heading: float = 0.0
    mark: Mark | None = None
    orders: tuple[Order, ...] = ()
    motion: PrescribedMotion | None = None
    duration: float = LENGTH_OF_RUN
    hold: float | None = None
    resolution: Resolution = field(default_factory=Resolution)
    doubt: Doubt = field(default_factory=Doubt)
    timing: Timing = field(default_factory=Timing)
    line_orders: tuple[LineOrder, ...] = ()
    soundings: Soundings = field(default_factory=Soundings)
    speed_in: str = "kn"
    card: CardWish = field(default_factory=CardWish)
    wait: float | None = None

    @property
    def speed_unit(self) -> Unit:
        """What speeds are told in."""
        return BOAT_SPEEDS[self.speed_in]

    def scenario(self, catalog: Catalog) -> Scenario:
        """The scenario with all tackle looked up.

        Raises InvalidValue; its field is this class's attribute, for a rod ``rod 2, line_out``.
        """
        require_name("name", self.name)
        if not 1 <= len(self.rods) <= MOST_RODS:
            raise InvalidValue("rods", len(self.rods), f"1 to {MOST_RODS} rods")
        require_number("heading", self.heading, -2 * math.pi, 2 * math.pi, "radians")
        for what, seconds, limits in (
            ("hold", self.hold, HOLD_LIMITS), ("wait", self.wait, WAIT.limits)
        ):  # fmt: skip
            if seconds is not None:
                require_number(what, seconds, *limits)
                if self.motion is not None:
                    raise InvalidValue(what, seconds, f"no {what} with a prescribed motion")
        boat = self.boat
        if isinstance(boat, str):
            boat = _pick("boat", boat, catalog.boats)
        rods = tuple(self._rod(number, catalog) for number in range(len(self.rods)))
        if self.motion is None:
            self._require_drivable(boat)
        return Scenario(
            self.name, self.water, boat, rods, self.speed, self.heading, self.mark,
            self.orders, self.motion, self.duration, self.notes, self.resolution,
            self.line_orders,
        )  # fmt: skip

    def _require_drivable(self, boat: Boat) -> None:
        """What physics has of a boat's speeds, said in what the setup tells them in."""
        unit, tenths = self.speed_unit, 10.0
        most = math.floor(tenths * unit.from_si(boat.fastest)) / tenths
        allowed = f"no more than {most:g} {unit.symbol} {STOPS_SHORT}"
        if not boat.drivable(self.speed):
            raise InvalidValue("speed", self.speed, allowed)
        for order in self.orders:
            if order.action == "throttle" and not boat.drivable(order.value):
                raise InvalidValue("orders", f"throttle {unit.text(order.value)}", allowed)

    def _rod(self, number: int, catalog: Catalog) -> Rod:
        setup = self.rods[number]
        where = f"rod {number + 1}"
        try:
            rod = setup.rod(catalog)
        except InvalidValue as error:
            attribute = error.field.rpartition(": ")[2].removeprefix("rod ")
            raise InvalidValue(f"{where}, {attribute}", error.value, error.allowed) from error
        if setup.name in [other.name for other in self.rods[:number]]:
            raise InvalidValue(f"{where}, name", setup.name, "a different name for every rod")
        shallowest = self.water.bottom.shallowest
        if -rod.height >= shallowest:
            raise InvalidValue(
                f"{where}, height",
                rod.height,
                f"a rod tip above the ground, which is {feet_and_meters(shallowest)} down at its "
                "shallowest",
            )
        if rod.lure.length >= self.water.bottom.shallowest:
            raise InvalidValue(
                "bottom",
                self.water.bottom.shallowest,
                f"deeper than the lure of {where} is long, {feet_and_meters(rod.lure.length)}",
            )
        return rod

    def with_rod(self, number: int, rod: RodSetup) -> Setup:
        """Another rod in the place of one; orders about the old one's line are about its own."""
        old = self.rods[number].name
        rods = (*self.rods[:number], rod, *self.rods[number + 1 :])
        told = tuple(
            replace(order, rod=rod.name) if order.rod == old else order
            for order in self.line_orders
        )
        return replace(self, rods=rods, line_orders=told)

    def without_rod(self, number: int) -> Setup:
        """One rod fewer, and no orders about its line."""
        gone = self.rods[number].name
        told = tuple(order for order in self.line_orders if order.rod != gone)
        rods = self.rods[:number] + self.rods[number + 1 :]
        return replace(self, rods=rods, line_orders=told)

    def untold(self) -> Setup:
        """This setup with nothing told to helm or lines: no orders, no hold, no wait."""
        return replace(self, orders=(), line_orders=(), hold=None, wait=None)

    def dropped(self) -> Setup:
        """This setup with its ``wait`` and ``hold`` as helm orders.

        Out of gear when the mark is under the sounder or ``wait`` s later, or after 10 s
        without a mark, and in gear ``hold`` s later, if a hold is named. Unchanged without a
        hold and without a wait after a mark, with gear orders already, or under a prescribed
        motion.
        """
        gear = any(order.action in ("out of gear", "in gear") for order in self.orders)
        waits = self.wait is not None and self.mark is not None
        if gear or self.motion is not None or not (waits or self.hold is not None):
            return self
        start = HOLD_WITHOUT_MARK if self.mark is None else self.mark.time + (self.wait or 0.0)
        orders = (*self.orders, Order(start, "out of gear"))
        if self.hold is not None:
            orders = (*orders, Order(start + self.hold, "in gear"))
        return replace(self, orders=tuple(sorted(orders, key=lambda order: order.time)))


def with_bottom(setup: Setup, depth: float) -> Setup:
    """The setup over a level bottom ``depth`` m down. Raises InvalidValue."""
    bottom = setup.water.bottom
    points = ((bottom.points[0][0], depth),)
    return replace(setup, water=replace(setup.water, bottom=replace(bottom, points=points)))


def mark_limits(setup: Setup) -> Limits:
    """How deep a mark may be over this bottom, m."""
    low, high, unit = MARK_LIMITS["depth"]
    return Limits(low, min(high, setup.water.bottom.deepest), unit)


def bottom_limits(setup: Setup) -> Limits:
    """How deep a level bottom may be under this mark, m."""
    low, high, unit = BOTTOM
    return Limits(low if setup.mark is None else max(low, setup.mark.depth), high, unit)


def _role(catalog: Catalog, role: str) -> dict[str, LineKind]:
    return {name: catalog.lines[name] for name in catalog.of_role(role)}


def _pick(field: str, name: object, items: Mapping[str, Item]) -> Item:
    """The item of that name. Raises InvalidValue with the nearest name suggested."""
    if not isinstance(name, str) or name not in items:
        raise InvalidValue(field, name, one_of(name, list(items)))
    return items[name]
