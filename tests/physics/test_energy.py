"""Left alone in still water a line only loses energy."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.line.contact import LIGHTEST_CONTACT
from physics.line.march import Marcher, State
from physics.line.mesh import Mesh, Resolution, build_mesh
from tests.physics.gear import NOBODY, at_rest, constant, free, straight
from tests.physics.spreads import JIG, PLUG, leadcore_rod

STEP_GAIN = 1e-3  # share of the energy lost in all; the integrator may err by this in one step
REST = 0.01  # m/s; slower than this is lying still
CREEP = 0.15  # m in a minute; friction is viscous below 5 cm/s and a slack line pulls a little
HUNG = 1e-4  # m/s; Newton's stop
STILL = 60.0  # s


def energy(mesh: Mesh, state: State) -> float:
    """Kinetic (with added mass), elastic and potential energy of one wet line, J."""
    r, v = state.position, state.velocity
    stretch = np.diff(r, axis=1)
    span = np.sqrt((stretch**2).sum(axis=0))
    t = stretch / span
    e, d = span / mesh.length - 1.0, mesh.slack
    root = np.sqrt(e * e + d * d)
    elastic = mesh.spring * e * e + mesh.one_way * (e * root + d * d * np.arcsinh(e / d))
    total = float((0.5 * mesh.length * elastic).sum())
    total += float((0.5 * mesh.mass * (v * v).sum(axis=0)).sum())
    total += float(((mesh.weight - mesh.buoyancy) * r[2]).sum())
    for half, ends in enumerate((v[:, :-1], v[:, 1:])):
        along = (ends * t).sum(axis=0)
        across = (ends * ends).sum(axis=0) - along**2
        total += float(0.5 * (mesh.added_across[half] * across).sum())
        total += float(0.5 * (mesh.added_along[half] * along**2).sum())
    return total


def history(marcher: Marcher, state: State, until: float) -> list[State]:
    states = [state]
    while state.time[0] < until - 1e-9:
        state, moved = marcher.round(state, np.array([until]))
        if moved[0]:
            states.append(state)
    return states


@pytest.mark.parametrize("lure", [PLUG, JIG], ids=["plug", "jig"])
def test_that_a_line_swinging_from_a_held_tip_never_gains_energy(lure) -> None:
    water = Water(Bottom.level(500.0))
    mesh = build_mesh([(leadcore_rod("rod", lure), water)], Resolution(12, 2))
    aslant = straight(mesh, (1.0, 0.0, -0.6), np.array([0.0, 0.0, -5.0]))
    marcher = Marcher(mesh, mesh.first, constant(0.0), tolerance=3e-4)
    stored = np.array([energy(mesh, s) for s in history(marcher, at_rest(mesh, aslant), 200.0)])
    lost = stored[0] - stored[-1]
    assert lost > 10.0, "it swings down"
    assert np.diff(stored).max() < STEP_GAIN * lost


def test_that_a_line_hung_at_rest_stays_at_rest() -> None:
    water = Water(Bottom.level(500.0))
    mesh = build_mesh([(leadcore_rod("rod"), water)], Resolution(12, 2))
    plumb = straight(mesh, (0.0, 0.0, -1.0), np.array([0.0, 0.0, -5.0]))
    marcher = Marcher(mesh, mesh.first, constant(0.0))
    hung = marcher.settle(plumb, np.zeros_like(plumb))
    states = history(marcher, hung, STILL)
    assert max(np.abs(state.velocity).max() for state in states) < HUNG
    stored = np.array([energy(mesh, state) for state in states])
    assert_allclose(stored, stored[0], rtol=1e-6)


def test_that_a_line_let_go_comes_to_rest_on_the_bottom_and_stays_there() -> None:
    water = Water(Bottom.level(6.0))
    mesh = build_mesh([(leadcore_rod("rod"), water)], Resolution(12, 2))
    level = straight(mesh, (1.0, 0.0, 0.0), np.array([0.0, 0.0, -4.0]))
    states = history(Marcher(mesh, NOBODY, free), at_rest(mesh, level), 120.0 + STILL)
    last = [state for state in states if state.time[0] > 120.0]
    assert max(np.abs(state.velocity).max() for state in last) < REST
    assert_allclose(last[-1].position, last[0].position, rtol=0.0, atol=CREEP)
    assert_allclose(last[-1].position[2], last[0].position[2], rtol=0.0, atol=1e-3)
    heavy = mesh.weight - mesh.buoyancy > LIGHTEST_CONTACT  # a light leader hovers on the blur
    assert_allclose(last[-1].position[2, heavy], -6.0, rtol=0.0, atol=0.01)
