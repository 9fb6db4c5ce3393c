"""A Scenario: this water and bottom, this boat, this spread, this mark, these orders."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from physics.checks import InvalidValue, Limits, require_name, require_number
from physics.environment.water import Water
from physics.line.handling import Handling, handle
from physics.line.line_orders import LineOrder
from physics.line.mesh import STRAIGHT, Resolution
from physics.line.tackle import Rod
from physics.vessel.boat import DEPTH, ORDER_TIME, SPEED, Boat, Order
from physics.vessel.helm import HelmTrack
from physics.vessel.motion import PrescribedMotion, TableTrack

MOST_RODS = 6

MARK_LIMITS = {"depth": DEPTH, "time": ORDER_TIME, "band": Limits(0.05, 50.0, "m")}
"""Limits of a Mark's attributes."""

DURATION = Limits(1.0, 7200.0, "s")


@dataclass(frozen=True, slots=True)
class Mark:
    """A fish on the sounder: ``depth`` m, under the transducer at ``time`` s.

    ``band`` m is how far above and below it still counts as at its depth.
    """

    depth: float
    time: float = 0.0
    band: float = 1.0

    def __post_init__(self) -> None:
        require_number("mark depth", self.depth, *MARK_LIMITS["depth"])
        require_number("mark time", self.time, *MARK_LIMITS["time"])
        require_number("mark band", self.band, *MARK_LIMITS["band"])


@dataclass(frozen=True, slots=True)
class Scenario:
    """Everything a run needs, checked to make sense. Speeds m/s, angles rad.

    ``speed`` is the throttle at the start, held long enough for the tow to be
    steady. ``motion`` replaces the boat's own behaviour by a table.
    ``duration`` is how long a run without a screen lasts. ``line_orders`` are
    what is done to the lines meanwhile.
    """

    name: str
    water: Water
    boat: Boat
    rods: tuple[Rod, ...]
    speed: float = 3.86
    heading: float = 0.0
    mark: Mark | None = None
    orders: tuple[Order, ...] = ()
    motion: PrescribedMotion | None = None
    duration: float = 90.0
    notes: str = ""
    resolution: Resolution = field(default_factory=Resolution)
    line_orders: tuple[LineOrder, ...] = ()

    def __post_init__(self) -> None:
        require_name("scenario name", self.name)
        if not 1 <= len(self.rods) <= MOST_RODS:
            raise InvalidValue("spread", len(self.rods), f"1 to {MOST_RODS} rods")
        names = [rod.name for rod in self.rods]
        if len(set(names)) < len(names):
            twice = next(name for name in names if names.count(name) > 1)
            raise InvalidValue("rod name", twice, "a different name for every rod")
        shallowest = self.water.bottom.shallowest
        for rod in self.rods:
            if -rod.height >= shallowest:
                raise InvalidValue(
                    f"{rod.name}: height",
                    rod.height,
                    f"a rod tip above the ground, less than {shallowest:g} m under the water",
                )
        require_number("speed", self.speed, *SPEED)
        throttles = [order.value for order in self.orders if order.action == "throttle"]
        if self.motion is None:
            self.boat.require_drivable(max([self.speed, *throttles]))
        require_number("heading", self.heading, -7.0, 7.0, "radians")
        require_number("duration", self.duration, *DURATION)
        if self.mark is not None and self.mark.depth > self.water.bottom.deepest:
            raise InvalidValue(
                "mark depth",
                self.mark.depth,
                f"no deeper than the bottom, {self.water.bottom.deepest:g} m",
            )
        if self.motion is not None and self.orders:
            raise InvalidValue(
                "orders", len(self.orders), "no helm orders with a prescribed motion"
            )
        for order in self.line_orders:
            if order.rod not in names:
                raise InvalidValue("line order", order.rod, "one of " + ", ".join(names))

    def track(self) -> HelmTrack | TableTrack:
        """The boat's motion, with the scenario's own orders already given."""
        if self.motion is not None:
            lee = self.boat.leeway
            drift = tuple(
                c + lee * w for c, w in zip(self.water.current, self.water.wind, strict=True)
            )
            table = TableTrack(self.motion, (drift[0], drift[1]))
            if self.mark is not None:
                table.orders.append(Order(self.mark.time, "mark", self.mark.depth))
            return table
        orders = list(self.orders)
        if self.mark is not None:
            orders.append(Order(self.mark.time, "mark", self.mark.depth))
        return HelmTrack(self.boat, self.water, self.speed, self.heading, orders)


def cut_for_orders(scenario: Scenario) -> Scenario:
    """The scenario for a run that gets no more orders: lines cut coarser if the boat goes straight.

    Lines that are cut otherwise than by default stay as they are.
    """
    turns = any(order.action in ("wheel", "course") for order in scenario.orders)
    if scenario.motion is not None:
        turns = len({heading for _, _, heading in scenario.motion.table}) > 1
    if turns or scenario.resolution != Resolution():
        return scenario
    return replace(scenario, resolution=STRAIGHT)


def handlings(scenario: Scenario) -> list[Handling | None]:
    """What a scenario orders of each of its lines; None where nothing is."""
    out: list[Handling | None] = []
    for rod in scenario.rods:
        orders = [order for order in scenario.line_orders if order.rod == rod.name]
        fine, water = scenario.resolution, scenario.water
        out.append(handle(rod, orders, water, fine) if orders else None)
    return out
