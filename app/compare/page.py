"""The Compare page: sink rates side by side; a lure alone, the same drop on a line, run depths."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.compare.drops import DropPlot
from app.compare.falls import FallPlot
from app.compare.fields import CandidateEditor, CompareInputs
from app.compare.menu import CompareMenu
from app.compare.model import Comparison
from app.compare.plot import ComparePlot, shared_depth
from app.compare.runs import RunPlot
from app.compare.table import CompareTable
from app.ui.axis_names import AxisNames
from app.ui.late_bar import Late
from app.ui.panel import Panel
from app.ui.preferences import Preferences
from app.ui.side import side
from app.ui.steps import GAP, PAGE, PLOT_PANEL, ROOM, SNUG
from app.ui.wheel_needs_focus import ChoiceBox

SIDE, SIDE_SHARE = 292, 0.14
"""Width of the inputs, px, or their share of a wide page."""

TALL = 1000
"""A page this high has room for larger rows, px."""

SOON_MS = 20
"""What changed is shown this much later, ms: one painting for several changes."""

BY_SPEED, BY_COLORS = "by speed", "by colors"


class ComparePage(QWidget):
    """Three plots on one depth axis, the table under them, the inputs at the right."""

    def __init__(
        self,
        comparison: Comparison,
        preferences: Preferences,
        tell: Callable[[str], None],
        warn: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._comparison, self._preferences = comparison, preferences
        self.falls = FallPlot(comparison, preferences, "Free fall of each lure")
        self.drops = DropPlot(comparison, preferences, "The same drop on each line")
        self.runs = RunPlot(comparison, preferences, "How deep each line runs")
        self.axes = [AxisNames(plot, preferences) for plot in self.plots]
        self.table = CompareTable(comparison, preferences)
        self.inputs = CompareInputs(comparison, preferences)
        self.editor = CandidateEditor(comparison, preferences)
        self.menu = CompareMenu(
            comparison,
            self.table,
            (("Free fall", self.falls), ("Same drop", self.drops), ("Run depth", self.runs)),
            self.about,
            self,
            tell,
            warn,
        )
        outer = QHBoxLayout(self)
        outer.setContentsMargins(*PAGE)
        outer.setSpacing(GAP)
        main = QVBoxLayout()
        main.setSpacing(GAP)
        main.addWidget(self._plots(), 1)
        main.addWidget(self._ranked())
        outer.addLayout(main, 1)
        self.side = side(SIDE, self.inputs, self.editor)
        outer.addWidget(self.side)
        for keys, do in (("Insert", self.editor.add_one), ("Delete", self.editor.remove_one)):
            QShortcut(QKeySequence(keys), self.table, do, context=Qt.ShortcutContext.WidgetShortcut)
        self.home = self.table
        for plot in self.plots:
            plot.picked.connect(comparison.choose)
        comparison.lineup_changed.connect(self._lineup)
        comparison.chosen_changed.connect(self._chosen)
        self._late = Late(self)
        self._late.turned.connect(self._working)
        self._soon = QTimer(self)
        self._soon.setInterval(SOON_MS)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self.refresh_now)
        comparison.results_changed.connect(self.refresh)
        comparison.document.setup_changed.connect(self.inputs.show_all)
        comparison.trouble.connect(tell)
        preferences.units_changed.connect(self._lineup)
        preferences.look_changed.connect(self._look)
        self._lineup()
        self.refresh_now()

    @property
    def plots(self) -> tuple[ComparePlot, ComparePlot, ComparePlot]:
        """The three plots."""
        return self.falls, self.drops, self.runs

    def about(self, plot: ComparePlot) -> str:
        """What a plot is of, in one line for a picture of it."""
        comparison, unit = self._comparison, self._preferences.length
        words = f"still water; depth in {unit.name}"
        if plot is self.falls:
            return words.capitalize()
        setup = comparison.document.setup
        at = self._preferences.speed.text(comparison.speed)
        words = f"{at}; {words}"
        if plot is self.runs:
            return words
        boat = setup.boat if isinstance(setup.boat, str) else setup.boat.name
        return f"{words}; hold {comparison.lineup.hold:g} s; {boat}"

    def _plots(self) -> QSplitter:
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setHandleWidth(GAP)
        split.setChildrenCollapsible(False)
        self.fall_panel = Panel("Free fall")
        self.drop_panel = Panel("Same drop")
        self.run_panel = Panel("Run depth")
        self.across = ChoiceBox()
        self.across.addItems([BY_SPEED, BY_COLORS])
        self.across.setAccessibleName("Run depth by speed or by colors out")
        self.across.currentTextChanged.connect(self._across)
        self.run_panel.head.addWidget(self.across)
        for panel, plot in zip(
            (self.fall_panel, self.drop_panel, self.run_panel), self.plots, strict=True
        ):
            panel.body.addWidget(plot, 1)
            panel.body.setContentsMargins(*PLOT_PANEL)
            panel.setMinimumWidth(200)
            # heads of one height, so that equal depths lie side by side
            panel.title.setMinimumHeight(self.across.sizeHint().height())
            split.addWidget(panel)
        for at, stretch in enumerate((5, 6, 5)):
            split.setStretchFactor(at, stretch)
        self.splitter = split
        return split

    def _ranked(self) -> Panel:
        self.table_panel = Panel("Ranked")
        self.table_panel.body.addWidget(self.table, 1)
        self.save = QPushButton("Save or copy")
        self.save.setToolTip("Plots as pictures, curves and table as text")
        self.save.setMenu(self.menu)
        self.table_panel.head.addWidget(self.save)
        self.table_panel.body.setContentsMargins(ROOM, SNUG, ROOM, GAP)
        return self.table_panel

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.side.set_width(max(SIDE, round(SIDE_SHARE * self.width())))
        self.table.show_large(self.height() >= TALL)
        self._fit_table()
        super().resizeEvent(event)

    def _fit_table(self) -> None:
        """All rows are in sight, up to the eight there may be."""
        each = self.table.verticalHeader().defaultSectionSize()
        head = self.table.horizontalHeader().sizeHint().height()
        tall = head + each * self.table.rowCount() + 4
        if self.table.height() != tall:
            self.table.setFixedHeight(tall)

    # ---- refresh

    def _lineup(self) -> None:
        self.inputs.show_all()
        self.editor.show_all()
        self.refresh()

    def _chosen(self) -> None:
        self.editor.show_all()
        self.table.follow()
        for plot in self.plots:
            plot.redraw()

    def refresh(self) -> None:
        """Show what is known, in a moment: changes come several at a time."""
        if not self._soon.isActive():
            self._soon.start()

    def refresh_now(self) -> None:
        """Show what is known by now."""
        self._soon.stop()
        comparison, unit = self._comparison, self._preferences.length
        rows = comparison.rows()
        deepest = shared_depth(rows, comparison)
        for plot in self.plots:
            plot.take(rows, deepest)
        self.table.take(rows)
        self._fit_table()
        depth = f"depth, {unit.symbol}"
        self.axes[0].name("s after it is let go", depth)
        self.axes[1].name("s since out of gear", depth)
        self._across_note()
        alone = sum(row.candidate.alone for row in rows)
        note = "click a heading to rank by it"
        if alone:
            note += "; a lure alone is in the first plot only"
        self.table_panel.note.setText(note)
        self._late.tell(comparison.busy)

    def _working(self) -> None:
        self.table_panel.right.setText("working…" if self._late.shown else "")

    def _across_note(self) -> None:
        speed = self._preferences.speed
        colors = self.runs.by_colors
        self.run_panel.note.setText(f"at {speed.text(self._comparison.speed)}" if colors else "")
        across = "colors out" if colors else f"speed, {speed.symbol}"
        self.axes[2].name(across, f"depth, {self._preferences.length.symbol}")

    def _across(self, text: str) -> None:
        self.runs.show_colors(text == BY_COLORS)
        self._across_note()

    def _look(self) -> None:
        for plot in self.plots:
            plot.apply_look(self._preferences.look)
        self.editor.show_all()
