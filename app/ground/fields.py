"""Current, wind and the shape of the bottom, as fields; the setup's, and undoable."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
)

from app.common.quantities import Quantity
from app.common.typed_number import number
from app.common.units import Unit, compass_degrees
from app.scenario import keys
from app.scenario.bottom_shapes import WORDS, shaped, without_point
from app.scenario.setup import Setup
from app.scenario.water_flow import WaterFlow
from app.session.document import Document
from app.ui.fold import FoldPanel
from app.ui.number_field import Field, NumberField
from app.ui.panel import quiet
from app.ui.plain import Label
from app.ui.preferences import Preferences
from app.ui.tables import heads, manners
from app.ui.wheel_needs_focus import ChoiceBox
from physics.checks import InvalidValue
from physics.environment.current import UNIFORM, PowerLaw
from physics.environment.water import Bottom

EVEN, FADING = "the same at every depth", "fading toward the bottom"
OWN = "with depth as in the file"
"""How the current changes with depth, in words."""


class WaterFields(FoldPanel):
    """The set and drift of the current, the wind, and the boat's heading."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__("Current and wind")
        self._document, self._preferences = document, preferences
        self._current, self._wind = (
            WaterFlow(name, self._setup, partial(self._change, name), document.bearings)
            for name in ("current", "wind")
        )
        current, wind = self._current, self._wind
        self.heading = self._field(
            "Boat heads", keys.HEADING, lambda: self._setup().heading, self._set_heading
        )
        self.drift = self._field("Current runs", keys.DRIFT, current.speed, current.set_speed)
        self.set = self._field("and sets toward", keys.SET, current.toward, current.set_toward)
        self.wind = self._field("Wind blows", keys.WIND, wind.speed, wind.set_speed)
        self.source = self._field("from", keys.WIND_FROM, wind.source, wind.set_source)
        self.profile = ChoiceBox()
        self.profile.setAccessibleName("How the current changes with depth")
        self.profile.setToolTip("Along a bed the current fades toward the bottom; 1/7 is usual")
        self.profile.activated.connect(self._profile_chosen)
        for field in (self.heading, self.drift, self.set):
            self.body.addWidget(field)
        self.body.addWidget(self.profile)
        for field in (self.wind, self.source):
            self.body.addWidget(field)
        self.relative = quiet()
        self.relative.setWordWrap(True)
        self.body.addWidget(self.relative)
        document.setup_changed.connect(self.show_setup)
        preferences.units_changed.connect(self.show_setup)
        self.show_setup()

    def _field(
        self, words: str, quantity: Quantity, get: Callable[[], float], put: Callable[[float], None]
    ) -> Field:
        return Field(words, NumberField(quantity, get, put, self._preferences))

    def show_setup(self) -> None:
        """Show the setup on screen; a direction without a speed stays as it was put."""
        setup = self._document.setup
        heading = compass_degrees(setup.heading)
        drift, toward = self._current.speed(), compass_degrees(self._current.toward())
        blows, downwind = self._wind.speed(), compass_degrees(self._wind.toward())
        for field in (self.heading, self.drift, self.set, self.wind, self.source):
            field.box.reset()
        now = setup.water.profile
        kinds = [(EVEN, UNIFORM), (FADING, PowerLaw())]
        if now not in [profile for _, profile in kinds]:
            kinds.append((OWN, now))
        self.profile.clear()
        for words, profile in kinds:
            self.profile.addItem(words, profile)
        self.profile.setCurrentIndex([profile for _, profile in kinds].index(now))
        self.profile.setEnabled(drift > 0.0 or now != UNIFORM)
        said = []
        if drift > 0.0:
            said.append(f"The current sets {against(toward - heading)}.")
        if blows > 0.0:
            said.append(f"The wind blows {against(downwind - heading)}.")
        self.relative.setText(" ".join(said) or "No current and no wind.")
        speed = self._preferences.speed
        flow = speed.text(drift) if drift > 0.0 else "none"
        both = f"{speed.from_si(drift):.1f} and {speed.text(blows, 0)}"
        self.summarize(both if blows > 0.0 else flow)

    def _setup(self) -> Setup:
        return self._document.setup

    def _set_heading(self, heading: float) -> None:
        self._change("heading", replace(self._setup(), heading=heading))

    def _profile_chosen(self, index: int) -> None:
        setup = self._document.setup
        water = replace(setup.water, profile=self.profile.itemData(index))
        self._change("current with depth", replace(setup, water=water))

    def _change(self, text: str, setup: Setup) -> None:
        self._document.change(setup, text, f"ground {text}")


