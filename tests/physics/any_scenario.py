"""Hypothesis strategies: any tackle a shop could sell, any boat, ground and helm."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from physics.environment.water import Bottom, Water
from physics.line.mesh import Resolution
from physics.line.tackle import LURE_KINDS, LineSection, Lure, Rod
from physics.simulation.scenario import Mark, Scenario
from physics.vessel.boat import Boat, Order


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False).map(lambda x: round(x, 4))


LINES = {  # diameter mm, density kg/m^3, stiffness N
    "mono": ((0.25, 0.9), (1130.0, 1150.0), (1000.0, 4000.0)),
    "fluorocarbon": ((0.25, 0.9), (1760.0, 1780.0), (1000.0, 5000.0)),
    "braid": ((0.15, 0.5), (970.0, 1000.0), (3000.0, 20000.0)),
    "leadcore": ((0.6, 1.2), (2500.0, 5500.0), (5000.0, 30000.0)),
    "wire": ((0.3, 0.7), (7700.0, 8000.0), (10000.0, 50000.0)),
}


@st.composite
def sections(draw, number: int, shortest: float, longest: float) -> LineSection:
    """A piece of any kind of line."""
    kind = draw(st.sampled_from(sorted(LINES)))
    thick, dense, stiff = LINES[kind]
    diameter = draw(between(*thick)) * 1e-3
    return LineSection(
        f"{kind} {number}",
        length=draw(between(shortest, longest)),
        diameter=diameter,
        mass_per_length=draw(between(*dense)) * np.pi * diameter**2 / 4.0,
        stiffness=draw(between(*stiff)),
        drag_multiplier=draw(between(0.7, 1.8)),
        tangential_drag=draw(between(0.002, 0.03)),
        normal_drag=draw(st.one_of(st.none(), between(0.8, 2.5))),
    )


DENSITIES = {
    "sinking plug": (1030.0, 2500.0),
    "nose-weighted jig": (3000.0, 11000.0),
    "floating lipped plug": (500.0, 1000.0),
    "spoon": (5000.0, 8500.0),
    "sinker": (7000.0, 11300.0),
}

assert set(DENSITIES) == set(LURE_KINDS)


@st.composite
def lures(draw) -> Lure:
    """A lure of 3 to 400 g, as long, fat and heavy as its kind comes."""
    kind = draw(st.sampled_from(LURE_KINDS))
    density = draw(between(*DENSITIES[kind]))
    mass = draw(between(3.0, 400.0)) * 1e-3
    volume = mass / density
    length = volume ** (1.0 / 3.0) * draw(between(1.5, 5.0))
    middle = draw(between(0.4, 0.6))
    return Lure(
        "lure", kind, mass, volume, length,
        end_area=volume / length * draw(between(0.2, 1.0)),
        broadside_area=(volume * length) ** 0.5 * draw(between(0.5, 1.3)),
        mass_center=draw(between(0.15, 0.25 if "nose" in kind else 0.6)),
        volume_center=middle,
        lip_area=volume / length * draw(between(0.1, 1.5)) if "lipped" in kind else 0.0,
        swing=4.0 * (middle - 0.4),
        isotropic=kind == "sinker",
    )  # fmt: skip


@st.composite
def rods(draw, name: str) -> Rod:
    """One long line, perhaps a second, perhaps a leader; near the boat's stern."""
    parts = [draw(sections(0, 5.0, 90.0))]
    if draw(st.booleans()):
        parts.append(draw(sections(1, 5.0, 60.0)))
    if draw(st.booleans()):
        parts.append(draw(sections(2, 0.5, 10.0)))
    return Rod(
        name, tuple(parts), draw(lures()),
        astern=draw(between(-2.0, 10.0)), abeam=draw(between(-6.0, 6.0)),
        height=draw(between(-0.5, 4.0)),
    )  # fmt: skip


@st.composite
def bottoms(draw) -> Bottom:
    """Level, or a profile of straight slopes up to one in one."""
    depth = draw(between(3.0, 60.0))
    if draw(st.booleans()):
        return Bottom.level(depth)
    points, along = [(-50.0, depth)], -50.0
    for _ in range(draw(st.integers(1, 5))):
        step = draw(between(2.0, 60.0))
        along += step
        rise = draw(between(-1.0, 1.0)) * min(step, 20.0)
        points.append((round(along, 4), min(max(points[-1][1] + rise, 2.0), 80.0)))
    return Bottom(tuple(points), bearing=draw(between(0.0, 6.2)))


@st.composite
def helm(draw, duration: float) -> tuple[Order, ...]:
    """A hold out of gear, and perhaps a turn, a throttle or one engine."""
    out = draw(between(0.0, 5.0))
    orders = [
        Order(out, "out of gear"),
        Order(min(out + draw(between(0.5, 25.0)), duration), "in gear"),
    ]
    extra = draw(st.sampled_from(["none", "wheel", "throttle", "engines"]))
    time = draw(between(0.0, duration))
    if extra == "wheel":
        orders.append(Order(time, "wheel", draw(between(-0.05, 0.05))))
    elif extra == "throttle":
        orders.append(Order(time, "throttle", draw(between(0.5, 5.0))))
    elif extra == "engines":
        orders.append(Order(time, "engines", draw(st.sampled_from([1, 2]))))
    return tuple(sorted(orders, key=lambda order: order.time))


@st.composite
def scenarios(draw) -> Scenario:
    """20 to 30 seconds of one or two rods behind any boat."""
    duration = draw(between(20.0, 30.0))
    current = draw(st.tuples(between(-1.5, 1.5), between(-1.5, 1.5)))
    wind = draw(st.tuples(between(-10.0, 10.0), between(-10.0, 10.0)))
    boat = Boat(
        "boat", trolling_speed=draw(between(0.6, 5.0)), half_time=draw(between(1.5, 15.0)),
        exponent=draw(between(1.0, 3.0)), propeller_drag=draw(between(0.0, 1.0)),
        throttle_time=draw(between(0.0, 6.0)), shift_time=draw(between(0.0, 1.5)),
        leeway=draw(between(0.0, 0.07)),
    )  # fmt: skip
    return Scenario(
        "any",
        Water(draw(bottoms()), density=draw(between(997.0, 1028.0)), current=current, wind=wind),
        boat,
        tuple(draw(rods(name)) for name in ("port", "starboard")[: draw(st.integers(1, 2))]),
        speed=draw(between(0.5, 5.0)),
        heading=draw(between(0.0, 6.2)),
        mark=Mark(1.0, draw(between(0.0, 10.0))) if draw(st.booleans()) else None,
        orders=draw(helm(duration)),
        duration=duration,
        resolution=Resolution(draw(st.integers(6, 16)), draw(st.integers(1, 3))),
    )
