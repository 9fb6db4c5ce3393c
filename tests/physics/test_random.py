"""Random but valid: every run ends, in numbers, with no line longer than it can stretch."""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from physics.line.mesh import element_lengths
from physics.line.swing import cross_speed
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import LineRecord
from tests.physics.any_scenario import scenarios

SHARED = {
    "deadline": None,
    "database": None,
    "suppress_health_check": [HealthCheck.too_slow, HealthCheck.data_too_large],
}

STEEPEST_DRAG = 3.0  # cross-flow coefficient no part of a line exceeds when it matters
FASTEST = 6.5  # m/s against the water: throttle of 5, tips swinging, boats drifting
HARDEST = 6.0  # m/s^2 that a tip may accelerate
MARGIN = 2.0  # between this crude sum and the largest pull allowed
SLACK = 1.0  # N; the pull a line is rounded over


def largest_pull(line: LineRecord, scenario: Scenario) -> float:
    """Everything that could ever pull on one line, added up without regard to direction, N."""
    rod, water = line.rod, scenario.water
    half = 0.5 * water.density * FASTEST**2
    lure = rod.lure
    pull = half * (lure.end_area + lure.broadside_area + lure.lip_area)
    pull *= math.hypot(1.0, cross_speed(lure.swing))
    mass = lure.mass + 2.0 * water.density * lure.volume
    for part in rod.sections:
        drag = part.normal_drag or STEEPEST_DRAG * part.drag_multiplier
        pull += half * part.diameter * part.length * (drag + np.pi * part.tangential_drag)
        mass += (part.mass_per_length + water.density * part.area) * part.length
    return float(pull + mass * (water.gravity + HARDEST))


def check(scenario: Scenario) -> None:
    run = simulate(scenario)
    assert run.end >= scenario.duration - 1e-6
    for line in run.lines:
        for array in (line.position, line.velocity, line.accel):
            assert np.isfinite(array).all()
        mesh_length = line_elements(line, scenario)
        span = np.sqrt((np.diff(line.position, axis=2) ** 2).sum(axis=1))[:, :-1]
        softest = min(part.stiffness for part in line.rod.sections)
        allowed = (MARGIN * largest_pull(line, scenario) + SLACK) / softest
        assert (span / mesh_length - 1.0).max() < allowed
    for number in range(len(run.lines)):
        pull = run.tension(number, np.linspace(0.0, scenario.duration, 50))
        assert np.isfinite(pull).all()


def line_elements(line: LineRecord, scenario: Scenario) -> np.ndarray:
    """Unstretched length of every element of the line proper, m."""
    return np.array([piece for _, piece in element_lengths(line.rod.sections, scenario.resolution)])


@settings(max_examples=200, derandomize=True, **SHARED)
@given(scenarios())
def test_that_any_valid_scenario_runs_to_its_end_in_finite_numbers(scenario: Scenario) -> None:
    check(scenario)


@pytest.mark.long
@settings(max_examples=4000, **SHARED)
@given(scenarios())
def test_that_thousands_of_scenarios_run_to_their_end(scenario: Scenario) -> None:
    """The long search, new scenarios each time: ``pytest -m long tests/physics`` (half an hour).

    A failure prints the scenario, smallest found first; make it a test of its own.
    """
    check(scenario)
