"""The compiled stepper is the numpy one: forces, steps and whole runs agree."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings

import physics.line.march
from physics.compiled import CHOICE, load
from physics.environment.current import Layers, PowerLaw, Shares
from physics.environment.water import Bottom, Water
from physics.line.core.library import BOAT, LIBRARY, STRUCTS
from physics.line.core.stepper import Address, Singular, Stepper
from physics.line.march import CONSTANTS, TOLERANCE, ConvergenceError
from physics.line.mesh import STRAIGHT, Mesh, build_mesh
from physics.line.system import LineSystem
from physics.line.tackle import Rod
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Boat, Order
from tests.physics.any_scenario import scenarios
from tests.physics.spreads import FLOATER, JIG, LEADCORE, LEADER, PLUG
from tests.physics.test_handled_at_random import any_handled

pytestmark = pytest.mark.skipif(LIBRARY is None, reason="no compiled stepper was built")

ROUND_OFF = 1e-12
"""Of the largest force or tension: the sums are the same in another order."""

STEP = 1e-9
"""Of Newton's largest update: elimination without pivoting loses a few digits on towed states."""

DEPTH, TOUCHING = 1e-5, 5e-4
"""Depths of whole runs agree within, m; on the ground the numpy stepper itself moves 2e-5 m when
its start is moved by 1e-13 m."""

BENT = 2e-4
"""As DEPTH, where the current's slope jumps at a layer: there Newton's last update, up to
2e-4 m/s, may be needed by one and not by the other."""

ANY_DEPTH = 1e-3
"""As DEPTH, where tackle and orders are left to chance and both take the same steps, m."""

OTHER_STEPS = 3.0 * TOLERANCE
"""As ANY_DEPTH, where rounding turned a step of a slack line down that was taken by the other: each
step may err by TOLERANCE. Of 205 scenarios the farthest apart were by 2.7e-3 m."""

SAME_STEPS = 0.01
"""Steps that end within this of each other are the same, s."""

IN_THE_WATER = 0.5
"""Runs whose lure comes nearer the surface than this, m, are left out on purpose: a lure or fish
that skips in and out of the water is chaotic, and rounding alone moves it by a meter."""

WATERS = {
    "uniform": Water(Bottom.level(30.0), current=(0.3, -0.2)),
    "power law over a slope": Water(
        Bottom(((-100.0, 30.0), (200.0, 12.0)), 0.4), current=(0.8, 0.1), profile=PowerLaw(7.0)
    ),
    "power law of its own depth": Water(
        Bottom.level(25.0), current=(0.8, 0.1), profile=PowerLaw(5.0, 25.0)
    ),
    "shares": Water(
        Bottom.level(25.0), current=(0.5, 0.5), profile=Shares(((2.0, 0.8), (8.0, -0.2)))
    ),
    "layers": Water(
        Bottom.level(25.0), current=(0.5, 0.0),
        profile=Layers(((3.0, 0.1, 0.4), (9.0, -0.3, 0.1), (15.0, 0.0, 0.0))),
    ),
}  # fmt: skip


SWINGING = replace(FLOATER, name="swinging", kind="spoon", swing=0.5)


def rod(lure=PLUG, name: str = "rod", abeam: float = 2.0) -> Rod:
    return Rod(name, (LEADCORE, LEADER), lure, abeam=abeam)


def towed_state(water: Water, lure, seed: int) -> tuple[Mesh, np.ndarray, np.ndarray, np.ndarray]:
    """A line somewhat as it is towed, shaken: mesh, and position, velocity, acceleration (3, K)."""
    mesh = build_mesh([(rod(lure), water)], STRAIGHT)
    rng = np.random.default_rng(seed)
    out = np.concatenate([[0.0], np.cumsum(mesh.length)])
    r = np.array([-out * 0.99, 0.05 * out, 1.5 - 0.12 * out])
    r += 2e-3 * rng.normal(size=r.shape)
    v = np.array([3.5, 0.1, 0.0])[:, None] + 0.1 * rng.normal(size=r.shape)
    return mesh, r, v, rng.normal(size=r.shape)


@pytest.mark.parametrize("name", WATERS)
@pytest.mark.parametrize("lure", [PLUG, JIG, FLOATER, SWINGING], ids=lambda lure: lure.name)
def test_that_forces_and_newton_steps_are_those_of_numpy(name: str, lure) -> None:
    mesh, r, v, a = towed_state(WATERS[name], lure, seed=3)
    b = 0.1
    system = LineSystem(mesh)
    system.evaluate(r, v, a, np.full(mesh.nodes, b))
    residual, tension = system.residual.copy(), system.tension.copy()
    system.hold(mesh.first)
    step = system.solve()
    ours, pulled, moved = Stepper(mesh, CONSTANTS, None).evaluate(0, 1, r, v, a, b)
    assert np.abs(ours - residual).max() <= ROUND_OFF * np.abs(residual).max()
    assert np.abs(pulled - tension).max() <= ROUND_OFF * np.abs(tension).max()
    assert np.abs(moved - step).max() <= STEP * np.abs(step).max()


