"""The user's own tackle on the Tackle page: changed, undone, passed on, damaged."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from app.common import resources
from app.common.units import FOOT, FOOT_PER_SECOND, OUNCE
from app.gear.catalog import Catalog
from app.gear.own_tackle import OWN_FILE, read_items
from app.gear.tackle_file import LineKind
from app.shell.start import build_window
from app.shell.window import Window
from app.tackle.model import Shelf
from app.tackle.page import TacklePage
from app.ui.settings import Settings
from physics.answers.sink import free_falls, line_sink_rate
from physics.environment.water import Bottom, Water
from tests.app.by_hand import WORKING, HandBackground, Live, worker_of
from tests.app.conftest import put_away, show

PLUG = "sinking plug, 5 in"


@pytest.fixture
def page(window: Window) -> TacklePage:
    """The Tackle page just opened on the first demo."""
    QTest.keyClick(window, Qt.Key.Key_F5)
    assert window.pages.currentWidget() is window.pages.tackle
    return window.pages.tackle


@pytest.fixture
def shelf(page: TacklePage, window: Window) -> Shelf:
    return window.shelf


def deliver(window: Window) -> None:
    """Let the trial of the thing in hand be done."""
    worker_of(window.pages.tryout).deliver()


def type_in(page: TacklePage, attribute: str, text: str) -> None:
    """Type over a field and press Enter."""
    box = page.form.rows[attribute].box
    box.setFocus()
    box.selectAll()
    QTest.keyClicks(box, text)
    QTest.keyClick(box, Qt.Key.Key_Return)


def own_file() -> Path:
    return resources.tackle_folder() / OWN_FILE


def copied(page: TacklePage, name: str) -> str:
    """Take a thing in hand, copy it, and give the copy's name."""
    assert page.list.choose(name)
    page.copy.click()
    assert page.list.name != name
    return page.list.name


def test_that_shipped_things_can_be_read_but_only_copies_changed(page: TacklePage) -> None:
    assert page.list.choose(PLUG)
    assert page.form.rows["mass"].box.isReadOnly()
    assert page.form.name.isReadOnly()
    assert not page.remove.isEnabled()
    assert "Built-in" in page.state.text()
    name = copied(page, PLUG)
    assert name == f"my {PLUG}"
    assert not page.form.rows["mass"].box.isReadOnly()
    assert page.remove.isEnabled()
    (item,) = read_items(own_file())
    assert item.name == name
    assert item.source["default"].startswith("copied from") or item.source["default"] == "assumed"


def test_that_a_change_is_kept_at_once_said_to_be_yours_and_undone(
    page: TacklePage, live: Live
) -> None:
    name = copied(page, PLUG)
    before = live.document.catalog.lures[name].mass
    assert page.form.rows["mass"].unit.currentText() == "oz"  # type: ignore[attr-defined]
    type_in(page, "mass", "3")
    assert live.document.catalog.lures[name].mass == pytest.approx(OUNCE.to_si(3.0))
    (item,) = read_items(own_file())
    assert item.source["mass"] == "your own"
    assert page.form.rows["mass"].source.text() == "your own"
    live.document.undo_stack.undo()
    assert live.document.catalog.lures[name].mass == pytest.approx(before)
    assert read_items(own_file())[0].thing.mass == pytest.approx(before)  # type: ignore[union-attr]
    live.document.undo_stack.undo()
    assert name not in live.document.catalog.lures
    assert read_items(own_file()) == ()
    live.document.undo_stack.redo()
    assert name in live.document.catalog.lures


def test_that_a_number_that_makes_no_sense_stays_at_its_field_and_is_not_kept(
    page: TacklePage, live: Live
) -> None:
    name = copied(page, PLUG)
    text = own_file().read_text("utf-8")
    type_in(page, "broadside_area", "-4")
    row = page.form.rows["broadside_area"]
    assert row.error.isVisible()
    assert "Allowed is" in row.error.text()
    assert row.box.value() == -4.0
    assert own_file().read_text("utf-8") == text
    page.form.spell(page.form.rows["mass"].field, 2)
    type_in(page, "mass", "15")
    assert "osmium" in page.form.rows["mass"].error.text()
    assert own_file().read_text("utf-8") == text
    type_in(page, "broadside_area", "25")
    assert not row.error.isVisible()
    assert live.document.catalog.lures[name].broadside_area == pytest.approx(25e-4)


def test_that_a_name_taken_is_refused_and_the_old_one_stays(
    page: TacklePage, window: Window
) -> None:
    name = copied(page, PLUG)
    page.form.name.setText("heavy jig, 3 oz")
    page.form.name.editingFinished.emit()
    assert "already" in window.statusBar().currentMessage()
    assert page.form.name.text() == name
    page.form.name.setText("  ")
    page.form.name.editingFinished.emit()
    assert "A name has to be" in page.form.error.text()


