"""The Log page: what was done and what came of it, in one table, and a form beside it."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QMessageBox,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QTabBar,
    QVBoxLayout,
    QWidget,
)

from app.common.bad_input import BadInput
from app.log.beside import Beside
from app.log.chooser import EntryChooser
from app.log.day_paper import write_pdf
from app.log.day_words import day_sheet
from app.log.entries_table import EntriesTable
from app.log.entry import Entry
from app.log.files_job import Look
from app.log.filters import Filters
from app.log.find import Wanted
from app.log.form import Form
from app.log.in_out import InOut
from app.log.model import Log
from app.log.today_row import TodayRow
from app.log.words import counted
from app.log.works_model import Works
from app.log.works_panel import WorksPanel
from app.ui.late_bar import LateBar
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, Message, as_tip
from app.ui.preferences import Preferences
from app.ui.save_dialog import ask_where
from app.ui.steps import GAP, PAGE

Warn = Callable[[str, str], None]

EMPTY = (
    "Nothing is kept yet. On the Rehearse or Ground page press H and a line's number when one is "
    "hit, or L for a drop without a hit. Or type a drop after the day: Ctrl+Enter."
)
LEFT_OUT = "Nothing here fits what you look for."

TABS = (
    ("Entries", "What was done and what came of it"),
    ("What works", "What hit more in your drops, and what to try next"),
)
"""Parts of the page, and a note on each."""

FORM_MOST = 760
"""Width of the form at the most, px: the table has the rest."""

FILES = "Logs and tables (*.csv *.json *.sqlite);;All files (*)"


class LogPage(QWidget):
    """Entries at the left; the one in hand, or two side by side, at the right."""

    def __init__(
        self,
        log: Log,
        works: Works,
        in_out: InOut,
        preferences: Preferences,
        tell: Callable[[str], None],
        warn: Warn,
    ) -> None:
        super().__init__()
        self._log, self._preferences, self._tell, self._warn = log, preferences, tell, warn
        self.in_out = in_out
        self.today = TodayRow(log.today)
        self.filters = Filters(log)
        self.table = EntriesTable(log, preferences)
        self.form = Form(log, preferences)
        self.beside = Beside(preferences)
        self.right = QStackedWidget()
        self.right.addWidget(self.form)
        self.right.addWidget(self.beside)
        self.home = self.table
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setHandleWidth(GAP)
        split.setChildrenCollapsible(False)
        split.addWidget(self._left())
        split.addWidget(self._right())
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 1)
        split.setSizes([660, 580])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*PAGE)
        self.works = WorksPanel(works, preferences, tell)
        self.parts = QStackedWidget()
        self.parts.addWidget(split)
        self.parts.addWidget(self.works)
        self.tabs = QTabBar()
        self.tabs.setAccessibleName("Parts of the log")
        self.tabs.setDrawBase(False)
        self.tabs.setExpanding(False)
        for name, note in TABS:
            self.tabs.setTabToolTip(self.tabs.addTab(name), note)
        self.tabs.currentChanged.connect(self.parts.setCurrentIndex)
        layout.addWidget(self.tabs)
        layout.addWidget(self.parts, 1)
        self.table.chosen.connect(self._chosen)
        log.changed.connect(self._changed)
        log.shown.connect(self._count)
        in_out.changed.connect(self._work)
        in_out.looked.connect(self._choose_columns)
        in_out.done.connect(self._done)
        in_out.refused.connect(self._refused)
        log.rescued.connect(self._rescued)
        for keys in ("Ctrl+Return", "Ctrl+Enter"):
            QShortcut(QKeySequence(keys), self, self.begin).setContext(
                Qt.ShortcutContext.WidgetWithChildrenShortcut
            )
        self._changed()
        if log.store.offer is not None:
            self._offer()

    # ---- make

    def _left(self) -> Panel:
        panel = Panel("Log")
        self.count = panel.right
        self.doing = quiet()
        self.bar = LateBar("How much of the file is done")
        self.stop = QPushButton("Stop")
        self.stop.setToolTip("Give it up; nothing of it is kept")
        self.stop.clicked.connect(self.in_out.stop)
        self.stop.hide()
        self.bar.late.turned.connect(self._work)
        for place, widget in enumerate((self.doing, self.bar, self.stop), 2):
            panel.head.insertWidget(place, widget)
        panel.body.addWidget(self.today)
        panel.body.addWidget(self.filters)
        self.empty = Label()
        self.empty.setWordWrap(True)
        self.empty.setMargin(GAP)
        panel.body.addWidget(self.empty)
        panel.body.addWidget(self.table, 1)
        foot = QHBoxLayout()
        self.new = self._button(foot, "New entry", self.begin, "Ctrl+Enter: goes on from the last")
        self.delete = self._button(foot, "Delete", self._delete, "Delete the chosen entries")
        foot.addStretch(1)
        self.sheet = self._button(
            foot, "Day sheet…", self._sheet, "The day on one page of paper, as PDF"
        )
        self.take_in = self._button(
            foot, "Import…", self._import, "Entries from a CSV, JSON or log file, without doubles"
        )
        self.give_out = self._button(
            foot, "Export…", self._export, "What is found here as CSV or JSON"
        )
        panel.body.addLayout(foot)
        stops: tuple[QWidget, ...] = (*self.today.stops, *self.filters.stops, self.table)
        stops += (self.new, self.delete, self.sheet, self.take_in, self.give_out)
        for one, other in pairwise(stops):
            self.setTabOrder(one, other)
        return panel

    def _right(self) -> Panel:
        panel = Panel("Entry")
        panel.setMaximumWidth(FORM_MOST)
        self.title = panel.title
        panel.body.addWidget(self.right, 1)
        foot = QHBoxLayout()
        self.back = self._button(
            foot, "Bring back", self._bring_back,
            "Make this the setup of the Rehearse, Timing and Ground pages (Ctrl+Z undoes it)",
        )  # fmt: skip
        self.anew = self._button(
            foot, "Ask the model", self._anew, "Have the model say anew what each lure did"
        )
        foot.addStretch(1)
        self.earlier = self._button(
            foot, "Earlier version", self._show_earlier,
            "What this entry was before another window, or an imported log, changed the same thing",
        )  # fmt: skip
        panel.body.addLayout(foot)
        return panel

    def _button(
        self, row: QHBoxLayout, text: str, do: Callable[[], object], tip: str
    ) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(as_tip(tip))
        button.clicked.connect(lambda: do())
        row.addWidget(button)
        return button

    def showEvent(self, event: QShowEvent) -> None:
        """The first entry is in hand until another is chosen."""
        if not self.table.numbers():
            self.table.selectRow(0)
        super().showEvent(event)

    # ---- what is there

    def _changed(self) -> None:
        self._count()
        self._chosen()

    def _count(self) -> None:
        found, wanted = self._log.found, self._log.wanted
        many = len(found.numbers)
        entries, hits = counted(many, "entry", "entries"), counted(found.hits, "hit")
        self.count.setText(f"{entries}, {hits}, {found.landed:,} landed" if many else "")
        self.empty.setText("" if many else LEFT_OUT if wanted.filtered or wanted.day else EMPTY)
        self.empty.setVisible(not many)
        self._work()

    def chosen(self) -> list[Entry]:
        """The entries chosen."""
        return self.table.entries()

    def _chosen(self) -> None:
        number = self.table.current_number()
        numbers = self.table.numbers()
        held = self._held()
        if held is not None and numbers != [held] and not self.form.may_leave():
            if held in self._log.found.numbers:
                self.table.choose([held], held)
            return
        if len(numbers) == 2:
            first, second = self.table.entries()
            self.beside.show_pair(first, second)
        self.right.setCurrentWidget(self.beside if len(numbers) == 2 else self.form)
        self.title.setText("Two entries" if len(numbers) == 2 else "Entry")
        entry = None
        if numbers:
            entry = self._log.entry(number if number in numbers else numbers[0])
        self.form.show_entry(entry)
        one = entry is not None and len(numbers) == 1
        self.delete.setEnabled(bool(numbers))
        self.sheet.setEnabled(bool(numbers or (self._log.wanted.day and self._log.found.numbers)))
        self.back.setEnabled(one)
        self.earlier.setVisible(
            one and entry is not None and bool(self._log.store.earlier(entry.id))
        )
        self.anew.setEnabled(one)

    # ---- do

    def begin(self) -> None:
        """A new entry that goes on from the last; the hand goes to its time."""
        if not self.form.may_leave():
            self.form.note.setFocus(Qt.FocusReason.TabFocusReason)
            return
        entry = self._log.begin()
        number = self._log.number_of(entry)
        if number not in self._log.found.numbers:
            self.filters.show_day(entry.at.date().isoformat())
        if number is not None:
            self.table.choose([number], number)
            self.table.scrollTo(self.table.currentIndex())
        clock = self.form.fields["clock"]
        clock.setFocus(Qt.FocusReason.TabFocusReason)

    def _held(self) -> int | None:
        """Number of the entry in the form."""
        entry = self.form.entry
        return None if entry is None else self._log.number_of(entry)

    def _delete(self) -> None:
        self._log.remove(self.table.numbers())

    def _bring_back(self) -> None:
        (entry,) = self.chosen()
        if self._log.bring_back(entry):
            self._tell("The setup of this entry is on screen now; Ctrl+Z takes it back.")

    def _show_earlier(self) -> None:
        """The entry as it is beside what it was."""
        (entry,) = self.chosen()
        self.beside.show_pair(entry, self._log.store.earlier(entry.id)[0])
        self.right.setCurrentWidget(self.beside)
        self.title.setText("Now, and before")

    def _anew(self) -> None:
        (entry,) = self.chosen()
        self._log.ask_anew(entry)

    def _import(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Import entries", "", FILES)
        if name:
            self.in_out.take_in(Path(name))

    def _choose_columns(self, look: Look) -> None:
        """Ask what the columns of somebody else's table are, and take it in as told."""
        chooser = EntryChooser(look, self.in_out, self)
        chooser.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        chooser.accepted.connect(lambda: self.in_out.take_in_as(look, chooser.chosen))
        chooser.open()

    def _export(self) -> None:
        path = ask_where(self, "Export entries", "log.csv", "Tables (*.csv);;JSON (*.json)")
        if path is not None:
            self.in_out.give_out(path)

    def _done(self, text: str) -> None:
        self._tell(text)

    def _refused(self, title: str, text: str) -> None:
        self._warn(title, text)

    def _work(self) -> None:
        """How far a file is that is taken in or given out."""
        busy = self.in_out.busy
        self.bar.tell(busy, self.in_out.share)
        shown = self.bar.late.shown
        self.doing.setText(f"{self.in_out.what}…" if busy and shown else "")
        self.stop.setVisible(shown)
        self.take_in.setEnabled(not busy)
        self.give_out.setEnabled(not busy and bool(self._log.found.numbers))

    def _sheet(self) -> None:
        """The sheet of the day looked at, or of the entry in hand."""
        entry = self.form.entry
        day = self._log.wanted.day or ("" if entry is None else entry.at.date().isoformat())
        kept = list(self._log.store.entries(Wanted(day=day))) if day else []
        if not kept:
            return
        path = ask_where(self, "Save the day sheet", f"day-{day}.pdf", "For paper (*.pdf)")
        if path is None:
            return
        try:
            sheet = day_sheet(kept, self._preferences.speed, self._preferences.length)
            write_pdf(sheet, path)
        except BadInput as error:
            self._warn("The day sheet could not be saved", str(error))
        else:
            self._tell(f"The day sheet of {day} is in {path.name}.")

    def _rescued(self) -> None:
        """The log became damaged: tell what was saved, and offer the newest copy for the rest."""
        if self._log.store.offer is not None:
            self._offer()
        else:
            self._warn("About the log", self._log.store.told)

    def _offer(self) -> None:
        """Ask whether the newest good copy is to be taken in."""
        offer = self._log.store.offer
        assert offer is not None
        box = Message(f"{self._log.store.told}\n\nOpen the copy {offer.name}?", self)
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Yes | buttons.No)

        def answered(result: int) -> None:
            if result == buttons.Yes and (merged := self._log.restore()) is not None:
                self._tell(f"{offer.name}: {merged.in_words()}.")

        box.finished.connect(answered)
        box.open()
