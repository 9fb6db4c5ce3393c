"""Dead cycles are collected between two events, never in the middle of one.

Python's collector starts whenever enough was made. In the middle of connecting a signal it may
free a widget, whose end waits for ever for the lock that the Qt binding holds just then: seen
where windows come and go by the hundred, in two of three runs.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

YOUNG_MS = 2_000
"""What was made lately is looked through this often, ms; it takes one."""

WHOLE = 30
"""One time in so many everything is looked through, some 60 ms with all pages made."""


class Collecting(QObject):
    """From now on until ``end``, the collector works only when an event loop has time for it."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        # what is loaded by now stays and need not be looked through
        gc.freeze()
        gc.disable()
        self._times = 0
        self._timer = QTimer(self)
        self._timer.setInterval(YOUNG_MS)
        self._timer.timeout.connect(self.collect)
        self._timer.start()

    def collect(self) -> None:
        """Look through what is young, or through everything."""
        self._times += 1
        gc.collect(1 if self._times % WHOLE else 2)

    def end(self) -> None:
        """Leave it to Python again."""
        self._timer.stop()
        gc.enable()
