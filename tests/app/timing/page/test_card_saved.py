"""The card of the Timing page: its table, saved, printed, looked at first."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QMessageBox

from app.common.units import FOOT
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
