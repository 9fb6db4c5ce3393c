"""The Rehearse page: side view, depth strip, helm, and a card a line."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.common.words import CAUTION
from app.live.card_row import CardRow
from app.live.depth_strip import DepthStrip
from app.live.line_overlay import LineOverlay
from app.live.side_view import SideView
from app.rehearse.guide import Guide
from app.rehearse.helm import Helm, speed_row
from app.session.live_run import LiveRun
from app.ui.panel import Panel, quiet
from app.ui.preferences import Preferences
from app.ui.scroll import Column
from app.ui.steps import GAP, PAGE, PLOT_PANEL, SNUG

SIDE_TALL, STRIP_TALL = 190, 140
"""Least heights of the side view and of the strip, px: the page scrolls before they are lower."""


class RehearsePage(QWidget):
    """Everything a person works during a drop."""

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__()
        self._live_run, self._preferences = live_run, preferences
        self.side_view = SideView(live_run, preferences)
        self.depth_strip = DepthStrip(live_run, preferences)
        self.helm = Helm(live_run, preferences)
        self.card_row = CardRow(live_run, preferences)
        self.cards = self.card_row.cards
        outer = QVBoxLayout(self)
        outer.setContentsMargins(*PAGE)
        outer.setSpacing(GAP)
        upper = QHBoxLayout()
        upper.setSpacing(GAP)
        upper.addWidget(self._plots(), 1)
        side = self._helm_column()
        upper.addWidget(side)
        outer.addLayout(upper, 1)
        outer.addWidget(self.card_row)
        outer.addLayout(self._foot())
        self.home = self.side_view
        self.side_view.scale_changed.connect(self._titles)
        preferences.units_changed.connect(self._titles)
        preferences.look_changed.connect(self._look)
        live_run.figures.connect(self._clock)
        live_run.restarted.connect(self._clock)
        live_run.helm_changed.connect(self._buttons)
        self.overlay = LineOverlay(live_run, preferences, self)
        self.card_row.opened.connect(self.overlay.open)
        self.guide = Guide(live_run, self, self.splitter)
        self.helm.tidy_focus(self.side_view)
        self._clock()
        self._titles()
        self._buttons()

    def _plots(self) -> QSplitter:
        self.side_panel = Panel("Side view")
        self.fit = QPushButton("Fit  F")
        self.fit.setToolTip("Show everything and follow the boat again (F)")
        self.fit.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.fit.clicked.connect(self.side_view.fit)
        self.side_panel.body.addWidget(self.side_view, 1)
        self.side_panel.body.setContentsMargins(*PLOT_PANEL)
        self.strip_panel = Panel("Depth of each lure")
        self.strip_panel.body.addWidget(self.depth_strip, 1)
        self.strip_panel.body.setContentsMargins(*PLOT_PANEL)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setHandleWidth(GAP)
        split.setChildrenCollapsible(False)
        split.addWidget(self.side_panel)
        split.addWidget(self.strip_panel)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 2)
        for panel, least in ((self.side_panel, SIDE_TALL), (self.strip_panel, STRIP_TALL)):
            panel.setMinimumHeight(least)
        self.splitter = split
        return split

    def _helm_column(self) -> QWidget:
        return Column(self.helm, 290)

    def _foot(self) -> QGridLayout:
        live_run = self._live_run
        row = QHBoxLayout()
        row.setSpacing(SNUG)
        self.mark = QPushButton("Mark  M")
        self.mark.setToolTip("A fish under the sounder, now (M)")
        self.mark.clicked.connect(live_run.drop_mark)
        self.pause = QPushButton("Pause  P")
        self.pause.clicked.connect(live_run.pause)
        self.over = QPushButton("Start over  R")
        self.over.setToolTip("Back to the steady tow at the start (R)")
        self.over.clicked.connect(live_run.start_over)
        for button in (self.mark, self.pause, self.over, self.fit):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            row.addWidget(button)
        row.addSpacing(GAP)
        row.addLayout(speed_row(live_run))
        grid = QGridLayout()
        grid.addLayout(row, 0, 0)
        caution = quiet(CAUTION)
        caution.setWordWrap(True)
        caution.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(caution, 0, 1)
        grid.setColumnStretch(1, 1)
        return grid

    # ---- refresh

    def _titles(self) -> None:
        unit = self._preferences.length.name
        times = self.side_view.exaggeration
        drawn = "true to scale" if times == 1.0 else f"depth drawn {times:g} times"
        self.side_panel.note.setText(f"{unit} astern of the sounder, depth in {unit}; {drawn}")
        self.strip_panel.note.setText(f"{unit}, against seconds before and after now")

    def _buttons(self) -> None:
        self.pause.setText("Go on  P" if self._live_run.clock.paused else "Pause  P")
        under = self._live_run.under_orders
        self.mark.setEnabled(under)

    def _clock(self) -> None:
        self.side_panel.right.setText(self._clock_text())

    def _clock_text(self) -> str:
        clock = self._live_run.clock
        minutes, seconds = divmod(int(clock.now), 60)
        parts = [f"{minutes}:{seconds:02d}"]
        if clock.speed != 1:
            parts.append(f"{clock.speed}x")
        if clock.paused:
            parts.append("paused")
        elif clock.late:
            why = "too fast for this computer" if clock.speed > 1 else "the computer is busy"
            parts.append(f"running late: {why}")
        return "  ".join(parts)

    def _look(self) -> None:
        self.side_view.apply_look(self._preferences.look)
        self.depth_strip.apply_look(self._preferences.look)
