"""A fish is on, on the Ground page: what is asked, told, forgotten, and put into the orders."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT, KNOT, POUND
from app.gear.catalog import Catalog
from app.ground.fish.fields import ONE_ENGINE, PULLED, SWIMS, TO_SPEED
from app.ground.fish.job import (
    cells,
    crossings,
    find_speed,
    headline,
    run_fight,
    speed_words,
    with_fight,
)
from app.ground.fish.model import FishModel
from app.ground.fish.panel import HEADS, FishPanel
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.number_field import NumberField
from physics.answers.fights import Fight
from physics.environment.water import Bottom
from physics.vessel.boat import Order
from tests.app.by_hand import HandBackground, Live, hover


def fishing(demo: Setup, depth: float = 7.0) -> Setup:
    """The first demo's two rods in water where the longer line fouls at a slow speed."""
    return replace(demo, water=replace(demo.water, bottom=Bottom.level(depth)), mark=None)


@pytest.fixture
def live(make_live: Callable[[Setup], Live], demo: Setup) -> Live:
    return make_live(fishing(demo))


@pytest.fixture
def panel(window: Window) -> FishPanel:
    QTest.keyClick(window, Qt.Key.Key_F8)
    window.live_run.timer.stop()
    ground = window.pages.ground
    ground.show_lower(ground.stack.indexOf(ground.fish))
    return ground.fish


@pytest.fixture
def model(panel: FishPanel, window: Window) -> FishModel:
    return window.pages.fish


def test_that_what_is_offered_at_first_is_round_in_feet(panel: FishPanel) -> None:
    shown = [field.text().split()[0] for field in panel.fields.findChildren(NumberField)]
    assert len(shown) > 4
    assert all(float(text).is_integer() for text in shown), shown


def deliver(model: FishModel, *kinds: str) -> None:
    worker = model.background
    assert isinstance(worker, HandBackground)
    for kind in kinds or ("fight", "speed"):
        worker.deliver(kind)


def slow(model: FishModel, knots: float = 2.0) -> None:
    """A fish on the second line, slowing to a speed at which the first fouls."""
    model.choose(Fight(model.names[1], throttle=KNOT.to_si(knots)))


def test_that_the_page_says_the_fish_is_one_of_its_lower_views(
    panel: FishPanel, window: Window
) -> None:
    tabs = window.pages.ground.tabs
    assert tabs.tabText(tabs.currentIndex()) == "Fish on"
    assert panel.isVisible()
    assert not panel.both.isVisible()


def test_that_the_answer_comes_first_and_the_speed_after_it(
    panel: FishPanel, model: FishModel, live: Live, catalog: Catalog
) -> None:
    slow(model)
    panel.run.click()
    assert panel.run.text() == "Stop"
    assert panel.told.text() == "Working…"
    deliver(model, "fight")
    assert model.found is not None
    assert not model.found.clears
    assert panel.told.text() == headline(model.found, FOOT, KNOT)
    assert model.names[0] in panel.told.text()
    assert "Looking for the speed" in panel.more.text()
    deliver(model, "speed")
    assert model.speed is not None
    assert speed_words(model.speed, live.document.setup.speed, KNOT) in panel.more.text()
    assert panel.run.text() == "Run it"
    assert panel.table.rowCount() == 2
    for row, line in enumerate(model.found.lines):
        texts = [panel.table.item(row, k).text() for k in range(len(HEADS))]  # type: ignore[union-attr]
        assert texts == [line.rod, *cells(line, model.found, FOOT)]
    assert model.speed.speed == find_speed(live.document.setup, catalog, model.fight).speed


def test_that_the_speed_told_clears_when_it_is_asked_for(
    panel: FishPanel, model: FishModel, live: Live
) -> None:
    slow(model)
    panel.run.click()
    deliver(model)
    assert model.speed is not None
    told = model.speed.speed
    assert told is not None
    model.choose(replace(model.fight, throttle=told))
    assert model.found is None
    panel.run.click()
    deliver(model, "fight")
    assert model.found is not None
    assert panel.told.text() == f"All other lines stay clear at {KNOT.text(told)}."


def test_that_fields_say_what_is_run(panel: FishPanel, model: FishModel) -> None:
    fields = panel.fields
    fields.weight.setValue(20.0)
    fields.slows.setCurrentText(TO_SPEED)
    fields.slows.activated.emit(1)
    fields.speed.setValue(3.5)
    fields.rate.setValue(1.5)
    fields.left.setValue(30.0)
    fields.end.setCurrentText(SWIMS)
    fields.end.activated.emit(1)
    fields.fish_depth.setValue(9.0)
    fight = model.fight
    assert fight.fish == pytest.approx(POUND.to_si(20.0))
    assert fight.throttle == pytest.approx(KNOT.to_si(3.5))
    assert fight.rate == pytest.approx(FOOT.to_si(1.5))
    assert fight.left == pytest.approx(FOOT.to_si(30.0))
    assert fight.fish_depth == pytest.approx(FOOT.to_si(9.0))
    fields.end.setCurrentText(PULLED)
    fields.end.activated.emit(0)
    assert model.fight.fish_depth is None
    assert not fields.fish_depth.isEnabled()


