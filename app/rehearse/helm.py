"""The helm: gear lever, throttle, engines, hold count, mark and bottom depth."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QSlider,
    QWidget,
)

from app.common.units import Unit, compass_degrees
from app.live.readout import depth_off_bottom
from app.scenario import keys
from app.scenario.limits import WAIT
from app.scenario.setup import bottom_limits, mark_limits, with_bottom
from app.session.live_run import LiveRun
from app.ui.figure import Figure
from app.ui.look import font
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BODY, GAP, GREAT, HEAD, TIGHT
from app.ui.wheel_needs_focus import Slider
from physics.simulation.scenario import Mark

SPOKE = 0.006
"""What one step of the wheel curves the track by, 1/m: full over is a radius of 33 m."""

SPOKES = 5
"""Steps of the wheel either way."""


class Helm(Panel):
    """Pulls what it shows from the live run; gives it orders."""

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__("Helm")
        self.body.setSpacing(TIGHT)
        self._live_run, self._preferences = live_run, preferences
        self._document = live_run.document
        self.count = Figure(preferences, GREAT, "What comes next", "what comes next")
        self.low = Figure(preferences, GREAT, "Lowest lure, off bottom", "lowest lure")
        self.body.addWidget(self.count)
        self.body.addWidget(self.low)
        self.plan = quiet()
        self.plan.setWordWrap(True)
        self.body.addWidget(self.plan)
        self.lever = QPushButton()
        self.lever.setObjectName("lever")
        self.lever.setFont(font(HEAD, bold=True))
        self.lever.setAccessibleName("Gear lever")
        self.lever.clicked.connect(live_run.shift)
        self.body.addWidget(self.lever)
        self.body.addLayout(self._fields())
        self.body.addStretch(1)
        self.spread = QPushButton("Spread, boat and current…")
        self.spread.setToolTip("Choose lines, lures and where the tips are (Ctrl+E)")
        self.body.addWidget(self.spread)
        self._connect()
        self._setup()
        self.refresh()

    def _fields(self) -> QFormLayout:
        form = QFormLayout()
        form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.setHorizontalSpacing(GAP)
        form.setVerticalSpacing(TIGHT)
        self.through_water, self.over_ground, self.under = Label(), Label(), Label()
        for label, title in (
            (self.through_water, "Through the water"),
            (self.over_ground, "Over ground"),
            (self.under, "Under the sounder"),
        ):
            label.setAlignment(Qt.AlignmentFlag.AlignRight)
            label.setFont(font(BODY, bold=True))
            form.addRow(quiet(title), label)
        self._numbers()
        form.addRow(quiet("Throttle"), self.throttle)
        form.addRow(Refusal(self.throttle))
        self.engines = QPushButton()
        self.engines.setCheckable(True)
        self.engines.setAccessibleName("Engines")
        self.engines.setToolTip("Slow to one engine, as when a fish is on (E)")
        form.addRow(quiet("Engines"), self.engines)
        self.wheel = Slider()
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
        form.addRow(self.auto_wait, self.wait)
        form.addRow(Refusal(self.wait))
        self.auto = QCheckBox("Auto hold")
        self.auto.setToolTip("Go back in gear by itself after this many seconds (A)")
        form.addRow(self.auto, self.hold)
        form.addRow(Refusal(self.hold))
        for words, number in (("Mark depth", self.mark), ("Bottom depth", self.bottom)):
            form.addRow(quiet(words), number)
            form.addRow(Refusal(number))
        for field in (self.throttle, self.engines, self.wait, self.hold, self.mark, self.bottom):
            field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        return form

    def _numbers(self) -> None:
        live_run, preferences = self._live_run, self._preferences
        self.throttle = NumberField(
            keys.HELM_SPEED, lambda: live_run.throttle()[0], live_run.set_throttle, preferences,
            "Throttle", limits=lambda: live_run.throttles,
            help="Throttle: speed the engines would hold (Up and Down keys)",
        )  # fmt: skip
        self.wait = NumberField(
            WAIT, lambda: live_run.auto_wait.seconds,
            lambda seconds: live_run.auto_wait.set(live_run.auto_wait.on, seconds), preferences,
            "Automatic wait",
        )  # fmt: skip
        self.hold = NumberField(
            keys.HOLD, lambda: live_run.auto_hold.seconds,
            lambda seconds: live_run.auto_hold.set(live_run.auto_hold.on, seconds), preferences,
            "Automatic hold",
        )  # fmt: skip
        self.mark = NumberField(
            keys.MARK_DEPTH, self._document.mark_depth, self._set_mark, preferences,
            limits=lambda: mark_limits(self._document.setup), reason="no deeper than the bottom",
        )  # fmt: skip
        self.bottom = NumberField(
            keys.BOTTOM, lambda: self._document.setup.water.bottom.deepest, self._set_bottom,
            preferences, limits=lambda: bottom_limits(self._document.setup),
            reason="no shallower than the mark",
        )  # fmt: skip

    def _connect(self) -> None:
        live_run = self._live_run
        self.engines.toggled.connect(lambda one: live_run.set_engines(1 if one else 2))
        self.wheel.valueChanged.connect(lambda spokes: live_run.set_wheel(SPOKE * spokes))
        self.auto_wait.toggled.connect(
            lambda on: live_run.auto_wait.set(on, live_run.auto_wait.seconds)
        )
        self.auto.toggled.connect(lambda on: live_run.auto_hold.set(on, live_run.auto_hold.seconds))
        live_run.frame.connect(self._count)
        live_run.figures.connect(self.refresh)
        live_run.helm_changed.connect(self.refresh)
        self._document.setup_changed.connect(self._setup)
        self._preferences.units_changed.connect(self._setup)
        self._preferences.units_changed.connect(self.refresh)

    @property
    def _unit(self) -> Unit:
        return self._preferences.length

    # ---- from the live run

    def _setup(self) -> None:
        """Show the setup's depths, wait and hold."""
        for field in (self.mark, self.bottom, self.wait, self.hold):
            field.reset()
        level = self._document.setup.water.bottom.is_level
        self.bottom.setEnabled(level)
        if not level:
            self.bottom.setToolTip("This scenario has a bottom profile; it is set in its file")
        self._ticks()

    def _ticks(self) -> None:
        live_run = self._live_run
        for tick, on in (
            (self.auto_wait, live_run.auto_wait.on),
            (self.auto, live_run.auto_hold.on),
        ):
            with QSignalBlocker(tick):
                tick.setChecked(on)

    def _count(self) -> None:
        """What comes next: the boat in or out of gear by itself, or the hold in tenths."""
        live_run = self._live_run
        hold, due = live_run.hold_so_far(), live_run.wait_ends()
        if hold is not None and live_run.auto_hold.on:
            left = max(live_run.auto_hold.seconds - hold, 0.0)
            self.count.show_figure(f"{left:.0f}", "s, then in gear")
        elif hold is not None:
            self.count.show_figure(f"{hold:.1f}", "s out of gear")
        elif due is not None and due > live_run.now:
            self.count.show_figure(f"{due - live_run.now:.0f}", "s, then out of gear")
        else:
            self.count.show_figure("In gear", "", dim=True)

    def _lowest(self) -> None:
        """The height of the lure that is nearest the bottom, and whose it is."""
        picture, unit = self._live_run.picture, self._unit
        heights = [depth_off_bottom(picture, number) for number in range(len(picture.rods))]
        low = min(range(len(heights)), key=heights.__getitem__)
        words = f"{unit.symbol} off, {picture.rods[low].name}"
        self.low.show_figure(f"{unit.from_si(heights[low]):.1f}", words)

    def refresh(self) -> None:
        """Everything that may change slowly."""
        live_run = self._live_run
        picture = live_run.picture
        self._count()
        self._lowest()
        self._lever(picture.boat.in_gear)
        last = live_run.last_hold()
        over = last is not None and live_run.hold_so_far() is None
        self.right.setText(f"last hold {last:.1f} s" if over else "")
        self.plan.setText(self._state())
        boat = picture.boat
        self.through_water.setText(self._preferences.speed.text(boat.speed))
        east, north = boat.velocity
        course = compass_degrees(math.atan2(east, north))
        made_good = self._preferences.speed.text(math.hypot(east, north))
        self.over_ground.setText(f"{made_good} to {course:03.0f}°")
        depth = live_run.scenario.water.bottom.depth_at(np.array([boat.x]), np.array([boat.y]))
        self.under.setText(self._unit.text(float(depth[0]), 0))
        engines = live_run.throttle()[1]
        two = live_run.scenario.boat.engines == 2
        with QSignalBlocker(self.engines):
            self.engines.setChecked(engines == 1 and two)
        self.engines.setText("one (E)" if engines == 1 and two else ("both (E)" if two else "one"))
        under = live_run.under_orders
        self.engines.setEnabled(two and under)
        curvature = live_run.wheel()
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
        self._ticks()
        for number in (self.throttle, self.wait, self.hold):
            number.refresh()

    def _lever(self, in_gear: bool) -> None:
        text = "Out of gear  (Space)" if in_gear else "Go in gear  (Space)"
        if self.lever.text() != text:
            self.lever.setText(text)
            self.lever.setProperty("out", not in_gear)
            self.lever.style().unpolish(self.lever)
            self.lever.style().polish(self.lever)
            self.title.setText("Helm: in gear" if in_gear else "Helm: out of gear")

    def _state(self) -> str:
        live_run = self._live_run
        if live_run.settling:
            return "finding the steady tow…"
        if not live_run.under_orders:
            return "the boat follows the motion in the file"
        boat = live_run.picture.boat
        throttle, engines = live_run.throttle()
        hold = live_run.hold_so_far()
        if hold is not None:
            if live_run.auto_hold.on:
                left = max(live_run.auto_hold.seconds - hold, 0.0)
                return f"in gear by itself in {left:.0f} s"
            return "in gear when you say"
        due = live_run.wait_ends()
        if due is not None and due > live_run.now:
            return f"out of gear by itself in {due - live_run.now:.0f} s"
        share = live_run.scenario.boat.one_engine if engines == 1 else 1.0
        goal = throttle * (share if live_run.scenario.boat.engines == 2 else 1.0)
        if boat.set_speed < 0.98 * goal:
            return "shifting, then throttle coming up"
        if boat.speed < 0.97 * goal:
            return "speeding up"
        return "steady"

    # ---- to the live run

    def _set_mark(self, depth: float) -> None:
        setup = self._document.setup
        mark = replace(setup.mark, depth=depth) if setup.mark else Mark(depth, time=10.0)
        self._document.change(replace(setup, mark=mark), "mark depth", "mark")

    def _set_bottom(self, depth: float) -> None:
        setup = self._document.setup
        self._document.change(with_bottom(setup, depth), "bottom depth", "bottom")

    def step_throttle(self, by: float) -> None:
        """Up and Down keys; ``by`` in the unit of speeds on screen."""
        if self.throttle.isEnabled():
            self.throttle.stepBy(round(by / self.throttle.singleStep()))

    def step_wheel(self, spokes: int) -> None:
        """Left and Right keys; C is amidships (0)."""
        if self.wheel.isEnabled() and spokes:
            self.wheel.setValue(self.wheel.value() + spokes)
        elif self.wheel.isEnabled():
            # the slider may stand amidships already on a straight leg of a course
            self._live_run.set_wheel(0.0)

    def tidy_focus(self, home: QWidget) -> None:
        """Enter in a number field gives the keys back to ``home``."""
        for box in (self.throttle, self.wait, self.hold, self.mark, self.bottom):
            box.lineEdit().returnPressed.connect(home.setFocus)


class SpeedButton(QPushButton):
    """Time runs so many times as fast as life."""

    def __init__(self, live_run: LiveRun, times: int) -> None:
        super().__init__(f"{times}x")
        self._live_run, self._times = live_run, times
        self.setCheckable(True)
        self.setAccessibleName(f"Speed {times} times")
        self.setToolTip(as_tip(f"Run {times} times as fast as life (key {times})"))
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.clicked.connect(self._choose)
        live_run.helm_changed.connect(self._show)
        self._show()

    def _choose(self) -> None:
        self._live_run.set_speed(self._times)

    def _show(self) -> None:
        self.setChecked(self._live_run.clock.speed == self._times)


def speed_row(live_run: LiveRun) -> QHBoxLayout:
    """Buttons for how fast time runs."""
    row = QHBoxLayout()
    row.setSpacing(TIGHT)
    for times in (1, 2, 4, 8):
        row.addWidget(SpeedButton(live_run, times))
    return row
