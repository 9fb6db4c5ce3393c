"""The Ground page: the water from above while the drop goes on, and the bottom to shape.

Depends on: views, ground_model, track_model, pass_model, fish_model, rehearsal, preferences,
units, words.
"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.fish_model import FishModel
from app.ground_model import FourWays
from app.look import GAP, font
from app.pass_model import PassModel
from app.preferences import Preferences
from app.rehearsal import Rehearsal
from app.track_model import TrackModel
from app.units import KNOT, compass_degrees
from app.views.fish_panel import FishPanel
from app.views.ground_fields import BottomFields, WaterFields
from app.views.order_panel import OrderPanel
from app.views.panel import Panel, quiet
from app.views.pass_panel import PassPanel
from app.views.profile_plot import ProfilePlot
from app.views.top_view import TopView
from app.views.track_panel import TrackPanel
from app.views.ways_table import WaysTable
from app.words import CAUTION

LOWER = {
    "Bottom along its bearing": "drag a point, double-click for a new one",
    "The same drop four ways": "where each lure is deepest, against the mark",
    "Your own recorded track": "its bottom to rehearse over",
    "A pass over this ground": "in gear all the way: which line comes too near, and what helps",
    "A fish is on": "where the other lines go while one is fought",
    "Orders in time": "what the helm and the lines are told, and when; saved with the scenario",
}
"""What may be shown below, and a note on each."""


class GroundPage(QWidget):
    """The drop goes on here: the keys of the helm work as on the Rehearse page."""

    def __init__(
        self,
        rehearsal: Rehearsal,
        ways: FourWays,
        track: TrackModel,
        passing: PassModel,
        fish: FishModel,
        preferences: Preferences,
    ) -> None:
        super().__init__()
        self.ways = WaysTable(ways, preferences)
        self.track = TrackPanel(track, preferences)
        self.passing = PassPanel(passing, preferences)
        self.fish = FishPanel(fish, preferences)
        self.orders = OrderPanel(rehearsal, preferences)
        self._rehearsal, self._preferences = rehearsal, preferences
        self.top = TopView(rehearsal, preferences)
        self.profile = ProfilePlot(rehearsal, preferences)
        self.water = WaterFields(rehearsal, preferences)
        self.bottom = BottomFields(rehearsal, preferences)
        self.top_panel = Panel("From above")
        self.fit = QPushButton("Follow the boat")
        self.fit.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.fit.clicked.connect(self.top.fit)
        self.top_panel.head.addWidget(self.fit)
        self.top_panel.body.addWidget(self.top, 1)
        self.lower_panel = Panel("")
        self.switch = QComboBox()
        self.switch.setAccessibleName("What is shown below")
        self.switch.addItems(list(LOWER))
        self.switch.activated.connect(self.show_lower)
        self.lower_panel.head.insertWidget(0, self.switch)
        self.lower_panel.title.hide()
        self.stack = QStackedWidget()
        self.stack.addWidget(self.profile)
        self.stack.addWidget(self.ways)
        self.stack.addWidget(self.track)
        self.stack.addWidget(self.passing)
        self.stack.addWidget(self.fish)
        self.stack.addWidget(self.orders)
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
        layout.setContentsMargins(GAP, 4, GAP, GAP)
        layout.setSpacing(GAP)
        layout.addWidget(split, 1)
        layout.addWidget(self._side())
        self.profile.chosen.connect(self.bottom.choose)
        rehearsal.figures.connect(self._read)
        rehearsal.helm_changed.connect(self._read)
        preferences.units_changed.connect(self._title)
        self._title()
        self._read()

    def show_lower(self, index: int) -> None:
        """Show one of LOWER under the view from above."""
        self.switch.setCurrentIndex(index)
        self.stack.setCurrentIndex(index)
        self.lower_panel.note.setText(list(LOWER.values())[index])

    def _side(self) -> QWidget:
        column = QWidget()
        layout = QVBoxLayout(column)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP)
        gear = Panel("Helm")
        self.lever = QPushButton()
        self.lever.setObjectName("lever")
        self.lever.setFont(font(11, bold=True))
        self.lever.setAccessibleName("Gear lever")
        self.lever.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.lever.clicked.connect(self._rehearsal.shift)
        self.state = quiet()
        self.state.setWordWrap(True)
        gear.body.addWidget(self.lever)
        gear.body.addWidget(self.state)
        layout.addWidget(gear)
        layout.addWidget(self.water)
        layout.addWidget(self.bottom, 1)
        caution = quiet(CAUTION)
        caution.setWordWrap(True)
        layout.addWidget(caution)
        scroll = QScrollArea()
        scroll.setWidget(column)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFixedWidth(290)
        return scroll

    def _title(self) -> None:
        unit = self._preferences.length.name
        self.top_panel.note.setText(f"north is up; {unit} from where she started")

    def _read(self) -> None:
        rehearsal = self._rehearsal
        picture = rehearsal.picture
        text = "Out of gear  (Space)" if rehearsal.in_gear else "Go in gear  (Space)"
        if self.lever.text() != text:
            self.lever.setText(text)
            self.lever.setProperty("out", not rehearsal.in_gear)
            self.lever.style().unpolish(self.lever)
            self.lever.style().polish(self.lever)
        self.lever.setEnabled(rehearsal.under_orders)
        boat = picture.boat
        hold = rehearsal.hold_so_far()
        said = f"{KNOT.text(boat.speed)} through the water, heading "
        said += f"{compass_degrees(boat.heading):03.0f}°"
        if hold is not None:
            said += f"; out of gear {hold:.1f} s"
        self.state.setText(
            f"{said}. Left and Right work the wheel, C is amidships, E one engine, M a mark."
        )