def test_that_a_boat_with_one_engine_is_not_offered_to_slow_to_one(
    panel: FishPanel, model: FishModel, live: Live
) -> None:
    slows = panel.fields.slows
    assert [slows.itemText(k) for k in range(slows.count())] == [ONE_ENGINE, TO_SPEED]
    setup, catalog = live.document.setup, live.document.catalog
    single = next(name for name, boat in catalog.boats.items() if boat.engines == 1)
    assert live.document.edit(replace(setup, boat=single), "boat")
    assert [slows.itemText(k) for k in range(slows.count())] == [TO_SPEED]
    assert model.fight.throttle is not None
    assert "one engine" in slows.toolTip()


def test_that_orders_are_put_in_at_once_and_taken_back_at_once(
    panel: FishPanel, model: FishModel, live: Live, catalog: Catalog
) -> None:
    before = live.document.setup
    model.choose(replace(model.fight, fish_depth=0.5, hooked=model.names[1]))
    panel.run.click()
    deliver(model)
    panel.put.click()
    after = live.document.setup
    assert [order.action for order in after.orders] == ["engines"]
    assert [order.action for order in after.line_orders] == ["fish on", "line to", "fish end to"]
    assert {order.rod for order in after.line_orders} == {model.names[1]}
    assert after.hold is None
    # its own orders make it no other fight
    assert model.found is not None
    live.document.undo_stack.undo()
    assert live.document.setup == before


def test_that_what_was_put_into_the_orders_runs_as_it_was_told(
    demo: Setup, catalog: Catalog
) -> None:
    setup = fishing(demo)
    fight = Fight(setup.rods[1].name, throttle=KNOT.to_si(2.0))
    told = run_fight(setup, catalog, fight)
    rows = with_fight(setup, catalog, fight)
    again = run_fight(replace(rows, orders=(), line_orders=()), catalog, fight)
    assert [line.touches for line in told.lines] == [line.touches for line in again.lines]
    assert rows.duration >= fight.at + told.end
    assert with_fight(rows, catalog, fight) == rows


def test_that_steering_and_marks_stand_and_the_gear_gives_way(
    demo: Setup, catalog: Catalog
) -> None:
    given = (Order(2.0, "wheel", 0.01), Order(3.0, "out of gear"), Order(8.0, "mark", 4.0))
    rows = with_fight(replace(fishing(demo), orders=given), catalog, Fight(demo.rods[0].name))
    assert [order.action for order in rows.orders] == ["wheel", "engines", "mark"]


def test_that_orders_put_in_are_saved_and_read_again(
    demo: Setup, catalog: Catalog, tmp_path
) -> None:
    rows = with_fight(fishing(demo), catalog, Fight(demo.rods[0].name, fish_depth=0.5))
    path = tmp_path / "fish.toml"
    scenario_file.save(rows, path)
    read = scenario_file.load(path, catalog)
    assert read.orders == rows.orders
    assert [order.action for order in read.line_orders] == ["fish on", "line to", "fish end to"]


def test_that_another_scenario_forgets_the_answer(
    panel: FishPanel, model: FishModel, live: Live
) -> None:
    slow(model)
    panel.run.click()
    deliver(model)
    setup = live.document.setup
    live.document.edit(replace(setup, notes="calm"), "notes")
    assert model.found is not None
    live.document.edit(replace(setup, speed=setup.speed + 0.5), "faster")
    assert model.found is None
    assert not panel.both.isVisible()


def test_that_a_rod_that_is_gone_has_no_fish(
    panel: FishPanel, model: FishModel, live: Live
) -> None:
    slow(model)
    live.document.edit(live.document.setup.without_rod(1), "one less")
    assert model.fight.hooked == model.names[0]
    assert panel.fields.hooked.count() == 1
    panel.run.click()
    deliver(model)
    assert panel.told.text() == "No other line is out."


def test_that_it_can_be_given_up(panel: FishPanel, model: FishModel) -> None:
    panel.run.click()
    panel.run.click()
    assert not model.busy
    assert panel.run.text() == "Run it"
    panel.run.click()
    deliver(model, "fight")
    panel.run.click()
    assert not model.busy
    assert model.found is not None
    assert "Looking" not in panel.more.text()


@pytest.mark.parametrize(
    ("changes", "match"),
    [({"fish_depth": 50.0}, "does not reach so deep"), ({"left": 300.0}, "leave less of it out")],
)
def test_that_what_cannot_be_done_is_told(
    panel: FishPanel, model: FishModel, changes: dict, match: str
) -> None:
    model.choose(replace(model.fight, **changes))
    panel.run.click()
    deliver(model, "fight")
    assert match in panel.more.text()
    assert not model.busy


def test_that_the_plot_tells_every_line_under_the_pointer(
    panel: FishPanel, model: FishModel
) -> None:
    slow(model)
    panel.run.click()
    deliver(model)
    QApplication.processEvents()
    plot = panel.plot
    hover(plot.viewport(), QPoint(plot.width() // 2, plot.height() // 2))
    plot.grab()
    assert len(plot.hover_lines) == 3
    for name, said in zip(model.names, plot.hover_lines[1:], strict=True):
        assert said.startswith(f"{name}: ")


def test_that_lines_that_cross_are_named_once(demo: Setup, catalog: Catalog) -> None:
    """Both tips in one place: they are together from the start."""
    both = tuple(replace(rod, abeam=0.0, astern=2.0) for rod in demo.rods)
    found = run_fight(replace(fishing(demo, 30.0), rods=both), catalog, Fight(both[0].name))
    names = " and ".join(rod.name for rod in both)
    assert crossings(found) == f"{names} cross already."
