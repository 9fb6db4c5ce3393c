"""Lines are cut short enough near the lure, whatever they are made of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.environment.water import Bottom, Water
from physics.line.mesh import STRAIGHT, Resolution, element_lengths
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Order
from tests.beside import beside

CORE = LineSection("core", 91.44, 1e-3, 2.64e-3, 1330.0, 1.2, flooded=0.3)
BRAID = LineSection("braid", 258.0, 3.6e-4, 9.87e-5, 5560.0, 1.2)
MONO = LineSection("mono", 6.1, 9e-4, 7.25e-4, 1420.0)

FLOATER = Lure(
    "floater", "floating lipped plug", 0.022, 2.66e-5, 0.1, 3.8e-4, 1.28e-3, lip_area=2.4e-4
)
JIG = Lure("jig", "nose-weighted jig", 0.032, 8.55e-6, 0.09, 2.83e-4, 1.08e-3, 0.22, 0.42)
SINKER = Lure("sinker", "sinker", 0.1134, 1.03e-5, 0.027, 2.58e-4, 2.58e-4, isotropic=True)

NEAR = 0.01  # of the depth, as README says
FINEST = Resolution(300, 60)

ODD = {
    "short core": ((BRAID, replace(CORE, length=10.0), replace(MONO, length=0.1)), FLOATER, 2.2),
    "long leader": ((replace(CORE, length=49.0), replace(MONO, length=27.6)), JIG, 2.0),
    "no leader to speak of": (
        (replace(MONO, length=91.0), replace(CORE, length=10.0), replace(MONO, length=0.5)),
        SINKER, 5.0,
    ),
    "one section": ((replace(BRAID, length=80.0),), JIG, 3.3),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize("resolution", [STRAIGHT, Resolution()], ids=["straight", "default"])
def test_that_an_odd_line_runs_and_drops_as_deep_as_one_cut_finer(
    name: str, resolution: Resolution
) -> None:
    sections, lure, speed = ODD[name]
    orders = Order(1.0, "out of gear"), Order(13.0, "in gear")
    water = Water(Bottom.level(500.0))
    scenario = Scenario("odd", water, Boat("boat"), (Rod("rod", sections, lure),), speed,
                        orders=orders, duration=40.0)  # fmt: skip
    time = np.arange(0.0, 40.0, 0.1)
    fine, found = (
        simulate(replace(scenario, resolution=one)).depth(0, time) for one in (FINEST, resolution)
    )
    for what, one, other in (("runs", found[0], fine[0]), ("drops", found.max(), fine.max())):
        beside(f"{name}: {what}", float(one), float(other), "m")
        assert one == pytest.approx(other, rel=NEAR)


def test_that_a_usual_line_is_cut_into_as_many_elements_as_asked_for() -> None:
    for resolution in (STRAIGHT, Resolution()):
        for feet in (15.0, 20.0):
            pieces = element_lengths((CORE, replace(MONO, length=0.3048 * feet)), resolution)
            count = resolution.line_elements + resolution.leader_elements
            assert len(pieces) == count


@pytest.mark.parametrize("name", ODD)
def test_that_elements_add_up_to_their_sections_and_shorten_toward_the_lure(name: str) -> None:
    sections = ODD[name][0]
    pieces = element_lengths(sections, STRAIGHT)
    assert [number for number, _ in pieces] == sorted(number for number, _ in pieces)
    for number, section in enumerate(sections):
        lengths = [length for at, length in pieces if at == number]
        assert sum(lengths) == pytest.approx(section.length)
        assert all(np.diff(lengths) < 1e-9)
