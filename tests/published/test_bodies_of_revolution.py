"""How a lure lies in the flow: slender-body theory, viscous cross flow, and measured bodies."""

from __future__ import annotations

import math

import numpy as np
import pytest

from physics.environment.water import Bottom, Water
from physics.line.lift import body_lift, inertia_along_and_across, plate_lift, trailed
from physics.line.mesh import loose_lures
from physics.line.system import LineSystem
from physics.line.tackle import Lure
from tests.beside import beside

WATER = Water(Bottom.level(50.0))
SPEED = 3.0

PLUG = Lure(
    "plug", "sinking plug", 0.068, 5.09e-5, 0.127, 4.58e-4, 1.99e-3, lift_area=8.1e-4,
    lift_center=0.07,
)  # fmt: skip


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


@pytest.mark.parametrize("degrees", [0.0, 2.0, 5.0, 10.0, 20.0])
def test_that_force_and_moment_are_those_of_slender_body_and_viscous_cross_flow(degrees) -> None:
    """NACA TR 1048 (Allen & Perkins 1951), formula from MEMORY: potential part and sin^2."""
    angle = math.radians(degrees)
    push = 0.5 * WATER.density * SPEED**2
    slender = push * PLUG.lift_area * math.sin(angle) * math.cos(angle)
    viscous = push * PLUG.broadside_area * math.sin(angle) ** 2
    arm = PLUG.lift_center * PLUG.length
    force, moment = across_and_moment(PLUG, angle)
    # the cross flow's floor of 1 mm/s
    assert force == pytest.approx(slender + viscous, rel=1e-3, abs=1e-6)
    assert moment == pytest.approx(arm * slender + 0.5 * PLUG.length * viscous, rel=1e-3, abs=1e-6)


def test_that_the_added_masses_of_spheroids_are_lambs() -> None:
    """Lamb, Hydrodynamics, table of art. 115, from MEMORY: (fineness, k1, k2)."""
    for fineness, along, across in ((1.0, 0.5, 0.5), (2.99, 0.122, 0.803), (4.99, 0.059, 0.895)):
        assert inertia_along_and_across(fineness) == pytest.approx((along, across), abs=1.5e-3)


def test_that_a_ball_has_no_lift_and_a_needle_keeps_only_munks_moment() -> None:
    ball = body_lift(1.0, 1e-3, 0.02, 1e-5)
    assert (ball.area, ball.moment) == (0.0, 0.0)
    needle = body_lift(1000.0, 0.0, 1.0, 1e-5)
    assert needle.area == 0.0
    assert needle.moment == pytest.approx(-2e-5, rel=1e-3)


def test_that_a_narrow_plate_has_the_lift_of_its_width_alone() -> None:
    """Jones 1946, NACA TR 835, from MEMORY: slope pi/2 times aspect ratio, on the plan area."""
    width, length = 0.03, 0.1
    plan = math.pi / 4.0 * width * length
    assert plate_lift(width, length).area / plan == pytest.approx(math.pi / 2.0 * width**2 / plan)
    assert plate_lift(width, 2 * length).area == plate_lift(width, length).area
    assert 0.0 < plate_lift(width, length).arm < 0.5 * length


HULL = {"length": 4.356, "thickness": 0.508, "volume": 0.699, "origin": 2.013}
"""SUBOFF bare hull, m and m^3; ``origin`` of moments behind the nose."""

SLOPES = {"force": 5.97e-3, "moment": 1.28e-2}
"""-Z'w and M'w: across force and moment by the angle, on rho/2 U^2 L^2 and L^3, measured.

Roddy 1990, DTRC/SHD-1298-08, towed in a basin. MEMORY: figures and hull; the report's title
page READ."""

HULL_MOMENT = 0.10  # share; base and volume taken where Hopkins 1951 has the flow leave


def test_that_the_moment_of_a_measured_hull_follows_from_its_force() -> None:
    """With the base that gives its measured force, theory gives its measured moment."""
    size = HULL["length"]
    fineness = size / HULL["thickness"]
    along, across = inertia_along_and_across(fineness)
    base = SLOPES["force"] * size**2 / (2.0 * (across - along))
    widest = math.pi / 4.0 * HULL["thickness"] ** 2
    assert 0.2 < base / widest < 0.5, "the flow leaves before the tail's end"
    lift = body_lift(fineness, base, 0.9 * size, HULL["volume"])
    ours = (HULL["origin"] * lift.area - lift.moment) / size**3
    beside("SUBOFF bare hull: M'w", ours, SLOPES["moment"])
    assert ours == pytest.approx(SLOPES["moment"], rel=HULL_MOMENT)


def test_that_what_trails_drags_along_the_way_whatever_the_angle() -> None:
    """End drag and what trails: together along the flow, by their definition."""
    drag = 5e-4
    lift = trailed(drag, 0.0635)
    lure = Lure(
        "hooks", "nose-weighted jig", 0.03, 2e-5, 0.127, drag, 1e-7, lift_area=lift.area,
        lift_center=lift.arm / 0.127,
    )  # fmt: skip
    angle = math.radians(15.0)
    force, _ = across_and_moment(lure, angle)
    along = 0.5 * WATER.density * SPEED**2 * drag * math.cos(angle) ** 2
    assert force * math.cos(angle) - along * math.sin(angle) == pytest.approx(0.0, abs=1e-3)
