"""Where to save: a file that is there is never replaced unasked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from app.ui.save_dialog import ask_where

Button = QMessageBox.StandardButton

KINDS = "For paper (*.pdf);;Picture (*.png);;Table (*.csv)"


@pytest.fixture
def ask(
    qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., tuple[Path | None, list[str]]]:
    """Ask with a name typed, a kind chosen and an answer given; the questions that were asked."""

    def asked(
        typed: Path | None, kind: str = "", answer: Button = Button.Cancel
    ) -> tuple[Path | None, list[str]]:
        questions: list[str] = []

        def exec_(box: QMessageBox) -> Button:
            questions.append(box.text())
            return answer

        monkeypatch.setattr(QMessageBox, "exec", exec_)
        monkeypatch.setattr(
            QFileDialog, "getSaveFileName", lambda *_: ("" if typed is None else str(typed), kind)
        )
        return ask_where(None, "Save", "a.pdf", KINDS), questions

    return asked


Ask = Callable[..., tuple[Path | None, list[str]]]


def test_that_a_name_without_an_ending_gets_that_of_the_kind_chosen(
    ask: Ask, tmp_path: Path
) -> None:
    assert ask(tmp_path / "card", "Table (*.csv)") == (tmp_path / "card.csv", [])
    assert ask(tmp_path / "card") == (tmp_path / "card.pdf", [])
    assert ask(tmp_path / "card.png", "Table (*.csv)") == (tmp_path / "card.png", [])
    assert ask(tmp_path / "at 4.5 kn") == (tmp_path / "at 4.5 kn.pdf", [])
    assert ask(None) == (None, [])


def test_that_it_is_asked_before_the_file_with_the_ending_added_is_replaced(
    ask: Ask, tmp_path: Path
) -> None:
    (tmp_path / "card.pdf").write_text("precious")
    path, questions = ask(tmp_path / "card")
    assert path is None
    assert "card.pdf" in questions[0]
    path, questions = ask(tmp_path / "card", "", Button.Yes)
    assert path == tmp_path / "card.pdf"
    assert len(questions) == 1


def test_that_it_is_not_asked_twice_where_the_dialog_has_asked(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "card.pdf").write_text("precious")
    assert ask(tmp_path / "card.pdf") == (tmp_path / "card.pdf", [])
