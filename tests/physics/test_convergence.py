"""Halve the step, or the element, and the error falls fourfold."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.line.march import Marcher, State
from physics.line.mesh import Mesh, Resolution, build_mesh
from physics.line.tackle import LineSection, Rod
from tests.physics.gear import DEEP, ball, constant, fixed_steps, march_to, straight

ORDER_BAND = 0.25  # second order, fitted over three halvings of step or element
SPEED = 2.5

LEADCORE = LineSection("leadcore", 45.72, 0.9e-3, 3.4e-3, 1e4)  # drag from the cylinder curve
LEADER = LineSection("leader", 4.6, 0.6e-3, 3.2e-4, 2e3)
ROD = Rod("rod", (LEADCORE, LEADER), ball(0.045, 3e-5, 6e-4), astern=0.0, height=0.0)


def tip(time: np.ndarray) -> np.ndarray:
    """A smooth drop with a swerve: half the speed after 8 s, back after 16."""
    out = np.zeros((3, len(time)))
    fade = np.sin(np.pi * time / 16.0) ** 2
    out[0] = SPEED * (1.0 - 0.5 * fade)
    out[1] = 0.4 * fade
    return out


def settled(mesh: Mesh, drive: Callable) -> tuple[Marcher, State]:
    marcher = Marcher(mesh, mesh.first, drive)
    guess = straight(mesh, (-1.0, 0.0, -0.1), np.array([0.0, 0.0, -2.0]))
    velocity = np.zeros_like(guess)
    velocity[0] = SPEED
    return marcher, Marcher(mesh, mesh.first, constant(SPEED)).settle(guess, velocity, 4000.0)


def order_of(sizes: list[float], errors: list[float]) -> float:
    return float(np.polyfit(np.log(sizes), np.log(errors), 1)[0])


@pytest.fixture(scope="module")
def by_step() -> dict[float, State]:
    """The same drop at fixed steps; the finest is taken for the truth."""
    mesh = build_mesh([(ROD, DEEP)], Resolution(12, 2))
    marcher, start = settled(mesh, tip)
    return {h: fixed_steps(marcher, start, h, 12.0) for h in (0.8, 0.4, 0.2, 0.1, 0.0125)}


@pytest.mark.parametrize("quantity", ["position", "velocity"])
def test_that_the_error_in_time_is_of_second_order(by_step, quantity: str) -> None:
    truth = getattr(by_step[0.0125], quantity)
    steps = [0.8, 0.4, 0.2, 0.1]
    errors = [float(np.abs(getattr(by_step[h], quantity) - truth).max()) for h in steps]
    assert_allclose(order_of(steps, errors), 2.0, rtol=0.0, atol=ORDER_BAND)


def test_that_chosen_steps_keep_near_the_tolerance() -> None:
    # the tolerance is for one step; a drop of some thirty steps adds up several of them
    mesh = build_mesh([(ROD, DEEP)], Resolution(12, 2))
    marcher, start = settled(mesh, tip)
    truth = fixed_steps(marcher, start, 0.0125, 12.0).position
    errors = []
    for tolerance in (3e-3, 3e-4):
        chooser = replace(marcher, tolerance=tolerance, longest=1.0)
        errors.append(np.abs(march_to(chooser, start, 12.0).position - truth).max())
        assert errors[-1] < 10.0 * tolerance
    assert errors[1] < errors[0] / 3.0


@pytest.mark.parametrize("moving", [False, True])
def test_that_the_error_in_space_is_of_second_order(moving: bool) -> None:
    depths = {}
    for count in (6, 12, 24, 48, 192):
        mesh = build_mesh([(ROD, DEEP)], Resolution(count, count // 6))
        marcher, state = settled(mesh, tip)
        if moving:
            state = fixed_steps(marcher, state, 0.2, 12.0)
        depths[count] = -state.position[2, -2]
    counts = [6, 12, 24, 48]
    errors = [abs(depths[n] - depths[192]) for n in counts]
    assert_allclose(order_of(counts, errors), -2.0, rtol=0.0, atol=ORDER_BAND)
