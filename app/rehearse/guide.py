"""A first drop in three steps, over the Rehearse page: it tells, and hinders nothing."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.session.live_run import LiveRun
from app.ui.look import font, px
from app.ui.panel import quiet
from app.ui.plain import Label
from app.ui.steps import BODY, GAP

STEPS = (
    "Press Space: out of gear. She coasts down, and the lures sink.",
    "Press Space again: in gear. The lures sink on for some seconds, then lift.",
    "Press M for a mark under the sounder, and have the lures lift through it. R starts over.",
)
"""What to do, one after the other; each is done by doing it."""


class Guide(QFrame):
    """Stands on ``over``, in the lower left of its ``plots``, where nothing is but the past, and
    takes no key. ``ended``: it is done or put away."""

    ended = Signal()

    def __init__(self, live_run: LiveRun, over: QWidget, plots: QWidget) -> None:
        super().__init__(over)
        self._live_run, self._over, self._plots = live_run, over, plots
        self.step, self._mark = 0, live_run.mark()
        self.setObjectName("panel")
        self.setAutoFillBackground(True)
        self.head = Label()
        self.head.setFont(font(BODY, bold=True))
        self.words = Label()
        self.words.setWordWrap(True)
        self.close_it = QPushButton("Close  Esc")
        self.close_it.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.close_it.clicked.connect(self.end)
        column = QVBoxLayout(self)
        column.addWidget(self.head)
        column.addWidget(self.words)
        row = QHBoxLayout()
        row.addWidget(quiet("Back again from Help"), 1)
        row.addWidget(self.close_it)
        column.addLayout(row)
        plots.installEventFilter(self)
        live_run.helm_changed.connect(self._look)
        self.hide()

    def begin(self) -> None:
        """The first step."""
        self._go(0)
        self.show()
        self.raise_()

    def end(self) -> None:
        """Away with it."""
        if not self.isHidden():
            self.hide()
            self.ended.emit()

    def _look(self) -> None:
        """Go on once the step is done."""
        if self.isHidden():
            return
        live_run = self._live_run
        in_gear, mark = live_run.in_gear, live_run.mark()
        done = (not in_gear, in_gear, mark is not None and mark != self._mark)[self.step]
        if done and self.step == len(STEPS) - 1:
            self.end()
        elif done:
            self._go(self.step + 1)

    def _go(self, step: int) -> None:
        self.step, self._mark = step, self._live_run.mark()
        self.head.setText(f"A first drop, step {step + 1} of {len(STEPS)}")
        self.words.setText(STEPS[step])
        self._place()

    def _place(self) -> None:
        self.setFixedWidth(round(min(px(320), self._over.width() - 2 * GAP)))
        self.adjustSize()
        corner = self._plots.geometry().bottomLeft()
        self.move(corner.x() + round(px(60)), corner.y() - self.height() - round(px(34)))

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and not self.isHidden():
            self._place()
        return False
