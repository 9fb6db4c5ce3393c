"""Line in and out, and a fish on: a row of controls a line, given to the live drop.

Depends on: helm (number fields), panel, plan_tables (symbols), preferences, readout, rehearsal,
units, plain; physics.line_orders, physics.paying.
"""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtWidgets import (
    QDoubleSpinBox,
    QGridLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.preferences import Preferences
from app.readout import out_words
from app.rehearsal import Rehearsal
from app.setup import MOST_LINE_OUT
from app.units import COLOR, FOOT_PER_SECOND, KILOGRAM, POUND, Unit
from app.views.helm import spin
from app.views.panel import quiet
from app.views.plain import Label, as_tip
from app.views.plan_tables import symbol_icon
from physics.line_orders import FASTEST_FISH, FASTEST_LINE, LEAST_OUT
from physics.paying import stopped

USUAL_RATE = FOOT_PER_SECOND.to_si(2.0)
"""Line comes in and goes out this fast unless told otherwise, m/s (common practice, no source)."""

NAME_WIDTH = 104
"""Most px a line's name takes; the whole of it is in the tip."""

USUAL_FISH = POUND.to_si(10.0)

HEADS = ("Line", "Now", "Line to", "at", "", "A fish of", "", "Its end to", "at", "")


class LineControls(QWidget):
    """A row for every line of the spread, or for the one line ``only``."""

    def __init__(
        self, rehearsal: Rehearsal, preferences: Preferences, only: int | None = None
    ) -> None:
        super().__init__()
        self._rehearsal, self._preferences, self._only = rehearsal, preferences, only
        self.rows: list[LineRow] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(6)
        self._grid.setVerticalSpacing(4)
        for column, text in enumerate(HEADS):
            self._grid.addWidget(quiet(text), 0, column)
        self._grid.setColumnStretch(0, 1)
        self._grid.setColumnStretch(1, 1)
        rehearsal.restarted.connect(self._make)
        rehearsal.figures.connect(self.read)
        rehearsal.helm_changed.connect(self.read)
        preferences.units_changed.connect(self._units)
        preferences.look_changed.connect(self._look)
        self._make()

    def _make(self) -> None:
        rods = self._rehearsal.scenario.rods
        wanted = [k for k in range(len(rods)) if self._only in (None, k)]
        while len(self.rows) > len(wanted):
            self.rows.pop().remove()
        while len(self.rows) < len(wanted):
            number = wanted[len(self.rows)]
            row = LineRow(number, self._rehearsal, self._preferences, self)
            self.rows.append(row)
            for column, widget in enumerate(row.widgets()):
                self._grid.addWidget(widget, number + 1, column)
        self._grid.setRowStretch(len(rods) + 1, 1)
        for row in self.rows:
            row.begin()
        self._units()
        self._look()
        self.read()

    def _units(self) -> None:
        for row in self.rows:
            row.show_units()

    def _look(self) -> None:
        for row in self.rows:
            row.symbol.setPixmap(
                symbol_icon(row.number, self._preferences.look).pixmap(QSize(14, 14))
            )

    def read(self) -> None:
        """Show how much line is out now, and what may be ordered."""
        for row in self.rows:
            row.read()


class LineRow:
    """The controls of one line; the layout that shows them owns its widgets."""

    def __init__(
        self, number: int, rehearsal: Rehearsal, preferences: Preferences, parent: QWidget
    ) -> None:
        self.number = number
        self._rehearsal, self._preferences = rehearsal, preferences
        self.symbol = Label(parent=parent)
        self.name = QWidget(parent)
        self._name = Label()
        naming = QGridLayout(self.name)
        naming.setContentsMargins(0, 0, 0, 0)
        naming.addWidget(self.symbol, 0, 0)
        naming.addWidget(self._name, 0, 1)
        naming.setColumnStretch(1, 1)
        self.now = Label(parent=parent)
        self.now.setMinimumWidth(136)
        self.now.setContentsMargins(6, 0, 0, 0)
        self.out = spin(0.1, COLOR.from_si(MOST_LINE_OUT), 0.5, 1, " colors", "Line to")
        self.rate = spin(0.1, 1.0, 0.5, 1, "", "Line in or out at")
        self.go = QPushButton("Go")
        self.stop = QPushButton("Stop")
        self.mass = spin(0.5, 500.0, 1.0, 1, "", "Weight of the fish")
        self.hook = QPushButton("Fish on")
        self.depth = spin(0.0, 1000.0, 1.0, 0, "", "The fish's end swims to")
        self.swim = spin(0.1, 1.0, 0.5, 1, "", "The fish swims at")
        self.dive = QPushButton("Swim")
        self.go.setToolTip("Wind in, or pay out, to that much line")
        self.stop.setToolTip("Hold the line that is out")
        self.hook.setToolTip("A fish is hooked on this line, or is lost")
        self.dive.setToolTip("The hooked fish takes its end up or down to that depth, and stays")
        for box in (self.out, self.rate, self.mass, self.depth, self.swim):
            box.setFixedWidth(90 if box is self.out else 72)
        for button in self._buttons():
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.go.clicked.connect(self._go)
        self.stop.clicked.connect(self._stop)
        self.hook.clicked.connect(self._hook)
        self.dive.clicked.connect(self._dive)
        self._both = QWidget(parent)
        both = QGridLayout(self._both)
        both.setContentsMargins(0, 0, 8, 0)
        both.setSpacing(4)
        both.addWidget(self.go, 0, 0)
        both.addWidget(self.stop, 0, 1)
        self._si = {self.rate: USUAL_RATE, self.mass: USUAL_FISH, self.swim: USUAL_RATE,
                    self.depth: 3.0}  # fmt: skip
        for box in self._si:
            box.valueChanged.connect(partial(self._taken, box))

    def _buttons(self) -> tuple[QPushButton, ...]:
        return self.go, self.stop, self.hook, self.dive

    def widgets(self) -> tuple[QWidget, ...]:
        """One a column of HEADS."""
        return (
            self.name, self.now, self.out, self.rate, self._both, self.mass, self.hook,
            self.depth, self.swim, self.dive,
        )  # fmt: skip

    def remove(self) -> None:
        """Take the row's widgets away."""
        for widget in self.widgets():
            widget.hide()
            widget.deleteLater()

    @property
    def rod(self) -> str:
        """The line's name."""
        return self._rehearsal.scenario.rods[self.number].name

    def begin(self) -> None:
        """The tow began again: what is out is what is offered."""
        self.out.setValue(COLOR.from_si(float(self._rehearsal.picture.out[self.number])))
        metrics = self._name.fontMetrics()
        self._name.setText(metrics.elidedText(self.rod, Qt.TextElideMode.ElideMiddle, NAME_WIDTH))
        self._name.setMinimumWidth(min(metrics.horizontalAdvance(self.rod), NAME_WIDTH) + 2)
        self._name.setToolTip(as_tip(self.rod))
        for box in (self.out, self.rate, self.mass, self.depth, self.swim):
            what = box.accessibleName().partition(" of ")[0].split(", ")[-1]
            box.setAccessibleName(f"{self.rod}, {what}")
        for button, what in ((self.go, "go"), (self.stop, "stop"), (self.dive, "swim")):
            button.setAccessibleName(f"{self.rod}, {what}")

    def _unit_of(self, box: QDoubleSpinBox) -> tuple[Unit, float]:
        """A field's unit, and the most that may stand in it, SI."""
        preferences = self._preferences
        feet = preferences.length_name == "feet"
        if box is self.mass:
            return (POUND if feet else KILOGRAM), 200.0
        if box is self.depth:
            return preferences.length, 300.0
        return preferences.rate, FASTEST_LINE if box is self.rate else FASTEST_FISH

    def show_units(self) -> None:
        """Show every number in the unit preferred."""
        for box, value in self._si.items():
            unit, most = self._unit_of(box)
            with QSignalBlocker(box):
                box.setRange(0.0 if box is self.depth else 0.1, unit.from_si(most))
                box.setSuffix(f" {unit.symbol}")
                box.setValue(unit.from_si(value))

    def _taken(self, box: QDoubleSpinBox, shown: float) -> None:
        self._si[box] = self._unit_of(box)[0].to_si(shown)

    def read(self) -> None:
        """What is out now."""
        picture = self._rehearsal.picture
        if self.number >= len(picture.out):
            return
        words = out_words(picture, self.number)
        if words != self.now.text():
            self.now.setText(words)
        fish = bool(picture.fish[self.number])
        self.hook.setText("Fish off" if fish else "Fish on")
        self.hook.setAccessibleName(f"{self.rod}, {self.hook.text().lower()}")
        self.dive.setEnabled(fish)
        self.stop.setEnabled(bool(picture.going[self.number]))

    def _go(self) -> None:
        self._rehearsal.order_line(
            self.rod, "line to", COLOR.to_si(self.out.value()), self._si[self.rate]
        )

    def _stop(self) -> None:
        picture = self._rehearsal.picture
        out, going = float(picture.out[self.number]), float(picture.going[self.number])
        rest = max(stopped(out, going), LEAST_OUT)
        self._rehearsal.order_line(self.rod, "line to", rest, self._si[self.rate])

    def _hook(self) -> None:
        if self._rehearsal.picture.fish[self.number]:
            self._rehearsal.order_line(self.rod, "fish off")
        else:
            self._rehearsal.order_line(self.rod, "fish on", self._si[self.mass])

    def _dive(self) -> None:
        self._rehearsal.order_line(
            self.rod, "fish end to", self._si[self.depth], self._si[self.swim]
        )


class HandlingPanel(QWidget):
    """Every line's controls, scrolled where there is little room."""

    def __init__(self, rehearsal: Rehearsal, preferences: Preferences) -> None:
        super().__init__()
        self.controls = LineControls(rehearsal, preferences)
        scroll = QScrollArea()
        scroll.setWidget(self.controls)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.viewport().setAutoFillBackground(False)
        self.controls.setAutoFillBackground(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scroll)
