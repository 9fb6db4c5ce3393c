"""Current, wind and the shape of the bottom, as fields; the setup's, and undoable.

Depends on: fold, ground_shapes, helm (number fields), panel, plan_fields (fields), preferences,
rehearsal, units, plain; physics.checks, physics.current, physics.water.
"""

from __future__ import annotations

import math
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
)

from app.ground_shapes import WORDS, shaped, without_point
from app.measured_file import number
from app.preferences import Preferences
from app.rehearsal import Rehearsal
from app.units import DEGREE, KNOT, Unit, compass_degrees
from app.views.fold import FoldPanel
from app.views.helm import spin
from app.views.panel import quiet
from app.views.plain import Label
from app.views.plan_fields import Field
from physics.checks import Unusable
from physics.current import UNIFORM, PowerLaw
from physics.water import Bottom

EVEN, FADING = "the same at every depth", "fading toward the bottom"
OWN = "with depth as in the file"
"""How the current changes with depth, in words."""


class WaterFields(FoldPanel):
    """The set and drift of the current, the wind, and the boat's heading."""

    def __init__(self, rehearsal: Rehearsal, preferences: Preferences) -> None:
        super().__init__("Current and wind")
        self._rehearsal = rehearsal
        self.heading = Field("Boat heads", spin(0.0, 359.0, 5.0, 0, "°", "Boat heads"))
        self.drift = Field("Current runs", spin(0.0, 8.0, 0.1, 2, " kn", "Current runs"))
        self.set = Field("and sets toward", spin(0.0, 359.0, 10.0, 0, "°", "Sets toward"))
        self.wind = Field("Wind blows", spin(0.0, 40.0, 1.0, 0, " kn", "Wind blows"))
        self.source = Field("from", spin(0.0, 359.0, 10.0, 0, "°", "Wind from"))
        self.profile = QComboBox()
        self.profile.setAccessibleName("How the current changes with depth")
        self.profile.setToolTip("Along a bed the current fades toward the bottom; 1/7 is usual")
        self.profile.activated.connect(self._profile_chosen)
        for field in (self.heading, self.drift, self.set):
            self.body.addWidget(field)
        self.body.addWidget(self.profile)
        for field in (self.wind, self.source):
            self.body.addWidget(field)
        for field in (self.heading, self.set, self.source):
            field.box.setWrapping(True)
        self.relative = quiet()
        self.relative.setWordWrap(True)
        self.body.addWidget(self.relative)
        self.heading.box.valueChanged.connect(self._heading_changed)
        self.drift.box.valueChanged.connect(self._current_changed)
        self.set.box.valueChanged.connect(self._current_changed)
        self.wind.box.valueChanged.connect(self._wind_changed)
        self.source.box.valueChanged.connect(self._wind_changed)
        rehearsal.setup_changed.connect(self.show_setup)
        preferences.units_changed.connect(self.show_setup)
        self.show_setup()

    def show_setup(self) -> None:
        """Show the setup on screen; a direction without a speed stays as it was put."""
        setup = self._rehearsal.setup
        heading = compass_degrees(setup.heading)
        drift, toward = _polar(setup.water.current)
        blows, downwind = _polar(setup.water.wind)
        values = [(self.heading, heading), (self.drift, KNOT.from_si(drift)),
                  (self.wind, KNOT.from_si(blows))]  # fmt: skip
        if drift > 0.0:
            values.append((self.set, toward))
        if blows > 0.0:
            values.append((self.source, (downwind + 180.0) % 360.0))
        for field, value in values:
            with QSignalBlocker(field.box):
                field.box.setValue(round(value) % 360 if "°" in field.box.suffix() else value)
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
        flow = KNOT.text(drift) if drift > 0.0 else "none"
        both = f"{KNOT.from_si(drift):.1f} and {KNOT.text(blows, 0)}"
        self.summarize(both if blows > 0.0 else flow)

    def _heading_changed(self, degrees: float) -> None:
        setup = self._rehearsal.setup
        self._edit(replace(setup, heading=DEGREE.to_si(degrees)), "heading")

    def _current_changed(self) -> None:
        flow = _vector(KNOT.to_si(self.drift.box.value()), self.set.box.value())
        self._edit_water(current=flow, text="current")

    def _profile_chosen(self, index: int) -> None:
        setup = self._rehearsal.setup
        water = replace(setup.water, profile=self.profile.itemData(index))
        self._edit(replace(setup, water=water), "current with depth")

    def _wind_changed(self) -> None:
        flow = _vector(KNOT.to_si(self.wind.box.value()), self.source.box.value() + 180.0)
        self._edit_water(wind=flow, text="wind")

    def _edit_water(self, text: str, **changes: tuple[float, float]) -> None:
        setup = self._rehearsal.setup
        water = replace(setup.water, **changes)  # type: ignore[arg-type]
        self._edit(replace(setup, water=water), text)

    def _edit(self, setup: object, text: str) -> None:
        self._rehearsal.edit(setup, text, f"ground {text}")  # type: ignore[arg-type]


