"""How a towed lure lies in the flow: viscous cross flow, its mean over a swing, and Munk's moment.

Allen & Perkins 1951, NACA TR 1048; Munk 1924, NACA TR 184; Jones 1946, NACA TR 835; Lighthill
1960, J. Fluid Mech. 9, 305-317: formulas from MEMORY.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest

from physics.environment.water import Bottom, Water
from physics.line.mesh import STRAIGHT, loose_lures
from physics.line.swing import cross_speed
from physics.line.system import LineSystem
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from tests.beside import beside
from tests.physics.gear import ball

WATER = Water(Bottom.level(50.0))
SPEED = 3.0
SWING = math.radians(20.0)
PLUG = Lure("plug", "sinking plug", 0.068, 5.09e-5, 0.127, 4.58e-4, 1.99e-3, swing=SWING)
SPOON = Lure("spoon", "spoon", 0.028, 3.53e-6, 0.1, 2.7e-4, 2.59e-3, swing=SWING)
SPOON_WIDTH = 0.030
BALL = ball(0.113, 1.03e-5, 2.58e-4, length=0.027)
"""As shipped."""


def across_and_moment(lure: Lure, angle: float) -> tuple[float, float]:
    """Force across, N, and moment about the eye, N m, of a lure towed nose up by ``angle`` rad.

    Both positive where they lift the lure and turn it back into the flow.
    """
    mesh = loose_lures([lure], WATER)
    t = np.array([-math.cos(angle), 0.0, -math.sin(angle)])
    r = np.array([[0.0, 0.0, -10.0], lure.length * t + [0.0, 0.0, -10.0]]).T
    v = np.repeat([[SPEED], [0.0], [0.0]], 2, axis=1)
    system = LineSystem(mesh)
    system.evaluate(r, v, np.zeros((3, 2)), np.full(2, 0.1))
    force = -system.residual
    force[2] += mesh.weight - mesh.buoyancy
    up = np.array([-math.sin(angle), 0.0, math.cos(angle)])
    nose, tail = up @ force
    return float(nose + tail), float(tail * lure.length)


def mean_over_a_swing(angle: float, swing: float) -> float:
    """Viscous cross flow of a needle, rho/2 U^2 and area 1: the mean of its part across the mean
    axis while its heading goes as a sine."""
    yaw = swing * np.sin(np.linspace(0.0, 2.0 * np.pi, 2001)[:-1])
    up = np.full_like(yaw, math.sin(angle))
    axis = np.array([math.cos(angle) * np.cos(yaw), math.cos(angle) * np.sin(yaw), up])
    across = np.array([1.0, 0.0, 0.0])[:, None] - axis[0] * axis
    force = (np.sqrt((across**2).sum(axis=0)) * across).mean(axis=1)
    return float(force @ [math.sin(angle), 0.0, -math.cos(angle)])


@pytest.mark.parametrize("degrees", [2.0, 5.0, 10.0, 20.0, 45.0, 90.0])
@pytest.mark.parametrize(("swing", "room"), [(0.0, 1e-3), (10.0, 0.05), (20.0, 0.06), (30.0, 0.08)])
def test_that_the_force_across_is_the_mean_viscous_cross_flow_of_a_swing(
    degrees, swing, room
) -> None:
    angle, swing = math.radians(degrees), math.radians(swing)
    lure = replace(PLUG, swing=swing)
    push = 0.5 * WATER.density * SPEED**2 * lure.broadside_area
    force, moment = across_and_moment(lure, angle)
    assert force / push == pytest.approx(mean_over_a_swing(angle, swing), rel=room)
    assert moment == pytest.approx(0.5 * lure.length * force, rel=1e-9), "it acts amidships"


def test_that_a_ball_has_no_force_across_and_a_lure_broadside_is_as_without_a_swing() -> None:
    still, swinging = replace(BALL, swing=0.0), replace(BALL, swing=0.5)
    assert across_and_moment(swinging, 0.3) == across_and_moment(still, 0.3)
    broadside = [across_and_moment(replace(PLUG, swing=a), math.pi / 2.0) for a in (0.0, 0.5)]
    assert broadside[1] == pytest.approx(broadside[0], rel=1e-12)


def test_that_a_needle_meets_next_to_no_force_across() -> None:
    needle = replace(PLUG, broadside_area=1e-7, swing=0.5)
    assert across_and_moment(needle, 0.1)[0] < 1e-3 * across_and_moment(PLUG, 0.1)[0]


def test_that_a_swinging_spoon_has_less_than_the_lift_of_a_plate_held_still() -> None:
    """Jones: pi/2 width^2 by the angle, however long, at its widest; a spoon turns in its lift."""
    plate = 0.5 * math.pi * SPOON_WIDTH**2
    ours = cross_speed(SPOON.swing) * SPOON.broadside_area
    beside("spoon: force across by the angle, cm^2", 1e4 * ours, 1e4 * plate)
    assert SPOON.end_area < ours < plate


def inertia_along_and_across(fineness: float) -> tuple[float, float]:
    """Added mass of a spheroid in shares of the displaced water, by Lamb's closed form."""
    e = math.sqrt(1.0 - 1.0 / fineness**2)
    log = math.log((1.0 + e) / (1.0 - e))
    alpha = 2.0 * (1.0 - e * e) / e**3 * (0.5 * log - e)
    beta = 1.0 / (e * e) - (1.0 - e * e) / (2.0 * e**3) * log
    return alpha / (2.0 - alpha), beta / (2.0 - beta)


