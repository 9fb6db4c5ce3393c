"""The banded matrix Newton solves with is the derivative of the residual.

Random states in three dimensions, compared with differences of the residual.
Left out on purpose are how the added mass turns with the line, and how a ball's
drag and a lip's lift fade in the last centimeters under the surface: those cases
get a stated room.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.line.mesh import Resolution, build_mesh
from physics.line.system import BAND, LineSystem
from physics.line.tackle import LineSection, Lure, Rod
from tests.physics.gear import ball

EXACT = 1e-6  # share of the largest entry of a 3 x 3 block; what differences can tell
NOISE = 1e-6  # N s/m; rounding in the differences
IN_THE_BED = 3e-5  # N s/m; the same where a node deep in the ground is pushed with 1e5 N
LEFT_OUT = 0.08  # share, in the norm, in midwater

SLOPE = Bottom(((-40.0, 11.0), (40.0, 9.0)), bearing=0.7)
WATER = Water(SLOPE, current=(0.3, -0.2))

SOFT = LineSection("soft", 8.0, 0.9e-3, 3.4e-3, 200.0)
LEADER = LineSection("leader", 2.0, 0.5e-3, 2.3e-4, 100.0, normal_drag=1.3)
PLUG = Lure("plug", "sinking plug", 0.03, 2.5e-5, 0.5, 1e-4, 1.2e-3, mass_center=0.4)
LIPPED = Lure("lipped", "floating lipped plug", 0.015, 2e-5, 0.5, 1e-4, 1e-3, lip_area=2e-4)
SWINGING = replace(PLUG, swing=0.4)
SINKER = ball(0.05, 1e-5, 3e-4, length=0.5)


def dense(system: LineSystem) -> np.ndarray:
    """The matrix (3 N, 3 N) from LAPACK's band storage, unknowns node by node."""
    n = 3 * system.mesh.nodes
    columns = system._band.reshape(n, 3 * BAND + 1)
    out = np.zeros((n, n))
    for j in range(n):
        rows = np.arange(max(0, j - BAND), min(n, j + BAND + 1))
        out[rows, j] = columns[j, 2 * BAND + rows - j]
    return out


def both(
    lure: Lure,
    depth: float,
    seed: int,
    accel: float = 0.0,
    speed: float = 1.5,
    water: Water = WATER,
):
    """(ours, by differences) at a random state with its middle at a depth."""
    rng = np.random.default_rng(seed)
    mesh = build_mesh([(Rod("rod", (SOFT, LEADER), lure), water)], Resolution(6, 2))
    n = mesh.nodes
    way = rng.normal(size=(3, n - 1))
    way[2] *= 0.3
    way *= mesh.length * (1.0 + 0.02 * rng.normal(size=n - 1)) / np.sqrt((way**2).sum(axis=0))
    r = np.concatenate([np.zeros((3, 1)), np.cumsum(way, axis=1)], axis=1)
    r[2] += -depth - r[2].mean()
    v = speed * rng.normal(size=(3, n))
    b = np.full(n, 0.05)
    a = accel * rng.normal(size=(3, n))
    system = LineSystem(mesh)

    def residual(change: np.ndarray) -> np.ndarray:
        system.evaluate(r + b * change, v + change, a + change / b, b)
        return system.residual.T.ravel().copy()

    none = np.zeros((3, n))
    residual(none)
    ours = dense(system)
    by_differences = np.empty_like(ours)
    small = 1e-6
    for j in range(3 * n):
        nudge = none.copy()
        nudge[j % 3, j // 3] = small
        by_differences[:, j] = (residual(nudge) - residual(-nudge)) / (2.0 * small)
    return ours, by_differences


def blocks(matrix: np.ndarray) -> np.ndarray:
    """Largest magnitude in every 3 x 3 block, (N, N)."""
    n = len(matrix) // 3
    return np.abs(matrix).reshape(n, 3, n, 3).max(axis=(1, 3))


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(
    ("lure", "depth"),
    [
        (PLUG, 4.0),
        (SWINGING, 4.0),
        (SINKER, 4.0),
        (LIPPED, 4.0),
        (PLUG, 9.9),
        (SINKER, 9.9),
        (SWINGING, 0.0),
    ],
    ids=[
        "plug",
        "swinging",
        "ball",
        "lip",
        "plug on the slope",
        "ball on the slope",
        "swinging at the surface",
    ],
)
def test_that_the_newton_matrix_is_the_derivative_of_the_residual(lure, depth, seed) -> None:
    ours, by_differences = both(lure, depth, seed)
    noise = IN_THE_BED if depth > 9.0 else NOISE
    assert (blocks(ours - by_differences) < EXACT * blocks(by_differences) + noise).all()


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(
    ("lure", "depth", "accel"),
    [(PLUG, 4.0, 5.0), (LIPPED, 0.0, 0.0), (SINKER, 0.0, 0.0)],
    ids=["added mass", "lip at the surface", "ball at the surface"],
)
def test_that_what_the_newton_matrix_leaves_out_is_small(lure, depth, accel, seed) -> None:
    ours, by_differences = both(lure, depth, seed, accel)
    assert np.linalg.norm(ours - by_differences) < LEFT_OUT * np.linalg.norm(by_differences)


def test_that_nothing_couples_beyond_the_next_node() -> None:
    _, by_differences = both(PLUG, 9.9, 0)
    i, j = np.indices((len(by_differences) // 3,) * 2)
    assert_allclose(blocks(by_differences)[abs(i - j) > 1], 0.0, atol=NOISE)


@pytest.mark.parametrize("pace", [-5.0, 5.0], ids=["on the ground", "over it"])
def test_that_a_fish_kept_off_the_ground_has_the_derivative_of_its_residual(pace) -> None:
    mesh = build_mesh([(Rod("rod", (SOFT, LEADER), PLUG), WATER)], Resolution(6, 2))
    rng, n = np.random.default_rng(0), mesh.nodes
    r, v, b = rng.normal(size=(3, n)) - 9.0, rng.normal(size=(3, n)), np.full(n, 0.05)
    system, tail = LineSystem(mesh), np.array([n - 1])

    def residual(change: np.ndarray) -> float:
        move = np.zeros((3, n))
        move[:, -1] = change
        system.evaluate(r + b * move, v + move, np.zeros((3, n)), b)
        system.hold_upright(tail, np.array([pace]), r + b * move, v + move, b)
        return float(system.residual[2, -1])

    slopes = [(residual(e) - residual(-e)) / 2e-4 for e in 1e-4 * np.eye(3)]
    residual(np.zeros(3))
    assert dense(system)[-1, -3:] == pytest.approx(slopes, abs=1e-6)
    assert np.abs(dense(system)[-1, :-3]).max() == 0.0