class BottomFields(FoldPanel):
    """A shape to begin from, the bearing, and the points in a table."""

    def __init__(self, rehearsal: Rehearsal, preferences: Preferences) -> None:
        super().__init__("Bottom")
        self._rehearsal, self._preferences = rehearsal, preferences
        self.shape = QComboBox()
        self.shape.setAccessibleName("Shape of the bottom")
        self.shape.addItem("Begin from a shape…", "")
        for key, words in WORDS.items():
            self.shape.addItem(words, key)
        self.shape.activated.connect(self._shape_chosen)
        self.bearing = Field("Runs along", spin(0.0, 359.0, 5.0, 0, "°", "Bottom runs along"))
        self.bearing.box.setWrapping(True)
        self.bearing.box.valueChanged.connect(self._bearing_changed)
        self.points = QTableWidget(0, 2)
        self.points.setAccessibleName("Points of the bottom")
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
        rehearsal.setup_changed.connect(self.show_setup)
        preferences.units_changed.connect(self.show_setup)
        self.show_setup()

    @property
    def _unit(self) -> Unit:
        return self._preferences.length

    def show_setup(self) -> None:
        """Show the setup's bottom."""
        bottom, unit = self._rehearsal.setup.water.bottom, self._unit
        with QSignalBlocker(self.bearing.box):
            self.bearing.box.setValue(round(compass_degrees(bottom.bearing)) % 360)
        self.bearing.box.setEnabled(not bottom.is_level)
        was = self.points.blockSignals(True)
        self.points.setHorizontalHeaderLabels([f"along, {unit.symbol}", f"depth, {unit.symbol}"])
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
            setup = self._rehearsal.setup
            depth = setup.water.bottom.points[0][1]
            self._take(shaped(key, depth, setup.heading), WORDS[key].lower())

    def _bearing_changed(self, degrees: float) -> None:
        bottom = self._rehearsal.setup.water.bottom
        self._take(replace(bottom, bearing=DEGREE.to_si(degrees)), "bearing of the bottom", "along")

    def _typed(self, item: QTableWidgetItem) -> None:
        bottom, row, column = self._rehearsal.setup.water.bottom, item.row(), item.column()
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
        except Unusable as error:
            self.show_setup()
            self._say(f"{error.field.capitalize()}: allowed is {error.allowed}.")
            return
        if not self._take(new, "a point of the bottom"):
            self.show_setup()

    def _remove(self) -> None:
        row = self.points.currentRow()
        if row >= 0:
            bottom = without_point(self._rehearsal.setup.water.bottom, row)
            self._take(bottom, "take away a point of the bottom")

    def _take(self, bottom: Bottom, text: str, key: str = "") -> bool:
        setup = self._rehearsal.setup
        water = replace(setup.water, bottom=bottom)
        return self._rehearsal.edit(replace(setup, water=water), text, key and f"ground {key}")


def _polar(flow: tuple[float, float]) -> tuple[float, float]:
    """Speed m/s and the way a flow goes, degrees."""
    return math.hypot(*flow), compass_degrees(math.atan2(*flow))


def _vector(speed: float, degrees: float) -> tuple[float, float]:
    toward = DEGREE.to_si(degrees)
    return speed * math.sin(toward), speed * math.cos(toward)


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
