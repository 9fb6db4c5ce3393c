"""A pass over the ground on the Ground page: how near, when too near, what clears it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from app.common.units import FOOT
from app.gear.catalog import Catalog
from app.ground.pass_model import PassModel
from app.ground.pass_panel import HEADS, PassPanel, when
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.shell.window import Window
from physics.answers.passes import Pass
from physics.environment.water import Bottom
from physics.simulation.drop_facts import TOUCHING
from tests.app.by_hand import Live, lower_panel, worker_of


@pytest.fixture
def live(make_live: Callable[[Setup], Live], catalog: Catalog) -> Live:
    """Two lines of the second demo, slower and in half the water: they foul the shoal."""
    setup = scenario_file.load(scenario_file.demos()[1], catalog)
    bottom = setup.water.bottom
    low = Bottom(tuple((a, 0.52 * d) for a, d in bottom.points), bottom.bearing)
    water = replace(setup.water, bottom=low)
    return make_live(replace(setup, speed=3.0, rods=setup.rods[:2], water=water))


@pytest.fixture
def panel(window: Window) -> PassPanel:
    return lower_panel(window, 3).passing


@pytest.fixture
def model(panel: PassPanel, window: Window) -> PassModel:
    return window.pages.passing


def test_that_a_pass_is_run_told_and_forgotten_with_the_scenario(
    panel: PassPanel, model: PassModel, live: Live
) -> None:
    assert panel.table.rowCount() == 0
    panel.run.click()
    assert panel.run.text() == "Stop"
    worker_of(model).deliver()
    assert model.found is not None
    assert panel.table.rowCount() == 2
    lines = model.found.ran.lines
    fouled = [k for k, line in enumerate(lines) if line.fouls is not None]
    assert fouled
    for row, line in enumerate(lines):
        texts = [panel.table.item(row, k).text() for k in range(len(HEADS))]  # type: ignore[union-attr]
        assert texts[0] == line.rod
        assert texts[3] == when(line, FOOT)
        assert bool(texts[4]) == (line.fouls is not None)
    live.live_run.auto_hold.set(True, 9.0)
    assert model.found is not None, "she stays in gear in a pass"
    setup = live.document.setup
    live.document.edit(replace(setup, speed=setup.speed + 0.5), "faster")
    assert model.found is None
    assert panel.table.rowCount() == 0


def test_that_a_line_that_lies_on_the_ground_touches_and_one_just_over_it_does_not(
    panel: PassPanel, model: PassModel
) -> None:
    panel.run.click()
    worker_of(model).deliver()
    assert model.found is not None
    one, other = model.found.ran.lines
    lines = replace(one, clearance=0.9 * TOUCHING), replace(other, clearance=1.1 * TOUCHING)
    model.found = replace(model.found, ran=Pass(lines))
    model.changed.emit()
    said = [panel.table.item(row, 1).text() for row in (0, 1)]  # type: ignore[union-attr]
    assert said == ["touches", FOOT.text(1.1 * TOUCHING)]


def test_that_a_pass_over_deep_water_clears(panel: PassPanel, model: PassModel, live: Live) -> None:
    setup = live.document.setup
    deep = Bottom(((0.0, 60.0), (80.0, 50.0)))
    live.document.edit(replace(setup, water=replace(setup.water, bottom=deep)), "deep")
    panel.run.click()
    worker_of(model).deliver()
    assert panel.told.text() == "Every line clears the ground."


def test_that_a_level_bottom_has_no_pass_and_it_is_said(
    panel: PassPanel, model: PassModel, live: Live
) -> None:
    setup = live.document.setup
    level = replace(setup, water=replace(setup.water, bottom=Bottom.level(15.0)))
    assert live.document.edit(level, "level")
    panel.run.click()
    worker_of(model).deliver()
    assert "a profile to pass over" in panel.told.text()


def test_that_the_bar_follows_the_pass(panel: PassPanel, model: PassModel) -> None:
    panel.run.click()
    worker_of(model).pulse("pass", 0.42)
    assert panel.bar.value() == 420


def test_that_a_pass_can_be_given_up(panel: PassPanel, model: PassModel) -> None:
    panel.run.click()
    panel.run.click()
    assert not model.busy
    assert panel.run.text() == "Run the pass"
