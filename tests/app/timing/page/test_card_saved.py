"""The card of the Timing page: its table, saved, printed, looked at first."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QMessageBox

from app.common.units import FOOT, KNOT
from tests.app.timing.page.desk import Desk


@pytest.fixture
def carded(planned: Desk) -> Desk:
    planned.worker.deliver("card")
    return planned


def test_that_the_table_of_holds_is_the_cards(carded: Desk) -> None:
    card, table = carded.planner.card, carded.page.holds.table
    assert card is not None
    tackle = card.tackles[0]
    assert table.rowCount() == len(tackle.depths)
    assert table.columnCount() == len(tackle.line_out)
    item, head = table.item(1, 0), table.verticalHeaderItem(1)
    assert item is not None
    assert head is not None
    assert item.text() == f"{tackle.hold[1, 0]:.1f}"
    assert head.text() == f"{FOOT.from_si(tackle.depths[1]):.0f} ft"
    carded.page.holds.tackle.setCurrentIndex(1)
    assert item.text() == f"{card.tackles[1].hold[1, 0]:.1f}"


@pytest.mark.parametrize(("name", "begins"), [("c.pdf", b"%PDF"), ("c.png", b"\x89PNG"),
                                              ("c.csv", b"rods,")])  # fmt: skip
def test_that_the_card_is_saved_by_its_names_ending(
    carded: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, begins: bytes
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / name), ""))
    carded.window.card_menu.keep.trigger()
    assert (tmp_path / name).read_bytes()[:40].lower().startswith(begins.lower())
    assert name in carded.window.statusBar().currentMessage()


def test_that_a_card_that_cannot_be_saved_says_so(
    carded: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "no such folder" / "c.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    carded.window.card_menu.keep.trigger()
    (box,) = [b for b in carded.window.findChildren(QMessageBox) if b.isVisible()]
    assert "could not be saved" in box.text()
    box.close()


def test_that_there_is_no_card_to_print_before_it_is_worked_out(planned: Desk) -> None:
    assert not planned.window.card_menu.preview.isEnabled()
    assert not planned.window.card_menu.keep.isEnabled()
    planned.worker.deliver("card")
    assert planned.window.card_menu.preview.isEnabled()


def test_that_the_preview_shows_the_card(carded: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    shown = []
    monkeypatch.setattr(
        "app.timing.card_menu.print_preview",
        lambda card, _parent, paper: shown.append((card, paper)),
    )
    menu = carded.window.card_menu
    menu._choose("half letter")
    menu.preview.trigger()
    ((card, paper),) = shown
    assert card.numbers is carded.planner.card
    assert paper.name == "half letter"


def test_that_the_card_is_printed_by_one_click_on_the_page(
    carded: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "out.pdf"))
    monkeypatch.setattr("app.timing.card_menu.usual_printer", lambda: printer)
    QTest.mouseClick(carded.page.card.print, Qt.MouseButton.LeftButton)
    assert len(PdfReader(tmp_path / "out.pdf").pages) == 2
    assert "went to" in carded.window.statusBar().currentMessage()


def test_that_without_a_printer_the_card_can_be_saved(
    carded: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.timing.card_menu.usual_printer", lambda: None)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "c.pdf"), ""))
    QTest.mouseClick(carded.page.card.print, Qt.MouseButton.LeftButton)
    assert (tmp_path / "c.pdf").exists()


def test_that_there_is_nothing_to_print_while_the_card_is_worked_out(planned: Desk) -> None:
    assert not planned.page.card.print.isEnabled()
    planned.worker.deliver("card")
    assert planned.page.card.print.isEnabled()


def test_that_the_card_has_the_scenarios_name_of_now(carded: Desk) -> None:
    document = carded.live.document
    document.edit(replace(document.setup, name="the rip"), "name")
    card = carded.window.card_menu.card()
    assert card is not None
    assert card.title == "the rip"
    assert not carded.worker.busy("card")


def test_that_bottoms_and_a_second_speed_ask_for_another_card_alone(carded: Desk) -> None:
    panel, document = carded.page.card, carded.live.document
    carded.worker.waiting.clear()
    before = document.setup
    panel.depths.setFocus()
    QTest.keyClicks(panel.depths, "41, 22 33.5")
    QTest.keyClick(panel.depths, Qt.Key.Key_Return)
    assert FOOT.from_si(np.array(document.setup.card.depths)) == pytest.approx([22, 33.5, 41])
    assert panel.depths.text() == "22, 33.5, 41"
    assert set(carded.worker.waiting) == {"card"}
    panel.slower.box.setFocus()
    panel.slower.box.selectAll()
    QTest.keyClicks(panel.slower.box, "5")
    QTest.keyClick(panel.slower.box, Qt.Key.Key_Return)
    assert document.setup.card.slower == pytest.approx(KNOT.to_si(5.0))
    carded.worker.deliver("card")
    table = carded.page.holds.table
    heads = [table.verticalHeaderItem(row) for row in range(table.rowCount())]
    assert [head.text() for head in heads if head] == ["22 ft", "30 ft", "33.5 ft", "41 ft"]
    item = table.item(0, 0)
    assert item is not None
    assert " / " in item.text()
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.setup == before
    assert panel.depths.text() == ""


@pytest.mark.parametrize("typed", ["deep", "1 2 3 4 5 6 7 8 9", "-4", "nan", "30, 1e9"])
def test_that_bottoms_that_make_no_sense_stay_and_say_so(carded: Desk, typed: str) -> None:
    panel, before = carded.page.card, carded.live.document.setup
    panel.depths.setFocus()
    QTest.keyClicks(panel.depths, typed)
    QTest.keyClick(panel.depths, Qt.Key.Key_Return)
    assert "up to 8 depths in feet" in panel.error.text()
    assert panel.depths.text() == typed
    assert carded.live.document.setup == before


def test_that_the_seconds_to_hold_follow_the_unit_of_depths(carded: Desk) -> None:
    carded.window.preferences.set_length("meters")
    carded.worker.deliver("card")
    table = carded.page.holds.table
    heads = [table.verticalHeaderItem(row) for row in range(table.rowCount())]
    assert [head.text() for head in heads if head][:3] == ["7.0 m", "8.0 m", "9.0 m"]
    assert "9.1 m" in [head.text() for head in heads if head]


def test_that_a_unit_chosen_elsewhere_is_that_of_the_holds_on_return(carded: Desk) -> None:
    carded.worker.deliver("sure 0", "sure 1", "spread 0", "spread 1")
    carded.window.show_page("rehearse")
    carded.live.live_run.timer.stop()
    carded.window.preferences.set_length("meters")
    carded.window.show_page("timing")
    carded.worker.deliver("finish")
    carded.worker.deliver("card")
    card = carded.planner.card
    assert card is not None
    assert card.unit.symbol == "m"
