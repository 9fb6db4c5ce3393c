"""Boxes and windows of the window's own: however often they come, none is left behind."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QCoreApplication, QEvent, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QWidget

from app.shell.help import show_about, show_keys
from app.shell.mishaps import Mishap
from app.shell.window import Window
from app.ui.save_dialog import confirmed
from tests.app.shell.window.hands import rename


def refuse() -> None:
    """Escape, in the box that waits for an answer."""
    box = QApplication.activeModalWidget()
    assert isinstance(box, QDialog)
    box.reject()


def alive(window: Window) -> int:
    """How many widgets hang on the window."""
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    return len(window.findChildren(QWidget))


def test_that_boxes_that_come_again_and_again_leave_nothing_behind(
    start: Callable[..., Window],
) -> None:
    window = start()
    rename(window, "Changed")
    window.pages.unkept = lambda: ["Something is not written"]  # type: ignore[method-assign]
    asks = (window.files.may_leave, window._may_lose, partial(confirmed, window, "Sure?", "Go on"))
    tells = (
        partial(show_keys, window), partial(show_about, window), partial(window.warn, "So", "so"),
        window.show_manual, window.edit_spread,
        partial(window._tell_mishap, Mishap("timing", "KeyError: 1", "Traceback")),
    )  # fmt: skip

    def once() -> int:
        for ask in asks:
            QTimer.singleShot(0, refuse)
            assert not ask()
        for tell in tells:
            tell()
            for dialog in window.findChildren(QDialog):
                dialog.close()
        return alive(window)

    before = once()
    assert [once() for _ in range(3)] == [before] * 3
