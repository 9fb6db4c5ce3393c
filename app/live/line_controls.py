"""Line in and out, and a fish on: a row of controls a line, given to the live drop."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QGridLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.common.quantities import Quantity
from app.common.units import COLOR, FOOT, FOOT_PER_SECOND
from app.live.readout import out_words
from app.scenario import keys
from app.session.live_run import LiveRun
from app.ui.look import text_scale
from app.ui.number_field import NumberField, Refusal, all_taken
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.scroll import Scroll
from app.ui.steps import GAP, SNUG, TIGHT
from app.ui.tables import symbol_icon
from app.ui.text_size import enlarge
from physics.answers.fights import USUAL_FISH
from physics.line.line_orders import LINE_OUT
from physics.line.paying import stopped

USUAL_RATE = FOOT_PER_SECOND.to_si(2.0)
"""Line comes in and goes out this fast unless told otherwise, m/s (common practice, no source)."""

NAME_WIDTH = 104
"""Most px a line's name takes; the whole of it is in the tip."""

FIRST_OUT, FIRST_DEPTH = COLOR.to_si(5.0), FOOT.to_si(10.0)
"""Offered before anything else is known; SI."""

HEADS = ("Line", "Now", "Line to", "at", "", "A fish of", "", "Its end to", "at", "")


class LineControls(QWidget):
    """A row for every line of the spread, or for the one line ``only``."""

    def __init__(
        self, live_run: LiveRun, preferences: Preferences, only: int | None = None
    ) -> None:
        super().__init__()
        self._live_run, self._preferences, self._only = live_run, preferences, only
        self.rows: list[LineRow] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(SNUG)
        self._grid.setVerticalSpacing(TIGHT)
        for column, text in enumerate(HEADS):
            self._grid.addWidget(quiet(text), 0, column)
        self._grid.setColumnStretch(0, 1)
        self._grid.setColumnStretch(1, 1)
        live_run.restarted.connect(self._again)
        live_run.figures.connect(self.read)
        live_run.helm_changed.connect(self.read)
        preferences.look_changed.connect(self._look)
        self._make()

    def _make(self) -> None:
        rods = self._live_run.scenario.rods
        wanted = [k for k in range(len(rods)) if self._only in (None, k)]
        while len(self.rows) > len(wanted):
            self.rows.pop().remove()
        while len(self.rows) < len(wanted):
            number = wanted[len(self.rows)]
            row = LineRow(number, self._live_run, self._preferences, self)
            self.rows.append(row)
            for column, widget in enumerate(row.widgets()):
                self._grid.addWidget(widget, 2 * number + 1, column)
            self._grid.addWidget(row.refusal, 2 * number + 2, 0, 1, len(HEADS))
        self._grid.setRowStretch(2 * len(rods) + 1, 1)
        for row in self.rows:
            row.begin()
        self._look()
        self.read()

    def _again(self) -> None:
        """Another spread: lines that are new come after the page was made to fit the text."""
        known = len(self.rows)
        self._make()
        for row in self.rows[known:]:
            for widget in row.widgets():
                enlarge(widget, text_scale())

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
        self, number: int, live_run: LiveRun, preferences: Preferences, parent: QWidget
    ) -> None:
        self.number = number
        self._live_run, self._preferences = live_run, preferences
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
        self.now.setContentsMargins(SNUG, 0, 0, 0)
        self._si = dict.fromkeys(("rate", "swim"), USUAL_RATE)
        self._si |= {"out": FIRST_OUT, "mass": USUAL_FISH, "depth": FIRST_DEPTH}
        self.out = self._number("out", keys.ORDERED_OUT)
        self.rate = self._number("rate", keys.RATE)
        self.mass = self._number("mass", keys.FISH)
        self.depth = self._number("depth", keys.FISH_DEPTH)
        self.swim = self._number("swim", keys.FISH_RATE)
        self.go = QPushButton("Go")
        self.stop = QPushButton("Stop")
        self.hook = QPushButton("Fish on")
        self.dive = QPushButton("Swim")
        self.go.setToolTip("Wind in, or pay out, to that much line")
        self.stop.setToolTip("Hold the line that is out")
        self.hook.setToolTip("A fish is hooked on this line, or is lost")
        self.dive.setToolTip("The hooked fish takes its end up or down to that depth, and stays")
        self.refusal = Refusal(*self._numbers)
        for box in self._numbers:
            box.setFixedWidth(90 if box is self.out else 72)
        for button in self._buttons():
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.go.clicked.connect(self._go)
        self.stop.clicked.connect(self._stop)
        self.hook.clicked.connect(self._hook)
        self.dive.clicked.connect(self._dive)
        self._both = QWidget(parent)
        both = QGridLayout(self._both)
        both.setContentsMargins(0, 0, GAP, 0)
        both.setSpacing(TIGHT)
        both.addWidget(self.go, 0, 0)
        both.addWidget(self.stop, 0, 1)

    @property
    def _numbers(self) -> tuple[NumberField, ...]:
        return self.out, self.rate, self.mass, self.depth, self.swim

    def _number(self, key: str, quantity: Quantity) -> NumberField:
        """A field for a number that is given with an order: nothing keeps it but the row."""
        return NumberField(
            quantity, lambda: self._si[key], partial(self._si.__setitem__, key), self._preferences
        )

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
        for widget in (*self.widgets(), self.refusal):
            widget.hide()
            widget.deleteLater()

    @property
    def rod(self) -> str:
        """The line's name."""
        return self._live_run.scenario.rods[self.number].name

    def begin(self) -> None:
        """The tow began again: what is out is what is offered."""
        self._si["out"] = float(self._live_run.picture.out[self.number])
        self.out.reset()
        metrics = self._name.fontMetrics()
        self._name.setText(metrics.elidedText(self.rod, Qt.TextElideMode.ElideMiddle, NAME_WIDTH))
        self._name.setMinimumWidth(min(metrics.horizontalAdvance(self.rod), NAME_WIDTH) + 2)
        self._name.setToolTip(as_tip(self.rod))
        for box in self._numbers:
            what = box.accessibleName().partition(" of ")[0].split(", ")[-1]
            box.setAccessibleName(f"{self.rod}, {what}")
        for button, what in ((self.go, "go"), (self.stop, "stop"), (self.dive, "swim")):
            button.setAccessibleName(f"{self.rod}, {what}")

    def read(self) -> None:
        """What is out now."""
        picture = self._live_run.picture
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
        if all_taken(self.out, self.rate):
            out, rate = self._si["out"], self._si["rate"]
            self._live_run.order_line(self.rod, "line to", out, rate)

    def _stop(self) -> None:
        picture = self._live_run.picture
        out, going = float(picture.out[self.number]), float(picture.going[self.number])
        rest = max(stopped(out, going), LINE_OUT.low)
        self._live_run.order_line(self.rod, "line to", rest, self._si["rate"])

    def _hook(self) -> None:
        if self._live_run.picture.fish[self.number]:
            self._live_run.order_line(self.rod, "fish off")
        elif all_taken(self.mass):
            self._live_run.order_line(self.rod, "fish on", self._si["mass"])

    def _dive(self) -> None:
        if all_taken(self.depth, self.swim):
            depth, rate = self._si["depth"], self._si["swim"]
            self._live_run.order_line(self.rod, "fish end to", depth, rate)


class HandlingPanel(QWidget):
    """Every line's controls, scrolled where there is little room."""

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__()
        self.controls = LineControls(live_run, preferences)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(Scroll(self.controls))