def test_that_a_thing_in_use_keeps_its_use_when_renamed_and_is_not_deleted(
    page: TacklePage, live: Live, window: Window
) -> None:
    name = copied(page, PLUG)
    setup = live.document.setup
    rods = (replace(setup.rods[0], lure=name), *setup.rods[1:])
    assert live.document.edit(replace(setup, rods=rods), "lure")
    page.list.choose(name)
    page.remove.click()
    assert "in use" in window.statusBar().currentMessage()
    assert name in live.document.catalog.lures
    page.form.name.setText("old faithful")
    page.form.name.editingFinished.emit()
    assert live.document.setup.rods[0].lure == "old faithful"
    assert name not in live.document.catalog.lures
    assert [item.name for item in read_items(own_file())] == ["old faithful"]
    live.document.undo_stack.undo()
    assert live.document.setup.rods[0].lure == name
    assert [item.name for item in read_items(own_file())] == [name]


def test_that_a_change_of_tackle_in_use_starts_the_live_tow_over_and_of_other_does_not(
    page: TacklePage, live: Live
) -> None:
    name = copied(page, PLUG)
    assert not live.live_run.settling
    setup = live.document.setup
    rods = (replace(setup.rods[0], lure=name), *setup.rods[1:])
    live.document.edit(replace(setup, rods=rods), "lure")
    live.settle()
    page.list.choose(name)
    type_in(page, "broadside_area", "30")
    assert live.live_run.settling
    # the tow is looked for once somebody looks at the drop again
    live.live_run.start()
    live.live_run.timer.stop()
    live.settle()
    assert live.live_run.scenario.rods[0].lure.broadside_area == pytest.approx(30e-4)


def test_that_deleting_is_undone(page: TacklePage, live: Live) -> None:
    name = copied(page, "50 lb mono leader")
    page.remove.click()
    assert name not in live.document.catalog.lines
    live.document.undo_stack.undo()
    assert name in live.document.catalog.lines
    assert page.list.choose(name)


def test_that_a_spread_offers_what_was_just_made(page: TacklePage, window: Window) -> None:
    window.edit_spread()
    assert window.editor is not None
    name = copied(page, PLUG)
    assert window.editor.rows[0].lure.findText(name) >= 0


def test_that_the_rate_shown_is_the_falls(page: TacklePage, window: Window) -> None:
    page.list.choose(PLUG)
    deliver(window)
    water = window.document.setup.water
    (fall,) = free_falls([window.document.catalog.lures[PLUG]], water, 20.0)
    assert page.trial.rate.text == f"{FOOT_PER_SECOND.from_si(fall.rate):.2f}"
    assert page.trial.rate.word == "ft/s sinks"
    twenty = next(v.text() for n, v in page.trial.times if n.text() == "Down 20 ft")
    assert (page.trial.time.text, page.trial.time.word) == (twenty.removesuffix(" s"), "s to 20 ft")
    ten = next(v.text() for n, v in page.trial.times if n.text() == "Down 10 ft")
    k = int((fall.depth >= FOOT.to_si(10.0)).argmax())
    assert fall.time[k - 1] - 0.06 <= float(ten.removesuffix(" s")) <= fall.time[k] + 0.06


def test_that_a_float_is_said_to_rise_a_line_to_sink_and_a_boat_to_slow(
    page: TacklePage, window: Window
) -> None:
    page.list.choose("floating lipped plug, 4 in")
    deliver(window)
    assert "rises" in page.trial.rate.word
    page.list.choose("27 lb leadcore")
    deliver(window)
    kind = window.document.catalog.lines["27 lb leadcore"]
    rate = line_sink_rate(kind.section(1.0), window.document.setup.water)
    assert page.trial.rate.text == f"{FOOT_PER_SECOND.from_si(rate):.2f}"
    page.list.choose("skiff, 18 ft, one engine")
    deliver(window)
    boat = window.document.catalog.boats["skiff, 18 ft, one engine"]
    assert page.trial.rate.text == f"{boat.half_time:.1f}"
    page.trial.plot.grab()
    QApplication.processEvents()


def test_that_a_line_sinks_as_its_weight_and_drag_say() -> None:
    water = Water(Bottom.level(20.0))
    kind = LineKind("wire", "leadcore", 1e-3, 5e-3, 1e4)
    section = replace(kind.section(1.0), normal_drag=1.2)
    weight = (5e-3 - water.density * section.area) * 9.80665
    wanted = (2.0 * weight / (water.density * 1.2 * 1e-3)) ** 0.5
    assert line_sink_rate(section, water) == pytest.approx(wanted, rel=1e-6)
    floats = replace(section, mass_per_length=1e-4)
    assert line_sink_rate(floats, water) < 0.0


def test_that_the_list_is_sifted_by_words(page: TacklePage) -> None:
    page.list.sought.setText("lb mono")
    shown = [r.text(0) for r in page.list._rows() if not r.isHidden()]
    assert shown
    assert all("mono" in text for text in shown)
    page.list.sought.clear()
    assert not any(r.isHidden() for r in page.list._rows())


def test_that_numbers_few_people_change_are_shown_when_asked_for(page: TacklePage) -> None:
    page.list.choose(PLUG)
    row = page.form.rows["added_mass_along"]
    assert not row.box.isVisible()
    page.form.seldom.click()
    assert row.box.isVisible()