MEMORY_ALONE = "LEADFALL_MEMORY_ALONE"
"""Set where the sanitizers watch: the numbers are compared without them."""


def with_numpy(scenario: Scenario) -> Trajectory:
    """The same run without the compiled stepper; where memory alone is watched, with it again."""
    if MEMORY_ALONE in os.environ:
        return simulate(scenario)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(physics.line.march, "LIBRARY", None)
        return simulate(scenario)


def depths(run: Trajectory) -> np.ndarray:
    """Depths of the lures through a run (rods, 120), m."""
    time = np.linspace(0.0, run.scenario.duration, 120)
    return np.array([run.depth(k, time) for k in range(len(run.scenario.rods))])


def gap(scenario: Scenario) -> float:
    """Largest difference of a lure's depth between the two, m."""
    return float(np.abs(depths(simulate(scenario)) - depths(with_numpy(scenario))).max())


DROP = (Order(4.0, "out of gear"), Order(14.0, "in gear"), Order(20.0, "wheel", 0.02))


@pytest.mark.parametrize("name", WATERS)
def test_that_a_drop_and_a_turn_end_where_numpy_ends_them(name: str) -> None:
    scenario = Scenario(
        "both", WATERS[name], Boat("boat"), (rod(), rod(JIG, "other", -2.0)), speed=3.5,
        orders=DROP, duration=35.0, resolution=STRAIGHT,
    )  # fmt: skip
    assert gap(scenario) <= {"power law over a slope": TOUCHING, "layers": BENT}.get(name, DEPTH)


def test_that_lines_on_the_ground_lie_where_numpy_lays_them() -> None:
    scenario = Scenario(
        "both", Water(Bottom(((-60.0, 9.0), (60.0, 5.0)), 1.5)), Boat("boat"),
        (rod(), rod(FLOATER, "other", -2.0)), speed=3.0, orders=DROP, duration=40.0,
        resolution=STRAIGHT,
    )  # fmt: skip
    assert gap(scenario) <= TOUCHING


@pytest.mark.parametrize("seed", [1, 2, 3, 6])
def test_that_handled_lines_run_where_numpy_runs_them(seed: int) -> None:
    """Seeds whose fish stay in the water; over deep water, so that no lure lies on the ground."""
    scenario = any_handled(np.random.default_rng(seed))
    scenario = replace(
        scenario,
        duration=30.0,
        water=replace(scenario.water, bottom=Bottom.level(60.0)),
    )
    ours = depths(simulate(scenario))
    assert ours.min() > IN_THE_WATER
    assert np.abs(ours - depths(with_numpy(scenario))).max() <= ANY_DEPTH


LEAST_WEIGHT = 0.05
"""Weight of a lure in the water, N."""


@settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(scenario=scenarios())
def test_that_any_scenario_agrees(scenario: Scenario) -> None:
    scenario = replace(
        scenario, duration=20.0, water=replace(scenario.water, bottom=Bottom.level(300.0))
    )
    # slack line with next to nothing on it goes its own way after the last digit
    for each in scenario.rods:
        sinks = each.lure.mass - scenario.water.density * each.lure.volume
        assume(sinks * scenario.water.gravity > LEAST_WEIGHT)
    one, other = simulate(scenario), with_numpy(scenario)
    assume(depths(one).min() > IN_THE_WATER)
    apart = np.abs(depths(one) - depths(other))
    # what weighs next to nothing in the water is not down yet when settling is given up: it
    # comes to the same tow either way, but not at the same moment
    assume(apart[:, 0].max() <= 0.1 * ANY_DEPTH)
    steps = [(a.time, b.time) for a, b in zip(one.lines, other.lines, strict=True)]
    same = all(len(a) == len(b) and np.abs(a - b).max() <= SAME_STEPS for a, b in steps)
    assert apart.max() <= (ANY_DEPTH if same else OTHER_STEPS)


