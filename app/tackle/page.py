"""The Tackle page: all lines, lures and boats, the user's own to change, and how each does."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import (
    QFileDialog,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.common.bad_input import BadInput
from app.tackle.form import TackleForm
from app.tackle.items import TITLES, TackleList
from app.tackle.model import Shelf
from app.tackle.trial import TrialView
from app.tackle.tryout import Tryout
from app.ui.panel import Panel, quiet
from app.ui.preferences import Preferences
from app.ui.save_dialog import ask_where
from app.ui.sharing_splitter import SharingSplitter
from app.ui.steps import PAGE

FILES = "Tackle (*.toml)"

LEAST = 190
"""The list, and what a thing does, are no narrower, px."""


class TacklePage(QWidget):
    """The list at the left, what the thing does in the middle, its fields at the right."""

    def __init__(
        self,
        shelf: Shelf,
        tryout: Tryout,
        preferences: Preferences,
        tell: Callable[[str], None],
        warn: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._shelf, self._tryout, self._tell, self._warn = shelf, tryout, tell, warn
        self.list = TackleList(shelf)
        self.form = TackleForm(shelf, preferences)
        self.trial = TrialView(tryout, preferences)
        self.form_panel = Panel("")
        self.form_panel.body.addWidget(self.form, 1)
        self.form_panel.body.addLayout(self._buttons())
        trial_panel = Panel("What it does")
        trial_panel.body.addWidget(self.trial, 1)
        panels = (self._list_panel(), trial_panel, self.form_panel)
        # the form says itself what it needs
        for panel in panels[:2]:
            panel.setMinimumWidth(LEAST)
        split = SharingSplitter(panels, usual=(265, 470, 505), shares=(1, 4, 1))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*PAGE)
        layout.addWidget(split)
        self.home = self.list.tree
        self.list.chosen.connect(self._choose)
        shelf.changed.connect(self._choose_again)
        self._choose(self.list.name)

    def _list_panel(self) -> Panel:
        panel = Panel("Tackle and boats")
        panel.body.addWidget(self.list, 1)
        self.take_in = QPushButton("Import…")
        self.take_in.setToolTip("Add the tackle and boats of a file somebody gave you")
        self.take_in.clicked.connect(self._take_in)
        self.pass_on = QPushButton("Export…")
        self.pass_on.setToolTip("Write all that is yours to one file, to give to somebody")
        self.pass_on.clicked.connect(self._pass_on)
        row = QHBoxLayout()
        row.addWidget(self.take_in)
        row.addWidget(self.pass_on)
        panel.body.addLayout(row)
        return panel

    def _buttons(self) -> QGridLayout:
        self.copy = QPushButton("Duplicate and edit")
        self.copy.setToolTip("Make one of your own like this")
        self.copy.clicked.connect(self._copy)
        self.remove = QPushButton("Delete")
        self.remove.setToolTip("Delete it from your tackle (Ctrl+Z brings it back)")
        self.remove.clicked.connect(self._remove)
        self.state = quiet()
        self.state.setWordWrap(True)
        grid = QGridLayout()
        grid.addWidget(self.state, 0, 0)
        grid.addWidget(self.copy, 0, 1)
        grid.addWidget(self.remove, 0, 2)
        grid.setColumnStretch(0, 1)
        return grid

    # ---- the thing in hand

    def _choose_again(self) -> None:
        self._choose(self.list.name)

    def _choose(self, name: str) -> None:
        entry = self._shelf.entry(name)
        self.form.show_entry(entry)
        self.copy.setEnabled(entry is not None)
        self.remove.setEnabled(entry is not None and entry.own)
        if entry is None:
            return
        self._tryout.take(entry.thing)
        self.form_panel.title.setText(TITLES[entry.group])
        words = (
            "Yours: changes are saved at once" if entry.own else "Built-in: duplicate it to edit"
        )
        used = ". In use in this scenario" if entry.used else ""
        self.state.setText(f"{words}{used}.")

    def _copy(self) -> None:
        name = self._shelf.copy(self.list.name)
        if name is not None:
            self.list.choose(name)
            self.form.name.setFocus()
            self.form.name.selectAll()

    def _remove(self) -> None:
        self._shelf.remove(self.list.name)

    def _take_in(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Import tackle", "", FILES)
        if not name:
            return
        try:
            self._tell(self._shelf.take_in(Path(name)))
        except BadInput as error:
            self._warn("This tackle could not be imported", str(error))

    def _pass_on(self) -> None:
        own = [item.name for item in self._shelf.own]
        if not own:
            self._tell("None of the tackle is yours yet: duplicate something first.")
            return
        path = ask_where(self, "Export tackle", "my-tackle.toml", FILES)
        if path is None:
            return
        try:
            self._shelf.pass_on(path, own)
        except BadInput as error:
            self._warn("The tackle could not be exported", str(error))
        else:
            self._tell(f"{len(own)} exported to {path.name}")
