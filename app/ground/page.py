"""The Ground page: the water from above while the drop goes on, and the bottom to shape."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QTabBar,
    QWidget,
)

from app.common.units import compass_degrees
from app.ground.course_drawing import CourseDrawing
from app.ground.course_panel import CoursePanel
from app.ground.fields import BottomFields, WaterFields
from app.ground.fish.model import FishModel
from app.ground.fish.panel import FishPanel
from app.ground.lines_panel import LinesPanel
from app.ground.orders.panel import OrderPanel
from app.ground.pass_model import PassModel
from app.ground.pass_panel import PassPanel
from app.ground.profile_plot import ProfilePlot
from app.ground.top_view import TopView
from app.ground.tracks.model import TrackModel
from app.ground.tracks.panel import TrackPanel
from app.ground.ways_model import FourWays
from app.ground.ways_table import WaysTable
from app.live.line_controls import HandlingPanel
from app.scenario.courses import course_now, course_words
from app.session.live_run import LiveRun
from app.ui.fold import FoldPanel
from app.ui.look import font
from app.ui.panel import Panel, quiet
from app.ui.preferences import Preferences
from app.ui.scroll import Scroll
from app.ui.side import side
from app.ui.steps import GAP, LOUD, PAGE

LOWER = {
    "Bottom": "along the way it runs: drag a point, double-click for a new one",
    "Four ways": "the same drop down-tide, up-tide and across: where each lure is deepest",
    "Your track": "a bottom to rehearse over, from your own recording",
    "Whole pass": "in gear all the way: which line comes too near, and what helps",
    "Lines in and out": "now, while the drop goes on; a fish on, too",
    "Timed orders": "what the helm and the lines are told, and when; saved with the scenario",
    "Fish on": "where the other lines go while one is fought",
}
"""Tabs below the view from above, and a note on each."""

TALL = (900, 0, 980, 1250)
"""From these heights of the page on, px, the panels of the side column are open."""


class GroundPage(QWidget):
    """The drop goes on here: the keys of the helm work as on the Rehearse page."""

    def __init__(
        self,
        live_run: LiveRun,
        ways: FourWays,
        track: TrackModel,
        passing: PassModel,
        fish: FishModel,
        preferences: Preferences,
    ) -> None:
        super().__init__()
        self.ways = WaysTable(ways, preferences)
        self.track = TrackPanel(live_run.document, track, preferences)
        self.passing = PassPanel(passing, preferences)
        self.handling = HandlingPanel(live_run, preferences)
        self.orders = OrderPanel(live_run, preferences)
        self.fish = FishPanel(fish, preferences)
        self._live_run, self._preferences = live_run, preferences
        self.top = TopView(live_run, preferences)
        self.profile = ProfilePlot(live_run, preferences)
        self.water = WaterFields(live_run.document, preferences)
        self.bottom = BottomFields(live_run.document, preferences)
        self.home = self.top
        self.drawing = CourseDrawing(self.top)
        self.course = CoursePanel(live_run, self.drawing, preferences)
        self.lines = LinesPanel(live_run, self.top, preferences)
        self.top_panel = Panel("From above")
        self.fit = QPushButton("Follow the boat")
        self.fit.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.fit.clicked.connect(self.top.fit)
        self.top_panel.head.addWidget(self.fit)
        self.top_panel.body.addWidget(self.top, 1)
        self.lower_panel = Panel("")
        self.tabs = QTabBar()
        self.tabs.setAccessibleName("Tools of the ground")
        self.tabs.setDrawBase(False)
        self.tabs.setExpanding(False)
        for name, note in LOWER.items():
            self.tabs.setTabToolTip(self.tabs.addTab(name), note)
        self.tabs.currentChanged.connect(self.show_lower)
        self.lower_panel.head.insertWidget(0, self.tabs, 100)
        self.lower_panel.title.hide()
        self.lower_panel.head.removeWidget(self.lower_panel.note)
        self.lower_panel.body.addWidget(self.lower_panel.note)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.profile)
        self.stack.addWidget(Scroll(self.ways))
        self.stack.addWidget(Scroll(self.track))
        self.stack.addWidget(self.passing)
        self.stack.addWidget(self.handling)
        self.stack.addWidget(Scroll(self.orders))
        self.stack.addWidget(self.fish)
        self.lower_panel.body.addWidget(self.stack, 1)
        self.show_lower(0)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setHandleWidth(GAP)
        split.setChildrenCollapsible(False)
        split.addWidget(self.top_panel)
        split.addWidget(self.lower_panel)
        split.setStretchFactor(0, 5)
        split.setStretchFactor(1, 3)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(*PAGE)
        layout.setSpacing(GAP)
        layout.addWidget(split, 1)
        layout.addWidget(self._side())
        self.profile.chosen.connect(self.bottom.choose)
        live_run.figures.connect(self._read)
        live_run.helm_changed.connect(self._read)
        preferences.units_changed.connect(self._title)
        self._title()
        self._read()

    def show_lower(self, index: int) -> None:
        """Show one of LOWER under the view from above."""
        self.tabs.setCurrentIndex(index)
        self.stack.setCurrentIndex(index)
        self.lower_panel.note.setText(list(LOWER.values())[index])

    def _side(self) -> QWidget:
        gear = Panel("Helm")
        self.lever = QPushButton()
        self.lever.setObjectName("lever")
        self.lever.setFont(font(LOUD, bold=True))
        self.lever.setAccessibleName("Gear lever")
        self.lever.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.lever.clicked.connect(self._live_run.shift)
        self.state = quiet()
        self.state.setWordWrap(True)
        gear.body.addWidget(self.lever)
        gear.body.addWidget(self.state)
        gear.body.addWidget(self.lines.nearest)
        gear.body.addWidget(self.lines.warning)
        return side(290, gear, *self._folding)

    @property
    def _folding(self) -> tuple[FoldPanel, ...]:
        return self.course, self.lines, self.water, self.bottom

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where there is little room, what is not wanted all the time is folded up."""
        super().resizeEvent(event)
        for panel, tall in zip(self._folding, TALL, strict=True):
            if not panel.by_hand:
                panel.set_open(self.height() >= tall)

    def _title(self) -> None:
        self.top_panel.note.setText("north is up")
        self.top.name_axes()

    def _read(self) -> None:
        live_run = self._live_run
        picture = live_run.picture
        text = "Out of gear  (Space)" if live_run.in_gear else "Go in gear  (Space)"
        if self.lever.text() != text:
            self.lever.setText(text)
            self.lever.setProperty("out", not live_run.in_gear)
            self.lever.style().unpolish(self.lever)
            self.lever.style().polish(self.lever)
        self.lever.setEnabled(live_run.under_orders)
        boat = picture.boat
        hold = live_run.hold_so_far()
        if self.isVisible():
            self.lines.refresh()
            self.course.refresh()
        said = f"{self._preferences.speed.text(boat.speed)} through the water, heading "
        said += f"{round(compass_degrees(boat.heading)) % 360:03d}°"
        if hold is not None:
            said += f"; out of gear {hold:.1f} s"
        course = course_now(live_run.run, live_run.now)
        if course is not None:
            said += "; " + course_words(*course, self._preferences.length)
        self.state.setText(
            f"{said}. Left and Right work the wheel, C is amidships, E one engine, M a mark."
        )
