"""The helm: gear lever, throttle, engines, hold count, mark and bottom depth.

Depends on: panel, figure, units, preferences, rehearsal, plain.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from PySide6.QtCore import QEvent, QSignalBlocker, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QCheckBox,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QSlider,
    QWidget,
)

from app.look import font
from app.preferences import Preferences
from app.rehearsal import Rehearsal
from app.units import KNOT, Unit, compass_degrees
from app.views.figure import Figure
from app.views.panel import Panel, quiet
from app.views.plain import Label, as_tip
from physics.scenario import Mark
from physics.water import Bottom

SPOKE = 0.006
"""What one step of the wheel curves the track by, 1/m: full over is a radius of 33 m."""

SPOKES = 5
"""Steps of the wheel either way."""

LEAST_SPEED, MOST_SPEED = 0.5, 20.0
"""Throttle range on the dial, kn."""


class NumberField(QDoubleSpinBox):
    """A number field that keeps Up and Down for itself while it has the focus.

    Undo goes to the window's unless there is half a number to undo.
    """

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
                event.accept()
                return True
            keys = QKeySequence.StandardKey
            if event.matches(keys.Undo) and not self.lineEdit().isUndoAvailable():
                return False
            if event.matches(keys.Redo) and not self.lineEdit().isRedoAvailable():
                return False
        return super().event(event)


def spin(
    low: float, high: float, step: float, digits: int, suffix: str, name: str
) -> QDoubleSpinBox:
    """A number field that acts when the number is finished, not at every key."""
    box = NumberField()
    box.setRange(low, high)
    box.setSingleStep(step)
    box.setDecimals(digits)
    box.setSuffix(suffix)
    box.setKeyboardTracking(False)
    box.setAccessibleName(name)
    box.setAlignment(Qt.AlignmentFlag.AlignRight)
    box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    box.setToolTip(as_tip(f"{name}: {low:g} to {high:g}{suffix}"))
    return box


class Helm(Panel):
    """Pulls what it shows from the rehearsal; gives it orders."""

    def __init__(self, rehearsal: Rehearsal, preferences: Preferences) -> None:
        super().__init__("Helm")
        self._rehearsal, self._preferences = rehearsal, preferences
        self.count = Figure(preferences, 44, "Hold")
        self.body.addWidget(self.count)
        self.plan = quiet()
        self.plan.setWordWrap(True)
        self.body.addWidget(self.plan)
        self.lever = QPushButton()
        self.lever.setObjectName("lever")
        self.lever.setFont(font(12.5, bold=True))
        self.lever.setAccessibleName("Gear lever")
        self.lever.clicked.connect(rehearsal.shift)
        self.body.addWidget(self.lever)
        self.body.addLayout(self._fields())
        self.body.addStretch(1)
        self.spread = QPushButton("Spread, boat and current…")
        self.spread.setToolTip("Choose lines, lures and where the tips are (Ctrl+E)")
        self.body.addWidget(self.spread)
        self._connect()
        self._units()
        self._setup()
        self.refresh()

    def _fields(self) -> QFormLayout:
        form = QFormLayout()
        form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.setHorizontalSpacing(10)
        form.setVerticalSpacing(5)
        self.through_water, self.over_ground, self.under = Label(), Label(), Label()
        for label, title in (
            (self.through_water, "Through the water"),
            (self.over_ground, "Over ground"),
            (self.under, "Under the sounder"),
        ):
            label.setAlignment(Qt.AlignmentFlag.AlignRight)
            label.setFont(font(10, bold=True))
            form.addRow(quiet(title), label)
        self.throttle = spin(LEAST_SPEED, MOST_SPEED, 0.5, 1, " kn", "Throttle")
        self.throttle.setToolTip("Throttle: speed the engines would hold (Up and Down keys)")
        form.addRow(quiet("Throttle"), self.throttle)
        self.engines = QPushButton()
        self.engines.setCheckable(True)
        self.engines.setAccessibleName("Engines")
        self.engines.setToolTip("Slow to one engine, as when a fish is on (E)")
        form.addRow(quiet("Engines"), self.engines)
        self.wheel = QSlider(Qt.Orientation.Horizontal)
        self.wheel.setRange(-SPOKES, SPOKES)
        self.wheel.setPageStep(1)
        self.wheel.setTickPosition(QSlider.TickPosition.TicksBelow)
        self.wheel.setTickInterval(SPOKES)
        self.wheel.setAccessibleName("Wheel")
        self.wheel.setToolTip("Wheel, port to starboard (Left and Right keys; C puts it amidships)")
        self.turning = quiet("Wheel")
        form.addRow(self.turning, self.wheel)
        self.auto_wait = QCheckBox("Auto wait")
        self.auto_wait.setToolTip("Go out of gear by itself this many seconds after a mark (W)")
        self.wait = spin(0.0, 300.0, 1.0, 1, " s", "Automatic wait")
        form.addRow(self.auto_wait, self.wait)
        self.auto = QCheckBox("Auto hold")
        self.auto.setToolTip("Go back in gear by itself after this many seconds (A)")
        self.hold = spin(0.5, 300.0, 1.0, 1, " s", "Automatic hold")
        form.addRow(self.auto, self.hold)
        self.mark = spin(1.0, 600.0, 1.0, 0, " ft", "Mark depth")
        form.addRow(quiet("Mark depth"), self.mark)
        self.bottom = spin(1.0, 600.0, 1.0, 0, " ft", "Bottom depth")
        form.addRow(quiet("Bottom depth"), self.bottom)
        for field in (self.throttle, self.engines, self.wait, self.hold, self.mark, self.bottom):
            field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        return form

    def _connect(self) -> None:
        rehearsal = self._rehearsal
        self.throttle.valueChanged.connect(lambda v: rehearsal.set_throttle(KNOT.to_si(v)))
        self.engines.toggled.connect(lambda one: rehearsal.set_engines(1 if one else 2))
        self.wheel.valueChanged.connect(lambda spokes: rehearsal.set_wheel(SPOKE * spokes))
        self.auto_wait.toggled.connect(self._wait_changed)
        self.wait.valueChanged.connect(self._wait_changed)
        self.auto.toggled.connect(self._auto_changed)
        self.hold.valueChanged.connect(self._auto_changed)
        self.mark.valueChanged.connect(self._mark_changed)
        self.bottom.valueChanged.connect(self._bottom_changed)
        rehearsal.frame.connect(self._count)
        rehearsal.figures.connect(self.refresh)
        rehearsal.helm_changed.connect(self.refresh)
        rehearsal.setup_changed.connect(self._setup)
        self._preferences.units_changed.connect(self._units)

    @property
    def _unit(self) -> Unit:
        return self._preferences.length

    # ---- from the rehearsal

    def _units(self) -> None:
        unit = self._unit
        feet = unit.symbol == "ft"
        for box, name in ((self.mark, "Mark depth"), (self.bottom, "Bottom depth")):
            with QSignalBlocker(box):
                box.setSuffix(f" {unit.symbol}")
                box.setDecimals(0 if feet else 1)
                box.setSingleStep(1.0 if feet else 0.5)
                low, high = (2.0, 600.0) if feet else (0.6, 180.0)
                box.setRange(low, high)
                box.setToolTip(as_tip(f"{name}: {low:g} to {high:g} {unit.symbol}"))
        self._setup()

    def _setup(self) -> None:
        """Show the setup's depths and hold."""
        rehearsal = self._rehearsal
        bottom = rehearsal.setup.water.bottom
        for box, value in (
            (self.mark, self._unit.from_si(rehearsal.mark_depth())),
            (self.bottom, self._unit.from_si(bottom.deepest)),
            (self.hold, rehearsal.hold_seconds),
        ):
            with QSignalBlocker(box):
                box.setValue(value)
        self.bottom.setEnabled(bottom.is_level)
        if not bottom.is_level:
            self.bottom.setToolTip("This scenario has a bottom profile; it is set in its file")
        with QSignalBlocker(self.auto):
            self.auto.setChecked(rehearsal.auto_hold)

    def _count(self) -> None:
        """The hold, running in tenths."""
        hold = self._rehearsal.hold_so_far()
        if hold is not None:
            self.count.show_figure(f"{hold:.1f}", "s hold")

    def refresh(self) -> None:
        """Everything that may change slowly."""
        rehearsal = self._rehearsal
        picture = rehearsal.picture
        hold = rehearsal.hold_so_far()
        if hold is None:
            last = rehearsal.last_hold()
            text = "0.0" if last is None else f"{last:.1f}"
            self.count.show_figure(text, "s hold" if last is None else "s last hold", dim=True)
        self._lever(picture.boat.in_gear)
        self.plan.setText(self._state())
        boat = picture.boat
        self.through_water.setText(KNOT.text(boat.speed))
        east, north = boat.velocity
        course = compass_degrees(math.atan2(east, north))
        self.over_ground.setText(f"{KNOT.text(math.hypot(east, north))} to {course:03.0f}°")
        depth = rehearsal.scenario.water.bottom.depth_at(np.array([boat.x]), np.array([boat.y]))
        self.under.setText(self._unit.text(float(depth[0]), 0))
        throttle, engines = rehearsal.throttle()
        if not self.throttle.hasFocus():
            with QSignalBlocker(self.throttle):
                self.throttle.setValue(KNOT.from_si(throttle))
        two = rehearsal.scenario.boat.engines == 2
        with QSignalBlocker(self.engines):
            self.engines.setChecked(engines == 1 and two)
        self.engines.setText("one (E)" if engines == 1 and two else ("both (E)" if two else "one"))
        under = rehearsal.under_orders
        self.engines.setEnabled(two and under)
        curvature = rehearsal.wheel()
        with QSignalBlocker(self.wheel):
            self.wheel.setValue(round(curvature / SPOKE))
        side = "port" if curvature < 0.0 else "starboard"
        radius = 0.0 if curvature == 0.0 else 1.0 / abs(curvature)
        self.turning.setText(
            "Wheel" if not curvature else f"To {side}, {self._unit.text(radius, 0)}"
        )
        self.wheel.setEnabled(under)
        helm = (self.lever, self.throttle, self.auto_wait, self.wait, self.auto, self.hold)
        for field in helm:
            field.setEnabled(under)
        for tick, on, box, seconds in (
            (self.auto_wait, rehearsal.auto_wait, self.wait, rehearsal.wait_seconds),
            (self.auto, rehearsal.auto_hold, self.hold, rehearsal.hold_seconds),
        ):
            with QSignalBlocker(tick), QSignalBlocker(box):
                tick.setChecked(on)
                if not box.hasFocus():
                    box.setValue(seconds)

    def _lever(self, in_gear: bool) -> None:
        text = "Out of gear  (Space)" if in_gear else "Go in gear  (Space)"
        if self.lever.text() != text:
            self.lever.setText(text)
            self.lever.setProperty("out", not in_gear)
            self.lever.style().unpolish(self.lever)
            self.lever.style().polish(self.lever)
            self.title.setText("Helm: in gear" if in_gear else "Helm: out of gear")

    def _state(self) -> str:
        rehearsal = self._rehearsal
        if rehearsal.settling:
            return "finding the steady tow…"
        if not rehearsal.under_orders:
            return "the boat follows the motion in the file"
        boat = rehearsal.picture.boat
        throttle, engines = rehearsal.throttle()
        hold = rehearsal.hold_so_far()
        if hold is not None:
            if rehearsal.auto_hold:
                left = max(rehearsal.hold_seconds - hold, 0.0)
                return f"in gear by itself in {left:.0f} s"
            return "in gear when you say"
        due = rehearsal.wait_ends()
        if due is not None and due > rehearsal.now:
            return f"out of gear by itself in {due - rehearsal.now:.0f} s"
        share = rehearsal.scenario.boat.one_engine if engines == 1 else 1.0
        goal = throttle * (share if rehearsal.scenario.boat.engines == 2 else 1.0)
        if boat.set_speed < 0.98 * goal:
            return "shifting, then throttle coming up"
        if boat.speed < 0.97 * goal:
            return "gathering way"
        return "steady"

    # ---- to the rehearsal

    def _wait_changed(self) -> None:
        self._rehearsal.set_auto_wait(self.auto_wait.isChecked(), self.wait.value())

    def _auto_changed(self) -> None:
        self._rehearsal.set_auto_hold(self.auto.isChecked(), self.hold.value())

    def _mark_changed(self, value: float) -> None:
        setup = self._rehearsal.setup
        depth = self._unit.to_si(value)
        mark = replace(setup.mark, depth=depth) if setup.mark else Mark(depth, time=10.0)
        if not self._rehearsal.edit(replace(setup, mark=mark), "mark depth", "mark"):
            self._setup()

    def _bottom_changed(self, value: float) -> None:
        setup = self._rehearsal.setup
        depth = self._unit.to_si(value)
        water = replace(setup.water, bottom=Bottom.level(depth))
        mark = setup.mark
        if mark is not None and mark.depth > depth:
            mark = replace(mark, depth=depth)
        if not self._rehearsal.edit(
            replace(setup, water=water, mark=mark), "bottom depth", "bottom"
        ):
            self._setup()

    def step_throttle(self, knots: float) -> None:
        """Up and Down keys."""
        if self.throttle.isEnabled():
            self.throttle.setValue(self.throttle.value() + knots)

    def step_wheel(self, spokes: int) -> None:
        """Left and Right keys; C is amidships (0)."""
        if self.wheel.isEnabled() and spokes:
            self.wheel.setValue(self.wheel.value() + spokes)
        elif self.wheel.isEnabled():
            # the slider may stand amidships already on a straight leg of a course
            self._rehearsal.set_wheel(0.0)

    def tidy_focus(self, home: QWidget) -> None:
        """Enter in a number field gives the keys back to ``home``."""
        for box in (self.throttle, self.wait, self.hold, self.mark, self.bottom):
            box.lineEdit().returnPressed.connect(home.setFocus)


def speed_row(rehearsal: Rehearsal) -> QHBoxLayout:
    """Buttons for how fast time runs."""
    row = QHBoxLayout()
    row.setSpacing(4)
    for times in (1, 2, 4, 8):
        button = QPushButton(f"{times}x")
        button.setCheckable(True)
        button.setAccessibleName(f"Speed {times} times")
        button.setToolTip(as_tip(f"Run {times} times as fast as life (key {times})"))
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.clicked.connect(lambda _, n=times: rehearsal.set_speed(n))

        def show(button: QPushButton = button, times: int = times) -> None:
            button.setChecked(rehearsal.clock.speed == times)

        rehearsal.helm_changed.connect(show)
        show()
        row.addWidget(button)
    return row