class BottomFields(FoldPanel):
    """A shape to begin from, the bearing, and the points in a table."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__("Bottom")
        self._document, self._preferences = document, preferences
        self.shape = ChoiceBox()
        self.shape.setAccessibleName("Shape of the bottom")
        self.shape.addItem("Begin from a shape…", "")
        for key, words in WORDS.items():
            self.shape.addItem(words, key)
        self.shape.activated.connect(self._shape_chosen)
        self.bearing = Field("Runs along", NumberField(
            keys.BEARING, lambda: document.setup.water.bottom.bearing, self._set_bearing,
            preferences,
        ))  # fmt: skip
        self.points = QTableWidget(0, 2)
        self.points.setAccessibleName("Points of the bottom")
        manners(self.points)
        self.points.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.points.verticalHeader().hide()
        self.points.verticalHeader().setDefaultSectionSize(22)
        self.points.itemChanged.connect(self._typed)
        self.wrong = Label()
        self.wrong.setWordWrap(True)
        self.wrong.setProperty("alarm", True)
        self.wrong.hide()
        self.remove = QPushButton("Remove point")
        self.remove.setToolTip("Take the chosen point away (Delete)")
        self.remove.clicked.connect(self._remove)
        row = QHBoxLayout()
        row.addWidget(self.remove)
        row.addStretch(1)
        self.body.addWidget(self.shape)
        self.body.addWidget(self.bearing)
        self.body.addWidget(self.points, 1)
        self.body.addWidget(self.wrong)
        self.body.addLayout(row)
        document.setup_changed.connect(self.show_setup)
        preferences.units_changed.connect(self.show_setup)
        self.show_setup()

    @property
    def _unit(self) -> Unit:
        return self._preferences.length

    def show_setup(self) -> None:
        """Show the setup's bottom."""
        bottom, unit = self._document.setup.water.bottom, self._unit
        self.bearing.box.reset()
        self.bearing.box.setEnabled(not bottom.is_level)
        was = self.points.blockSignals(True)
        heads(self.points, [f"Along, {unit.symbol}", f"Depth, {unit.symbol}"], left=())
        self.points.setRowCount(len(bottom.points))
        for row, pair in enumerate(bottom.points):
            for column, value in enumerate(pair):
                item = QTableWidgetItem(f"{unit.from_si(value):.5g}")
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.points.setItem(row, column, item)
        self.points.blockSignals(was)
        self.remove.setEnabled(len(bottom.points) > 1)
        high, low = f"{unit.from_si(bottom.shallowest):.0f}", unit.text(bottom.deepest, 0)
        self.summarize(f"level, {low}" if bottom.is_level else f"{high} to {low}")
        self._say("")

    def choose(self, row: int) -> None:
        """Show which point is in hand."""
        if row >= 0:
            self.points.selectRow(row)
        else:
            self.points.clearSelection()

    def _say(self, words: str) -> None:
        self.wrong.setText(words)
        self.wrong.setVisible(bool(words))
        if words:
            self.open_up()

    def _shape_chosen(self, index: int) -> None:
        key = str(self.shape.itemData(index))
        self.shape.setCurrentIndex(0)
        if key:
            setup = self._document.setup
            depth = setup.water.bottom.points[0][1]
            self._take(shaped(key, depth, setup.heading), WORDS[key].lower())

    def _set_bearing(self, bearing: float) -> None:
        setup = self._document.setup
        bottom = replace(setup.water.bottom, bearing=bearing)
        new = replace(setup, water=replace(setup.water, bottom=bottom))
        self._document.change(new, "bearing of the bottom", "ground along")

    def _typed(self, item: QTableWidgetItem) -> None:
        bottom, row, column = self._document.setup.water.bottom, item.row(), item.column()
        try:
            value = self._unit.to_si(number(item.text().strip(), ";"))
        except ValueError as error:
            words = f"“{item.text()[:30]}” {error}."
            self.show_setup()
            self._say(words)
            return
        points = list(bottom.points)
        pair = list(points[row])
        pair[column] = value
        points[row] = (pair[0], pair[1])
        try:
            new = Bottom(tuple(points), bottom.bearing)
        except InvalidValue as error:
            self.show_setup()
            self._say(f"{error.field.capitalize()}: allowed is {error.allowed}.")
            return
        if not self._take(new, "a point of the bottom"):
            self.show_setup()

    def _remove(self) -> None:
        row = self.points.currentRow()
        if row >= 0:
            bottom = without_point(self._document.setup.water.bottom, row)
            self._take(bottom, "take away a point of the bottom")

    def _take(self, bottom: Bottom, text: str) -> bool:
        setup = self._document.setup
        water = replace(setup.water, bottom=bottom)
        return self._document.edit(replace(setup, water=water), text)


def against(degrees: float) -> str:
    """How a flow that goes ``degrees`` off the bow meets the boat."""
    off = (degrees + 180.0) % 360.0 - 180.0
    side = "port to starboard" if off > 0.0 else "starboard to port"
    if abs(off) < 15.0:
        return "with her, from astern"
    if abs(off) > 165.0:
        return "against her, from ahead"
    if abs(off) < 60.0:
        return f"from astern, {side}"
    if abs(off) > 120.0:
        return f"from ahead, {side}"
    return f"across her, {side}"
