"""The trainee's helm: orders of the round, count, and large controls."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QGridLayout, QHBoxLayout, QPushButton

from app.common.units import KNOT
from app.drill.model import Drill
from app.drill.words import briefing, title
from app.session.clock import SPEEDS
from app.session.live_run import LiveRun
from app.ui.big import big
from app.ui.figure import Figure
from app.ui.look import font
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BIG, BODY, HEAD, HUGE, SNUG

LEAST, MOST = KNOT.to_si(0.5), KNOT.to_si(20.0)
"""Ends of the throttle, m/s."""

THROTTLE_STEP = 0.5
"""One press, in the unit of speeds on screen."""

TURN = 1.0 / 60.0
"""Curvature of the track with the wheel over, 1/m."""

FAST = 4
"""The other pace than life, times."""


class DrillHelm(Panel):
    """Pulls what it shows from the drill's own drop; gives it orders."""

    def __init__(self, drill: Drill, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__("Round")
        self._drill, self._live_run, self._preferences = drill, live_run, preferences
        self.words = Label()
        self.words.setWordWrap(True)
        self.words.setFont(font(BODY))
        self.body.addWidget(self.words)
        self.call = Label()
        self.call.setWordWrap(True)
        self.call.setProperty("alarm", True)
        self.call.setFont(font(HEAD, bold=True))
        self.body.addWidget(self.call)
        self.body.addStretch(1)
        self.count = Figure(preferences, HUGE, "Seconds out of gear", "hold")
        self.body.addWidget(self.count)
        self.state = quiet()
        self.body.addWidget(self.state)
        self.lever = big("", self.shift, tall=64)
        self.lever.setObjectName("lever")
        self.lever.setFont(font(HEAD, bold=True))
        self.lever.setAccessibleName("Gear lever")
        self.body.addWidget(self.lever)
        self.body.addLayout(self._controls())
        self.beep = QCheckBox("Beep every second out of gear")
        self.beep.setMinimumHeight(30)
        self.beep.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.body.addWidget(self.beep)
        self.body.addLayout(self._foot())
        live_run.frame.connect(self._count)
        live_run.figures.connect(self.refresh)
        live_run.helm_changed.connect(self.refresh)
        drill.stage_changed.connect(self.begin)
        drill.called.connect(self.refresh)
        preferences.units_changed.connect(self.begin)
        self.begin()

    def _controls(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(SNUG)
        self.slower = big("−", lambda: self.step_throttle(-1))
        self.faster = big("+", lambda: self.step_throttle(1))
        self.throttle = Label()
        self.throttle.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.slower.setAccessibleName("Throttle down")
        self.faster.setAccessibleName("Throttle up")
        for button in (self.slower, self.faster):
            button.setFont(font(BIG, bold=True))
        self.engines = big("", self.toggle_engines, "One engine, or both (E)")
        self.port = big("◄ Port", lambda: self.steer(-1), "Wheel to port (Left)")
        self.straight = big("Ahead", lambda: self.steer(0), "Wheel amidships (0)")
        self.starboard = big("Stbd ►", lambda: self.steer(1), "Wheel to starboard (Right)")
        self.starboard.setAccessibleName("Starboard")
        for button in (self.port, self.straight, self.starboard):
            button.setCheckable(True)
        for column, widget in enumerate((self.slower, self.throttle, self.faster)):
            grid.addWidget(widget, 0, column)
        grid.addWidget(self.engines, 1, 0, 1, 3)
        for column, widget in enumerate((self.port, self.straight, self.starboard)):
            grid.addWidget(widget, 2, column)
            grid.setColumnStretch(column, 1)
        return grid

    def _foot(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(SNUG)
        self.pause: QPushButton = big("Pause  P", self._live_run.pause)
        self.fast = big(f"{FAST}x", self.toggle_speed, f"{FAST} times as fast as life, or 1 (X)")
        self.fast.setCheckable(True)
        self.quit = big("Break off  Esc", self._drill.leave, "Leave this round, unscored (Esc)")
        for button in (self.pause, self.fast, self.quit):
            row.addWidget(button)
        return row

    # ---- refresh

    def begin(self) -> None:
        """Another round: what it orders, and what there is to work."""
        round_ = self._drill.round
        if round_ is None:
            return
        level = self._drill.level
        self.title.setText(title(round_))
        self.words.setText(briefing(round_, self._preferences.length, self._preferences.speed))
        press = f"{THROTTLE_STEP:g} {self._preferences.speed.symbol}"
        self.slower.setToolTip(as_tip(f"Throttle down {press} (Down)"))
        self.faster.setToolTip(as_tip(f"Throttle up {press} (Up)"))
        two = self._live_run.scenario.boat.engines == 2
        self.engines.setVisible(level.engines and two)
        for button in (self.port, self.straight, self.starboard):
            button.setVisible(level.wheel)
        self.refresh()

    def _count(self) -> None:
        hold = self._live_run.hold_so_far()
        if hold is not None:
            self.count.show_figure(f"{hold:.1f}", "s out of gear")

    def refresh(self) -> None:
        """What changes slowly."""
        live_run, drill = self._live_run, self._drill
        hold, last = live_run.hold_so_far(), live_run.last_hold()
        if hold is None:
            self.count.show_figure(
                "0.0" if last is None else f"{last:.1f}",
                "s out of gear" if last is None else "s was the hold", dim=True,
            )  # fmt: skip
        in_gear = live_run.in_gear
        text = "Out of gear  (Space)" if in_gear else "Go in gear  (Space)"
        if self.lever.text() != text:
            self.lever.setText(text)
            self.lever.setProperty("out", not in_gear)
            self.lever.style().unpolish(self.lever)
            self.lever.style().polish(self.lever)
        throttle, engines = live_run.throttle()
        self.throttle.setText(f"throttle\n{self._preferences.speed.text(throttle)}")
        self.engines.setText("On one engine  (E)" if engines == 1 else "Both engines  (E)")
        over = live_run.wheel()
        self.port.setChecked(over < 0.0)
        self.straight.setChecked(over == 0.0)
        self.starboard.setChecked(over > 0.0)
        self.pause.setText("Go on  P" if live_run.clock.paused else "Pause  P")
        self.fast.setChecked(live_run.clock.speed != 1)
        hooked = None if drill.round is None else drill.round.hooked
        self.call.setVisible(drill.fish_on)
        if drill.fish_on:
            self.call.setText(f"Fish on, {hooked}! One engine; keep the others off the bottom.")
        self.state.setText(self._state())

    def _state(self) -> str:
        live_run = self._live_run
        if live_run.settling:
            return "finding the steady tow…"
        speed = self._preferences.speed.text(live_run.picture.boat.speed)
        mark = live_run.mark()
        if mark is None:
            return f"{speed} through the water; no mark yet"
        return f"{speed} through the water; {live_run.now - mark.time:.0f} s since the mark"

    # ---- orders

    def shift(self) -> None:
        """Out of gear, or in."""
        if not self._live_run.settling and not self._live_run.clock.paused:
            self._live_run.shift()

    def step_throttle(self, steps: int) -> None:
        """Throttle up or down by some presses."""
        speed = self._live_run.throttle()[0] + self._preferences.speed.to_si(THROTTLE_STEP * steps)
        most = min(MOST, self._live_run.scenario.boat.fastest)
        self._drill.set_throttle(min(max(speed, LEAST), most))

    def toggle_engines(self) -> None:
        """One engine, or both."""
        if self._drill.level.engines and self._live_run.scenario.boat.engines == 2:
            self._live_run.set_engines(2 if self._live_run.throttle()[1] == 1 else 1)

    def steer(self, side: int) -> None:
        """Wheel to port (-1), amidships (0) or starboard (1)."""
        if self._drill.level.wheel:
            self._live_run.set_wheel(TURN * side)
            self.refresh()

    def turn(self, side: int) -> None:
        """One step of the wheel to a side."""
        over = round(self._live_run.wheel() / TURN)
        self.steer(min(max(over + side, -1), 1))

    def toggle_speed(self) -> None:
        """As fast as life, or faster."""
        assert FAST in SPEEDS
        self._live_run.set_speed(1 if self._live_run.clock.speed != 1 else FAST)