def test_that_the_added_masses_of_spheroids_are_lambs() -> None:
    """Lamb, Hydrodynamics, table of art. 115, from MEMORY: (fineness, k1, k2)."""
    for fineness, along, across in ((2.99, 0.122, 0.803), (4.99, 0.059, 0.895)):
        assert inertia_along_and_across(fineness) == pytest.approx((along, across), abs=1.5e-3)


@dataclass(frozen=True)
class Hull:
    """A body of revolution that the flow leaves at ``base``, m^2, ``base_at`` m behind its nose;
    of ``length`` and ``thickness`` m and ``volume`` m^3; hooks of a drag area ``hooks`` m^2 trail
    at three quarters of it."""

    length: float
    thickness: float
    volume: float
    base: float = 0.0
    base_at: float = 0.0
    hooks: float = 0.0

    @property
    def share(self) -> float:
        along, across = inertia_along_and_across(self.length / self.thickness)
        return across - along

    @property
    def force(self) -> float:
        """Of the body across, by the angle, on rho/2 U^2, m^2."""
        return 2.0 * self.share * self.base

    @property
    def moment(self) -> float:
        """The same about the nose, m^3: negative turns it out of the flow, as Munk's does."""
        return 2.0 * self.share * (self.base * self.base_at - self.volume)

    def growing(self, mass: float, drag: float, line: float, speed: float) -> np.ndarray:
        """Rates, 1/s, of what grows while it is towed by its nose on a light ``line``, m.

        Lighthill's reaction of the water to sideways motion y and angle a, elongated body; the
        ``drag`` area, m^2, beside the hooks' acts along the body.
        """
        rho, push, x = WATER.density, 0.5 * WATER.density * speed**2, self.base_at
        middle, water = 0.5 * self.length, rho * self.share * self.volume
        hook, back = rho / 2.0 * self.hooks * speed, 0.75 * self.length
        spread = self.length**2 / 3.0
        tail = rho * self.share * self.base * speed
        inertia = (mass + water) * np.array([[1.0, middle], [middle, spread]])
        damping = np.array([[0.0, water * speed], [-water * speed, 0.0]])
        damping += tail * np.array([[1.0, x], [x, x * x]])
        damping += hook * np.array([[1.0, back], [back, back * back]])
        stiff = np.array([
            [push * (drag + self.hooks) / line, speed * tail - push * drag],
            [0.0, push * (self.moment + self.hooks * back)],
        ])  # fmt: skip
        below = -np.linalg.solve(inertia, np.hstack([stiff, damping]))
        rates = np.linalg.eigvals(np.vstack([np.eye(4)[2:], below]))
        found: np.ndarray = rates[rates.real > 1e-6]
        return found