def test_that_what_a_thing_does_comes_first_and_sources_when_asked_for(page: TacklePage) -> None:
    page.list.choose(PLUG)
    row = page.form.rows["mass"]
    assert page.trial.mapTo(page, QPoint()).x() < page.form.mapTo(page, QPoint()).x()
    assert row.source.text()
    assert not row.source.isVisible()
    row.why.click()
    assert row.source.isVisible()
    assert not page.form.rows["length"].source.isVisible()


@pytest.mark.parametrize(
    ("length", "expected"),
    [("feet", ("in", "gr/10 ft", "lb", "oz in fresh water")),
     ("meters", ("mm", "g/m", "N", "g in fresh water"))],
)  # fmt: skip
def test_that_numbers_are_first_told_in_the_units_of_the_system(
    page: TacklePage, length: str, expected: tuple[str, ...]
) -> None:
    page.form.preferences.set_length(length)
    told = []
    for name, attributes in (
        ("27 lb leadcore", ("diameter", "mass_per_length", "strength")), (PLUG, ("volume",)),
    ):  # fmt: skip
        page.list.choose(name)
        rows = [page.form.rows[attribute] for attribute in attributes]
        told += [row.unit.currentText() for row in rows]  # type: ignore[attr-defined]
    assert tuple(told) == expected
    page.form.spell(page.form.rows["mass"].field, 2)
    page.form.preferences.set_length("meters" if length == "feet" else "feet")
    assert page.form.spelled(page.form.rows["mass"].field).symbol == "kg"


# ---- pass on, take in


def test_that_tackle_passed_on_is_taken_in_elsewhere(
    page: TacklePage, window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (f"{path}.toml", ""))
    page.pass_on.click()
    assert "None of the tackle is yours yet" in window.statusBar().currentMessage()
    name = copied(page, PLUG)
    page.pass_on.click()
    assert [item.name for item in read_items(path.with_suffix(".toml"))] == [name]
    page.take_in.click()
    assert "Nothing new" in window.statusBar().currentMessage()
    page.list.choose(name)
    page.remove.click()
    page.take_in.click()
    assert "1 imported" in window.statusBar().currentMessage()
    assert page.list.choose(name)


def test_that_a_file_that_cannot_be_taken_in_says_why_and_changes_nothing(
    page: TacklePage, window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text("[[lure]]\nname = 3\n", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    page.take_in.click()
    (box,) = [b for b in window.findChildren(QMessageBox) if b.isVisible()]
    assert "bad.toml" in box.text()
    assert "name" in box.text()
    box.close()
    assert window.shelf.own == ()


def test_that_a_folder_that_cannot_be_written_says_so_and_changes_nothing(
    page: TacklePage, window: Window, live: Live
) -> None:
    folder = resources.tackle_folder()
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.write_text("in the way", encoding="utf-8")
    page.list.choose(PLUG)
    page.copy.click()
    assert "Not kept" in window.statusBar().currentMessage()
    assert window.shelf.own == ()
    assert not live.document.undo_stack.canUndo()


# ---- damaged own files


def test_that_a_damaged_own_file_is_told_left_alone_and_set_aside_before_it_is_written_over(
    dressed: QApplication,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for module in WORKING:
        monkeypatch.setattr(f"app.{module}.Background", HandBackground)
    path = own_file()
    path.parent.mkdir(parents=True)
    path.write_text("[[lure]]\nname = 'half a", encoding="utf-8")
    window = build_window(None, settings)
    show(window)
    (box,) = [b for b in window.findChildren(QMessageBox) if b.isVisible()]
    assert "own.toml" in box.text()
    assert "left out" in box.text()
    box.close()
    assert path.read_text("utf-8").endswith("half a")
    window.show_page("tackle")
    copied(window.pages.tackle, PLUG)
    assert path.with_name("own.damaged.txt").read_text("utf-8").endswith("half a")
    assert [item.name for item in read_items(path)] == [f"my {PLUG}"]
    put_away(window)


def test_that_own_tackle_is_there_again_after_a_restart(
    make_window: Callable[[Live], Window], page: TacklePage, live: Live
) -> None:
    name = copied(page, PLUG)
    again = Shelf(live.document)
    assert [item.name for item in again.own] == [name]
    assert name in Catalog.load().lures


def test_that_the_axis_has_numbers_only_where_something_is_drawn(
    page: TacklePage, window: Window
) -> None:
    axis = page.trial.plot.getAxis("left")
    assert not axis.style["showValues"], "nothing is tried yet"
    said = []
    for name in (PLUG, "floating lipped plug, 4 in", "skiff, 18 ft, one engine"):
        page.list.choose(name)
        deliver(window)
        assert axis.style["showValues"]
        said.append(axis.tickStrings([-5.0, 0.0, 5.0], 1.0, 5.0))
    assert said == [["5", "0", ""], ["5", "0", "5"], ["5", "0", "5"]]
