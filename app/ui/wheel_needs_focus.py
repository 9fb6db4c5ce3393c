"""Controls that the wheel of the mouse turns only while they have the focus."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QSlider, QWidget

if TYPE_CHECKING:
    Control = QWidget
else:
    # it stands beside a class of Qt's, which has the rest
    Control = object


class WheelNeedsFocus(Control):
    """Beside a control's own class: without the focus the wheel scrolls the page."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class ChoiceBox(WheelNeedsFocus, QComboBox):
    """A list to choose from."""

    def __init__(self) -> None:
        super().__init__()
        # the wheel itself gives no focus
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)


class Slider(WheelNeedsFocus, QSlider):
    """A handle to slide from side to side."""

    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
