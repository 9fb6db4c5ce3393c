"""Another program: stored high-resolution MoorDyn 2.7.2 runs (reference/README.md).

Same equations, other code: agreement verifies the mathematics, not the sea.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.line.mesh import Resolution
from tests.beside import beside
from tests.published.reference_case import TIP_DEPTH, Case, kinks, load, tow

FREE = ("drop_7p5kn_9col_H10", "drop_7p5kn_9col_H20", "drop_7p5kn_9col_H30_buoyant",
        "turn_5kn_9col_R60")  # fmt: skip
GROUNDED = "x_drop_7p5kn_9col_H60_bottom12"
STEADY = ("steady_2p5mph_3col", "steady_2p5mph_9col", "steady_7p5kn_3col", "steady_7p5kn_9col")

DEFAULT_DEPTH = 0.01  # share; what the default resolution promises through drop, turn and contact
FINE_DEPTH = 0.003  # share; drops of a sinking lure and the turn, at twice the elements
FINEST_DEPTH = 0.003  # share; the buoyant lure needs their own 80 + 8 elements for it
TENSION = 0.02  # share; away from kinks
AFTER_KINK = 0.5  # s; their stretch waves ring that long, and their coupling lags 1/64 s
KINK_TENSION = 0.07  # share; within that time
STEADY_SHAPE = 1e-3  # share of the lure's depth, at their own elements
STEADY_TENSION = 1e-3  # share

FINE = Resolution(96, 10, 1.0)


def theirs(case: Case) -> Resolution:
    """The elements the reference itself used."""
    return Resolution(case.given["params"]["N"], case.given["params"]["N_ldr"], 1.0)


def depth_gap(case: Case, resolution: Resolution, **accuracy: float) -> tuple[np.ndarray, ...]:
    """Ours over theirs, less one, at each of their instants: depth and tension."""
    ours = tow(case, resolution, **accuracy)
    depth = ours.depth(0, case.time) - TIP_DEPTH
    beside(f"{case.name}: deepest", depth.max(), case.curve["lure_depth"].max(), "m")
    return (
        depth / case.curve["lure_depth"] - 1.0,
        ours.tension(0, case.time) / case.curve["tow_tension"] - 1.0,
    )


@pytest.mark.parametrize("name", FREE)
def test_that_depth_and_tension_follow_the_reference_at_the_default_resolution(name: str) -> None:
    case = load(name)
    depth, tension = depth_gap(case, Resolution())
    assert_allclose(depth, 0.0, rtol=0.0, atol=DEFAULT_DEPTH)
    near = np.zeros(len(case.time), dtype=bool)
    for kink in kinks(case.given["motion"]):
        near |= (case.time >= kink) & (case.time <= kink + AFTER_KINK)
    beside(f"{name}: largest tension ratio away from kinks", 1 + abs(tension[~near]).max(), 1.0)
    assert near.sum() < 0.05 * len(near)
    assert_allclose(tension[~near], 0.0, rtol=0.0, atol=TENSION)
    assert_allclose(tension[near], 0.0, rtol=0.0, atol=KINK_TENSION)


def test_that_depth_follows_the_reference_onto_the_bottom_and_off_again() -> None:
    case = load(GROUNDED)
    depth, _ = depth_gap(case, Resolution())
    assert case.curve["lure_depth"].max() > 12.0, "the reference lies on the bottom"
    assert_allclose(depth, 0.0, rtol=0.0, atol=DEFAULT_DEPTH)


@pytest.mark.parametrize("name", ["drop_7p5kn_9col_H10", "drop_7p5kn_9col_H20", FREE[3]])
def test_that_twice_the_elements_follow_the_reference_three_times_closer(name: str) -> None:
    depth, _ = depth_gap(load(name), FINE)
    assert_allclose(depth, 0.0, rtol=0.0, atol=FINE_DEPTH)


@pytest.mark.parametrize("name", FREE)
def test_that_at_its_own_elements_the_reference_is_met_closely(name: str) -> None:
    case = load(name)
    depth, _ = depth_gap(case, theirs(case), tolerance=3e-4, longest=0.25)
    assert_allclose(depth, 0.0, rtol=0.0, atol=FINEST_DEPTH)


@pytest.mark.parametrize("name", STEADY)
def test_that_the_steady_tow_has_the_reference_shape_and_tension(name: str) -> None:
    case = load(name)
    ours = tow(case, theirs(case))
    place = ours.lines[0].position[0]
    want = case.given["metrics"]
    astern, depth = place[0, 0] - place[0, :-1], -place[2, :-1] - TIP_DEPTH
    tension = float(ours.tension(0, np.array([0.0]))[0])
    beside(f"{name}: lure depth", depth[-1], want["lure_depth"], "m")
    beside(f"{name}: tension", tension, want["tow_tension"], "N")
    room = STEADY_SHAPE * want["lure_depth"]
    assert_allclose(depth, case.curve["depth"], rtol=0.0, atol=room)
    assert_allclose(astern, case.curve["astern"], rtol=0.0, atol=STEADY_SHAPE * astern[-1])
    assert_allclose(tension, want["tow_tension"], rtol=STEADY_TENSION)
