"""What goes wrong while the window is used."""

from __future__ import annotations

import sys
import threading
import traceback

from PySide6.QtCore import qInstallMessageHandler

QUIET = "This plugin does not support"
"""How messages begin that the offscreen platform always gives."""


class Troubles:
    """What was raised in a slot, and what Qt said."""

    def __init__(self) -> None:
        self.raised: list[str] = []
        self.said: list[str] = []
        sys.excepthook = lambda *error: self.raised.append(
            "".join(traceback.format_exception(*error))
        )
        threading.excepthook = lambda error: self.raised.append(repr(error.exc_value))
        qInstallMessageHandler(self._message)

    def _message(self, _kind: object, _where: object, text: str) -> None:
        if not text.startswith(QUIET):
            self.said.append(text)
