"""What can be done with the helm card: look at it, print it, save it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtGui import QActionGroup
from PySide6.QtWidgets import QMenu, QWidget

from app.common.bad_input import BadInput
from app.common.files import write_safely
from app.common.papers import PAPERS
from app.planning.card_words import Card, as_csv
from app.timing.card import write_pdf, write_png
from app.timing.card_preview import print_card, print_preview, usual_printer
from app.timing.model import Planner
from app.ui.save_dialog import ask_where
from app.ui.settings import Settings

KINDS = "For paper (*.pdf);;Picture (*.png);;Table (*.csv)"


class CardMenu(QMenu):
    """Paper, print preview, save.

    ``tell`` says what was done, ``warn`` (title, text) what failed.
    """

    def __init__(
        self,
        planner: Planner,
        settings: Settings,
        parent: QWidget,
        tell: Callable[[str], None],
        warn: Callable[[str, str], None],
    ) -> None:
        super().__init__("Helm card", parent)
        self._planner, self._settings, self._tell, self._warn = planner, settings, tell, warn
        self.paper = PAPERS[settings.get("paper", "A5")]
        self.now = self.addAction("Print", self.print_now)
        self.preview = self.addAction("Look at it and print…", self.show_preview)
        self.keep = self.addAction("Save as PDF, PNG or CSV…", self.save)
        papers = self.addMenu("Paper")
        group = QActionGroup(self)
        for name in PAPERS:
            action = papers.addAction(name)
            action.setCheckable(True)
            action.setChecked(name == self.paper.name)
            action.triggered.connect(partial(self._choose, name))
            group.addAction(action)
        planner.changed.connect(self._allow)
        planner.card_changed.connect(self._allow)
        self._allow()

    def _allow(self) -> None:
        ready = self._planner.card is not None and self._planner.fresh
        for action in (self.now, self.preview):
            action.setEnabled(ready)
        self.keep.setEnabled(ready)

    def _choose(self, name: str, _checked: bool = True) -> None:
        self.paper = PAPERS[name]
        self._settings.set("paper", name)

    def card(self) -> Card | None:
        """The card as of today, if its numbers are there."""
        numbers, name = self._planner.card, self._planner.request.setup.name
        return None if numbers is None else Card(numbers, date.today(), name)

    def print_now(self) -> None:
        """The card out of the usual printer at once; where there is none it can be saved."""
        card = self.card()
        if card is None:
            return
        printer = usual_printer()
        if printer is None:
            self._tell("No printer is set up here; the card can be saved instead")
            self.save()
        elif print_card(card, printer, self.paper):
            self._tell(f"The helm card went to {printer.printerName() or 'the printer'}")
        else:
            self._warn("The helm card was not printed", "The printer did not take it.")

    def show_preview(self) -> None:
        """The card as it will print."""
        card = self.card()
        if card is not None:
            print_preview(card, self.parentWidget(), self.paper)

    def save(self) -> None:
        """Ask where, and write the kind of file its name says."""
        card = self.card()
        if card is None:
            return
        path = ask_where(self.parentWidget(), "Save helm card", "helm-card.pdf", KINDS)
        if path is None:
            return
        try:
            write_card(card, path, self.paper.name)
        except BadInput as error:
            self._warn("The helm card could not be saved", str(error))
        else:
            self._tell(f"Helm card saved as {path.name}")


def write_card(card: Card, path: Path, paper: str = "A5") -> None:
    """Write a card as PDF, PNG or CSV, by the name's ending. Raises BadInput."""
    kind = path.suffix.lower()
    if kind == ".csv":
        write_safely(path, as_csv(card))
    elif kind == ".png":
        write_png(card, path, PAPERS[paper])
    elif kind == ".pdf":
        write_pdf(card, path, PAPERS[paper])
    else:
        raise BadInput(path.name, "", kind, "a name that ends in .pdf, .png or .csv")
