"""A round shown again: a moment of it, moved by hand or by itself."""

from __future__ import annotations

import time as wall

from PySide6.QtCore import QObject, QTimer, Signal

from app.drill.model import Drill

FRAME_MS = 16

PACE = 3.0
"""A replay runs this many times as fast as life."""


class Replay(QObject):
    """``moved``: another moment of the round is shown; ``changed``: it runs or stands."""

    moved = Signal()
    changed = Signal()

    def __init__(self, drill: Drill, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._drill = drill
        self._last = 0.0
        self._timer = QTimer(self)
        self._timer.setInterval(FRAME_MS)
        self._timer.timeout.connect(self._frame)
        drill.stage_changed.connect(self.stop)

    @property
    def time(self) -> float:
        """The moment shown, s after the start."""
        live_run = self._drill.live_run
        return 0.0 if live_run is None else live_run.now

    @property
    def end(self) -> float:
        """The end of the round, s."""
        live_run, round_ = self._drill.live_run, self._drill.round
        if live_run is None or round_ is None:
            return 0.0
        return round_.end_time(live_run.run.track().orders)

    @property
    def runs(self) -> bool:
        """Whether it runs by itself."""
        return self._timer.isActive()

    def show(self, time: float) -> None:
        """Show a moment, s."""
        live_run = self._drill.live_run
        if live_run is not None and self._drill.stage == "debrief":
            live_run.look_back(min(max(time, 0.0), self.end))
            self.moved.emit()

    def toggle(self) -> None:
        """Run, from the start if it stands at the end; or stand."""
        if self.runs:
            self.stop()
            return
        if self.time >= self.end - 0.05:
            self.show(0.0)
        self._last = wall.perf_counter()
        self._timer.start()
        self.changed.emit()

    def stop(self) -> None:
        """Stand still."""
        if self.runs:
            self._timer.stop()
            self.changed.emit()

    def _frame(self) -> None:
        now = wall.perf_counter()
        passed, self._last = now - self._last, now
        self.show(self.time + PACE * passed)
        if self.time >= self.end - 1e-6:
            self.stop()
