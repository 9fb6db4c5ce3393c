"""What answers about a spread leaves out what its lines are told, whatever rods it runs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.drill.round import free_round
from app.gear.catalog import Catalog
from app.ground.pass_job import plan_pass
from app.ground.ways_job import four_ways
from app.planning.card_table import card_numbers
from app.planning.remedies import find_remedies
from app.planning.situation import PlanRequest, situation
from app.scenario.setup import Setup
from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution
from physics.progress import Cancelled
from physics.simulation.scenario import Scenario


@pytest.fixture
def setup(demo: Setup) -> Setup:
    """One coarse rod of the demo with a fish on, in a current."""
    rod = demo.rods[0]
    return replace(
        demo,
        rods=(rod,),
        water=replace(demo.water, current=(0.0, 0.3)),
        resolution=Resolution(8, 2),
        line_orders=(LineOrder(2.0, rod.name, "fish on", 9.0),),
    )


def stop(_share: float) -> bool:
    """Told how far the work is: the scenarios are made by then, running them is not needed."""
    return True


def test_that_a_round_on_a_teachers_scenario_has_no_fish_but_its_own(
    setup: Setup, catalog: Catalog
) -> None:
    assert free_round(setup, 1, catalog).setup.line_orders == ()


def test_that_a_plan_is_made_without_orders_about_the_lines(setup: Setup, catalog: Catalog) -> None:
    assert situation(PlanRequest(setup), catalog).scenario.line_orders == ()


def test_that_a_card_renames_rods_whose_lines_have_orders(setup: Setup, catalog: Catalog) -> None:
    with pytest.raises(Cancelled):
        card_numbers(PlanRequest(setup), catalog, progress=stop)


def test_that_remedies_for_one_line_are_tried_whatever_another_is_told(
    demo: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    two = replace(demo, line_orders=(LineOrder(2.0, demo.rods[1].name, "fish on", 9.0),))
    ran: list[Scenario] = []

    def instead(scenarios: list[Scenario], _tell: object) -> list[float]:
        ran.extend(scenarios)
        return [0.0] * len(scenarios)

    monkeypatch.setattr("app.planning.remedies._depths", instead)
    find_remedies(two, catalog, (0,), 20.0, 20.0)
    assert ran


def test_that_a_pass_and_four_ways_run_without_orders_about_the_lines(
    setup: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    ran: list[Scenario] = []

    def instead(scenarios: list[Scenario], *_args: object, **_words: object) -> None:
        ran.extend(scenarios)
        raise Cancelled

    monkeypatch.setattr("app.ground.pass_job.passes", instead)
    monkeypatch.setattr("app.ground.ways_job.Run", instead)
    with pytest.raises(Cancelled):
        plan_pass(setup, catalog)
    with pytest.raises(Cancelled):
        four_ways(setup, catalog, 5.0, 5.0)
    assert len(ran) > 4
    assert all(scenario.line_orders == () for scenario in ran)
