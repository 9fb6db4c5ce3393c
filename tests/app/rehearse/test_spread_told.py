"""What else hangs on the lines of a spread: their orders, their places, reel, backing and water."""

import math
from dataclasses import replace
from itertools import combinations

import pytest
from pytestqt.qtbot import QtBot

from app.common.units import COLOR, FOOT
from app.rehearse.places import coinciding
from app.rehearse.spread_editor import SpreadEditor
from app.ui.middle_box import MiddleBox
from physics.environment.water import Water, seawater_density, seawater_viscosity
from physics.line.line_orders import LineOrder
from physics.simulation.scenario import MOST_RODS
from tests.app.by_hand import Live
from tests.app.rehearse.spread_by_hand import first, type_text


@pytest.fixture
def told(live: Live, editor: SpreadEditor) -> tuple[LineOrder, ...]:
    """Two orders about the first line and one about the second."""
    setup = live.document.setup
    one, two = (rod.name for rod in setup.rods)
    orders = (
        LineOrder(5.0, one, "fish on", 9.0),
        LineOrder(6.0, two, "fish on", 4.0),
        LineOrder(9.0, one, "line to", 20.0),
    )
    assert live.document.edit(replace(setup, line_orders=orders), "orders")
    return orders


def test_that_a_renamed_line_keeps_its_orders(
    live: Live, editor: SpreadEditor, told: tuple[LineOrder, ...]
) -> None:
    type_text(editor.rows[0].name, "long one")
    assert first(live).name == "long one"
    names = [order.rod for order in live.document.setup.line_orders]
    assert names == ["long one", told[1].rod, "long one"]
    live.document.undo_stack.undo()
    assert live.document.setup.line_orders == told


def test_that_a_line_named_like_another_is_refused_and_no_order_changes_hands(
    live: Live, editor: SpreadEditor, told: tuple[LineOrder, ...]
) -> None:
    type_text(editor.rows[0].name, told[1].rod)
    assert live.document.setup.line_orders == told
    assert first(live).name == told[0].rod


def test_that_a_line_taken_away_takes_its_orders_and_says_so_and_undo_brings_all_back(
    live: Live, editor: SpreadEditor, told: tuple[LineOrder, ...]
) -> None:
    editor.remove(0)
    assert live.document.setup.line_orders == (told[1],)
    assert editor.message.text().startswith(f"2 orders about {told[0].rod} went with it")
    live.document.undo_stack.undo()
    assert live.document.setup.line_orders == told
    assert len(live.document.setup.rods) == 2


def test_that_a_new_line_is_put_beside_every_other(editor: SpreadEditor, live: Live) -> None:
    while editor.add.isEnabled():
        editor.add.click()
    rods = live.document.setup.rods
    assert len(rods) == MOST_RODS
    for one, other in combinations(rods, 2):
        assert math.hypot(one.abeam - other.abeam, one.astern - other.astern) > FOOT.to_si(1.9)
    assert coinciding(live.document.setup) == ""


def test_that_rods_at_one_place_are_told(editor: SpreadEditor, live: Live) -> None:
    setup = live.document.setup
    first, second = setup.rods
    same = replace(second, abeam=first.abeam, astern=first.astern, height=first.height)
    live.document.edit(replace(setup, rods=(first, same)), "together")
    assert f"{first.name} and {second.name} have their rod tips at one place" in (
        editor.message.text()
    )


def test_that_reel_backing_water_and_the_marks_time_are_edited(
    editor: SpreadEditor, live: Live
) -> None:
    row = editor.rows[0]
    row.on_reel.setValue(6.0)
    row.backing.setCurrentText("30 lb braid backing")
    row.backing.textActivated.emit("30 lb braid backing")
    editor.mark_time.setValue(12.5)
    rod = live.document.setup.rods[0]
    assert rod.on_reel == pytest.approx(COLOR.to_si(6.0))
    assert rod.backing == "30 lb braid backing"
    assert live.document.setup.mark is not None
    assert live.document.setup.mark.time == 12.5
    before = live.document.setup.water
    editor.temperature.setValue(50.0)
    editor.salinity.setValue(20.0)
    water = live.document.setup.water
    assert water.density == pytest.approx(seawater_density(10.0, 20.0))
    assert water.viscosity == pytest.approx(seawater_viscosity(10.0, 20.0))
    for _ in range(2):
        live.document.undo_stack.undo()
    assert live.document.setup.water == before
    assert editor.temperature.text() == "64 °F"


def test_that_water_told_by_density_stays_until_somebody_asks(
    editor: SpreadEditor, live: Live
) -> None:
    setup = live.document.setup
    plain = replace(setup, water=Water(setup.water.bottom))
    live.document.edit(plain, "plain water")
    assert not editor.temperature.isVisibleTo(editor)
    assert "1025.0" in editor.told_otherwise.text()
    assert live.document.setup.water == plain.water
    editor.by_warmth.click()
    assert editor.temperature.isVisibleTo(editor)
    assert editor.temperature.text() == "59 °F"


def test_that_twins_stay_apart_where_their_names_are_too_long(
    editor: SpreadEditor, qtbot: QtBot
) -> None:
    box = MiddleBox()
    qtbot.addWidget(box)
    names = [f"the very long sinking plug of the old shed, {size} in" for size in (5, 7)]
    box.addItems(names)
    box.resize(120, 26)
    shown = []
    for name in names:
        box.setCurrentText(name)
        shown.append(box.shown_text())
        box.grab()
    assert shown[0] != shown[1]
    assert all("…" in text and text.endswith(" in") for text in shown)
    assert isinstance(editor.rows[0].lure, MiddleBox)
