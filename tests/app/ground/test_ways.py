"""The same drop four ways: against closed forms, against the live run, and on the page."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.common.units import FOOT
from app.gear.catalog import Catalog
from app.ground.ways_job import WayRod, four_ways, ways
from app.ground.ways_table import told
from app.scenario.setup import Setup
from app.shell.window import Window
from physics.checks import InvalidValue
from physics.simulation.run import simulate
from physics.vessel.boat import Order
from tests.app.by_hand import Live, lower_panel, worker_of

WAIT, HOLD, DRIFT = 2.0, 12.0, 0.8


@pytest.fixture(scope="module")
def tidal(demo: Setup) -> Setup:
    """The first demo with a current to the east and no wind."""
    return replace(demo, water=replace(demo.water, current=(DRIFT, 0.0), wind=(0.0, 0.0)))


@pytest.fixture(scope="module")
def found(tidal: Setup, catalog: Catalog):
    return four_ways(tidal, catalog, WAIT, HOLD)


def test_that_ways_are_told_by_the_current_or_else_by_the_wind(tidal: Setup) -> None:
    named = dict(ways(tidal))
    assert named["down-tide"] == pytest.approx(math.pi / 2)
    assert named["up-tide"] == pytest.approx(3 * math.pi / 2)
    windy = replace(tidal, water=replace(tidal.water, current=(0.0, 0.0), wind=(0.0, -5.0)))
    assert dict(ways(windy))["downwind"] == pytest.approx(math.pi)
    with pytest.raises(InvalidValue) as refused:
        ways(replace(tidal, water=replace(tidal.water, current=(0.0, 0.0), wind=(0.0, 0.0))))
    assert refused.value.field == "current"


def test_that_down_tide_and_up_tide_differ_over_ground_by_the_set_alone(found) -> None:
    down, up = found[0], found[1]
    assert down.over_ground - up.over_ground == pytest.approx(2.0 * DRIFT, abs=1e-6)
    for a, b in zip(down.rods, up.rods, strict=True):
        assert a.deepest == pytest.approx(b.deepest, abs=0.02)
        # the same moment of the same drop: only the water has moved, one way and the other
        moved = a.past - b.past
        seconds = moved / (2.0 * DRIFT)
        assert WAIT + HOLD < seconds < WAIT + HOLD + 25.0
        assert a.aside == pytest.approx(-b.aside if abs(a.aside) > 5.0 else b.aside, abs=0.5)


def test_that_across_the_tide_lures_pass_to_the_side_the_set_comes_from(found) -> None:
    # lines trail astern of where she points, and the set carries her off that line
    port, starboard = found[2], found[3]
    assert port.words.endswith("from port")
    for a, b in zip(port.rods, starboard.rods, strict=True):
        assert a.aside > 5.0
        assert b.aside < -5.0
        # a moment of sampling, 0.25 s, is a meter of way
        assert a.past == pytest.approx(b.past, abs=1.1)


def test_that_every_way_is_the_run_it_stands_for(tidal: Setup, catalog: Catalog, found) -> None:
    orders = (Order(WAIT, "out of gear"), Order(WAIT + HOLD, "in gear"))
    for way in found:
        turned = replace(
            tidal, heading=math.remainder(way.heading, 2 * math.pi), mark=None, hold=None,
            orders=orders, duration=WAIT + HOLD + 25.0,
        )  # fmt: skip
        run = simulate(turned.scenario(catalog))
        for rod, line in zip(way.rods, run.lines, strict=True):
            depth = max(-float(z) for z in line.lure(line.time)[:, 2])
            assert rod.deepest == pytest.approx(depth, abs=0.05)


def test_that_places_are_told_in_a_mates_words() -> None:
    rod = WayRod("port", FOOT.to_si(22.04), 0.0, FOOT.to_si(-45.2), FOOT.to_si(12.0))
    assert told(rod, FOOT) == "22.0 ft deep, touches\n45 ft short, 12 to starboard"
    clear = replace(rod, off_bottom=1.0, past=FOOT.to_si(3.0), aside=0.0)
    assert told(clear, FOOT) == "22.0 ft deep, 3 off\n3 ft past"


# ---- the page


def test_that_the_page_compares_and_follows_a_change(
    make_window: Callable[[Live], Window],
    make_live: Callable[[Setup], Live],
    tidal: Setup,
    qtbot: QtBot,
) -> None:
    live = make_live(tidal)
    window = make_window(live)
    page, model = lower_panel(window, 1), window.pages.ways
    worker = worker_of(model)
    assert model.busy
    assert page.ways.told.text() == ""
    qtbot.waitUntil(lambda: page.ways.told.text() == "working…")
    worker.deliver()
    table = page.ways.table
    assert (table.rowCount(), table.columnCount()) == (2, 4)
    item, head = table.item(0, 0), table.horizontalHeaderItem(1)
    assert item is not None
    assert head is not None
    assert item.text() == told(model.found[0].rods[0], FOOT)
    assert head.text().startswith("up-tide")
    page.ways.hold.setValue(6.0)
    assert model.busy
    worker.deliver()
    assert item is not table.item(0, 0)
    page.ways.hold.setFocus()
    began = model.found
    for _ in range(3):
        QTest.keyPress(page.ways.hold, Qt.Key.Key_Up)
    asked = worker.waiting["ways"]
    QTest.keyPress(page.ways.hold, Qt.Key.Key_Up)
    assert worker.waiting["ways"] is asked, "the answer on its way is waited for"
    worker.deliver()
    passed = model.found
    assert passed != began
    assert model.busy, "and the newest is asked about"
    worker.deliver()
    assert model.found != passed
    assert not model.busy
    assert page.ways.hold.value() == 10.0
    assert table.item(0, 0).text() == told(model.found[0].rods[0], FOOT)  # type: ignore[union-attr]
    page.water.drift.box.setValue(0.0)
    live.document.edit(
        replace(live.document.setup, water=replace(live.document.setup.water, wind=(0.0, 0.0))),
        "calm",
    )
    assert "Nothing to compare" in page.ways.told.text()
    assert table.columnCount() == 0
