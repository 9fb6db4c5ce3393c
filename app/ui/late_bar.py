"""What is said of work that goes on, where it takes long enough to be worth a word or a bar."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal
from PySide6.QtWidgets import QProgressBar

LATE_MS = 500
"""Of work that is done by then nothing is said; what is said stays for as long, ms."""

WHOLE = 1000
"""Parts of the work that a bar tells apart."""


class Late(QObject):
    """Whether to say that work goes on: neither for a moment nor with a flicker.

    ``shown`` says so; ``turned`` when that changed.
    """

    turned = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.shown = self._busy = False
        self._since = QElapsedTimer()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._turn)

    def tell(self, busy: bool) -> None:
        """Whether anything is worked at."""
        self._busy = busy
        if busy == self.shown:
            self._timer.stop()
        elif not self._timer.isActive():
            left = LATE_MS - self._since.elapsed() if self.shown else LATE_MS
            self._timer.start(max(left, 0))

    def end(self) -> None:
        """The work was given up by hand: nothing is said from here on."""
        self._busy = False
        self._timer.stop()
        if self.shown:
            self._turn()

    def _turn(self) -> None:
        self.shown = self._busy
        self._since.start()
        self.turned.emit()


class LateBar(QProgressBar):
    """A slim bar of how much is done, there while ``late`` says so. ``name`` is for screen
    readers."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setMaximum(WHOLE)
        self.setTextVisible(False)
        self.setFixedSize(130, 8)
        self.setAccessibleName(name)
        self.late = Late(self)
        self.late.turned.connect(lambda: self.setVisible(self.late.shown))
        self.hide()

    def tell(self, busy: bool, share: float) -> None:
        """Whether anything is worked at, and the share of it that is done, 0 to 1."""
        value = round(WHOLE * share)
        if value != self.value():
            # the bar paints itself at once, every time
            self.setValue(value)
        self.late.tell(busy)