SUBOFF = Hull(4.356, 0.508, 0.699)
"""Bare hull; moments about 2.013 m behind its nose."""

ORIGIN = 2.013

SLOPES = {"force": 5.97e-3, "moment": 1.28e-2}
"""-Z'w and M'w: across force and moment by the angle, on rho/2 U^2 L^2 and L^3, measured.

Roddy 1990, DTRC/SHD-1298-08, towed in a basin. MEMORY: figures and hull; the report's title
page READ."""

HULL_MOMENT = 0.10  # share; base and volume taken where Hopkins 1951 has the flow leave


def test_that_the_moment_of_a_measured_hull_follows_from_its_force() -> None:
    """With the base that gives its measured force, theory gives its measured moment."""
    size = SUBOFF.length
    base = SLOPES["force"] * size**2 / (2.0 * SUBOFF.share)
    hull = replace(SUBOFF, base=base, base_at=0.9 * size)
    assert 0.2 < base / (math.pi / 4.0 * hull.thickness**2) < 0.5, "it leaves before the end"
    ours = (ORIGIN * hull.force - hull.moment) / size**3
    beside("SUBOFF bare hull: M'w", ours, SLOPES["moment"])
    assert ours == pytest.approx(SLOPES["moment"], rel=HULL_MOMENT)
    assert hull.moment < 0.0, "by its nose it would not tow straight"


def plug(base: float, hooks: float) -> Hull:
    """The shipped plug as a hull; base and hooks as shares of its widest section."""
    section = PLUG.volume / (0.7 * PLUG.length)
    thick = math.sqrt(4.0 * section / math.pi)
    return Hull(PLUG.length, thick, PLUG.volume, base * section, PLUG.length, hooks * section)


@pytest.mark.parametrize("hooks", [0.0, 0.6])
@pytest.mark.parametrize("line", [3.0, 60.0])
def test_that_no_plug_swings_by_slender_body_theory_it_goes_off_or_stays(hooks, line) -> None:
    """So how far a lure swings is entered and not computed from Munk's moment."""
    growing = []
    for base in np.linspace(0.0, 1.0, 11):
        hull = plug(float(base), hooks)
        drag = PLUG.end_area - hull.hooks
        found = hull.growing(PLUG.mass, drag, line, SPEED)
        assert np.abs(found.imag).max(initial=0.0) == 0.0, "nothing swings"
        growing.append(len(found))
    assert growing[0] == 1, "with a pointed tail it goes off"
    assert growing[-1] == 0, "with a blunt one it does not"
    assert sorted(growing, reverse=True) == growing


CORE = LineSection("5 colors", 45.72, 9e-4, 2.424e-3, 800.0, 1.2, flooded=0.3)
LEADER = LineSection("leader", 4.572, 7.2e-4, 4.64e-4, 890.0)


def steady_depth(lure: Lure, knots: float) -> float:
    """Depth, m, in steady tow."""
    rod = Rod("rod", (CORE, LEADER), lure)
    scenario = Scenario(
        "tow", WATER, Boat("boat"), (rod,), speed=knots * 1852.0 / 3600.0, duration=1.0,
        resolution=STRAIGHT,
    )  # fmt: skip
    return float(simulate(scenario).depth(0, np.array([0.0]))[0])


ALONG_THE_FLOW = 0.02  # share; that the default swing comes so near is found, not asked for


def test_that_the_more_a_plug_swings_the_shallower_it_runs_as_far_as_its_lift_bears_it() -> None:
    """From drag along the lure to drag along the flow, and on until lift bears its weight."""
    depths = [steady_depth(replace(PLUG, swing=math.radians(a)), 7.5) for a in (0, 10, 20, 40, 60)]
    assert all(one > next_ for one, next_ in pairwise(depths))
    point = replace(PLUG, isotropic=True, broadside_area=PLUG.end_area)
    borne = replace(point, mass=WATER.density * PLUG.volume)
    beside("5 in plug at 20 degrees, m; drag along the flow", depths[2], steady_depth(point, 7.5))
    assert depths[2] == pytest.approx(steady_depth(point, 7.5), rel=ALONG_THE_FLOW)
    assert depths[-1] > steady_depth(borne, 7.5)