def test_that_one_try_at_a_step_and_a_march_are_the_same() -> None:
    """``try_steps``, which a batch tries by rounds, and ``march_line``, which goes on by itself."""
    scenario = Scenario(
        "both", WATERS["layers"], Boat("boat"), (rod(), rod(JIG, "other", -2.0)), speed=3.5,
        orders=DROP, duration=35.0, resolution=STRAIGHT,
    )  # fmt: skip
    marched, by_rounds = Run([scenario]), Run([scenario])
    limit = np.full(2, DROP[0].time)
    state = by_rounds._state.last
    while (state.time < limit - 1e-9).any():
        state, _ = by_rounds._marcher.round(state, limit)
    marched.advance_exactly(DROP[0].time)
    for ours, theirs in (
        (marched._state.last.position, state.position),
        (marched._state.last.velocity, state.velocity),
    ):
        assert np.abs(ours - theirs).max() <= 1e-9, "but for where the boat is between knots"


def test_that_what_is_not_a_number_is_refused_and_not_stepped() -> None:
    run = Run([Scenario("one", WATERS["uniform"], Boat("boat"), (rod(),), speed=3.5)])
    run._state.pasts[0].state[-1] = run._state.pasts[0].state[-1] * np.nan
    with pytest.raises(ConvergenceError, match=r"line 0 found no solution at 0\.000 s"):
        run.advance(5.0)


ZERO = np.zeros((3, 200))


@pytest.mark.parametrize("far", [500, -500])
def test_that_a_line_beyond_its_mesh_is_refused(far: int) -> None:
    mesh = build_mesh([(rod(), WATERS["uniform"])], STRAIGHT)
    stepper = Stepper(replace(mesh, last=mesh.last + far), CONSTANTS, None)
    with pytest.raises(ValueError, match="refuses this mesh"):
        stepper.evaluate(0, 1, ZERO, ZERO, ZERO, 0.1)


@pytest.mark.parametrize("line", [-1, 1])
def test_that_a_line_that_is_not_there_is_refused(line: int) -> None:
    mesh = build_mesh([(rod(), WATERS["uniform"])], STRAIGHT)
    with pytest.raises(ValueError, match="refuses this mesh"):
        Stepper(mesh, CONSTANTS, None).evaluate(line, 1, ZERO, ZERO, ZERO, 0.1)


def test_that_a_state_that_is_not_a_number_is_no_steady_tow() -> None:
    mesh = build_mesh([(rod(), WATERS["uniform"])], STRAIGHT)
    guess = np.full((2, 3, mesh.nodes), np.nan)
    with pytest.raises(Singular):
        Stepper(mesh, CONSTANTS, None).settle(0.0, np.zeros((3, 1)), 100.0, guess)


def test_that_an_array_with_gaps_is_there_as_long_as_its_address() -> None:
    address = Address(np.arange(6.0)[::2])
    others = [np.full(3, 7.0) for _ in range(20)]
    assert len(others) == 20
    assert address.value is not None
    assert list((ctypes.c_double * 3).from_address(address.value)) == [0.0, 2.0, 4.0]


def test_that_a_library_of_other_structs_is_left_alone() -> None:
    assert load("sizes", STRUCTS) is not None
    assert load("sizes", (BOAT, *STRUCTS[1:])) is None
    assert load("sizes_of_another", STRUCTS) is None


def test_that_a_library_that_does_not_load_leaves_numpy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "line.so"
    broken.write_bytes(b"this is no library")
    monkeypatch.setenv(CHOICE, str(broken))
    assert load("sizes", STRUCTS) is None
    monkeypatch.setenv(CHOICE, str(tmp_path / "not there.so"))
    assert load("sizes", STRUCTS) is None


def test_that_no_solution_says_when() -> None:
    assert Singular(3.5).time == 3.5


SOURCE = Path(physics.line.march.__file__).parent / "core" / "line.c"


@pytest.mark.skipif(
    sys.platform != "linux" or not shutil.which("gcc") or CHOICE in os.environ,
    reason="needs gcc and its sanitizers",
)
def test_that_it_reads_and_writes_only_what_is_its_own(tmp_path: Path) -> None:
    library = tmp_path / "line.so"
    flags = ["-O1", "-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"]
    subprocess.run(
        ["gcc", *flags, "-shared", "-fPIC", "-o", str(library), str(SOURCE), "-lm"], check=True
    )
    found = subprocess.run(
        ["gcc", "-print-file-name=libasan.so"], capture_output=True, text=True, check=True
    )
    chosen = "drop_and_a_turn or handled or forces or refused or ground or tow or march or the_gap"
    files = __file__, str(Path(__file__).with_name("test_gaps.py"))
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-qx", "-p", "no:cacheprovider", *files, "-k", chosen],
        capture_output=True, text=True, check=False, cwd=Path(__file__).parents[2],
        env={
            **os.environ, CHOICE: str(library), MEMORY_ALONE: "1",
            "LD_PRELOAD": found.stdout.strip(),
            "ASAN_OPTIONS": "detect_leaks=0",
        },
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-4000:]
