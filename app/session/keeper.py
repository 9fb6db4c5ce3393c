"""Writing that is tried again until it works: after a change, on a timer, and at the end."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal

from app.common.bad_input import BadInput

RETRY_MS = 5000
"""Between tries, ms."""


class Keeper(QObject):
    """Calls ``write``, which raises BadInput when it cannot; ``why`` then says so.

    ``trouble`` (text) tells the first failure, and when it works again; ``caught_up``
    says the latter to view-models.
    """

    trouble = Signal(str)
    caught_up = Signal()

    def __init__(
        self, write: Callable[[], object], what: str, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._write, self._what, self.why = write, what, ""
        self._timer = QTimer(self)
        self._timer.setInterval(RETRY_MS)
        self._timer.timeout.connect(self.keep)

    def keep(self) -> bool:
        """Try now; whether all is written."""
        was_behind = bool(self.why)
        try:
            self._write()
        except BadInput as error:
            self.why = f"{self._what} could not be kept: {error}"
            self._timer.start()
            if not was_behind:
                self.trouble.emit(f"{self.why}. They stay here, and it is tried again.")
            return False
        self.why = ""
        self._timer.stop()
        if was_behind:
            self.trouble.emit(f"{self._what} are kept now.")
            self.caught_up.emit()
        return True

    def close(self) -> None:
        """Try a last time if something is left, and no more."""
        if self.why:
            self.keep()
        self._timer.stop()
