"""How much of some work is done, for work that takes long enough to be worth a bar."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QTimer, Signal
from PySide6.QtWidgets import QProgressBar

LATE_MS = 500
"""Work that is done by then shows no bar; a bar that came stays for as long, ms."""

WHOLE = 1000
"""Parts of the work that a bar tells apart."""


class LateBar(QProgressBar):
    """A slim bar that neither comes for a moment nor flickers.

    ``shown`` says whether it is there, for what comes and goes with it; ``turned`` when that
    changed. ``name`` is for screen readers.
    """

    turned = Signal()

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setMaximum(WHOLE)
        self.setTextVisible(False)
        self.setFixedSize(130, 8)
        self.setAccessibleName(name)
        self.shown = self._busy = False
        self._since = QElapsedTimer()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._turn)
        self.hide()

    def tell(self, busy: bool, share: float) -> None:
        """Whether anything is worked at, and the share of it that is done, 0 to 1."""
        self._busy = busy
        value = round(WHOLE * share)
        if value != self.value():
            # the bar paints itself at once, every time
            self.setValue(value)
        if busy == self.shown:
            self._timer.stop()
        elif not self._timer.isActive():
            left = LATE_MS - self._since.elapsed() if self.shown else LATE_MS
            self._timer.start(max(left, 0))

    def _turn(self) -> None:
        self.shown = self._busy
        self._since.start()
        self.setVisible(self.shown)
        self.turned.emit()
