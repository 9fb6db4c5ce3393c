"""Where the window is on the screen: all of it, its title bar too."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize
from PySide6.QtWidgets import QStyle, QWidget

USUAL = QSize(1280, 800)
"""What the window has inside where there is room."""

LEAST = QSize(640, 420)
"""No window is smaller: pages scroll, but somebody has to find the scroll bar."""


def within(frame: QRect, room: QRect) -> QRect:
    """``frame`` moved, and made smaller where it must be, so that it lies in ``room``."""
    size = frame.size().boundedTo(room.size())
    left = min(max(frame.left(), room.left()), room.right() + 1 - size.width())
    top = min(max(frame.top(), room.top()), room.bottom() + 1 - size.height())
    return QRect(left, top, size.width(), size.height())


def keep_on_screen(window: QWidget) -> None:
    """See that the window lies within what the screen has to give, with its frame.

    Before it is shown nobody knows its frame: the style's title bar stands in for it.
    """
    if window.isMaximized() or window.isFullScreen():
        return
    inside, frame = window.geometry(), window.frameGeometry()
    if frame == inside:
        title = window.style().pixelMetric(QStyle.PixelMetric.PM_TitleBarHeight)
        frame = inside.adjusted(0, -title, 0, 0)
    kept = within(frame, window.screen().availableGeometry())
    if kept != frame:
        window.resize(inside.size() - (frame.size() - kept.size()))
        window.move(kept.topLeft())
