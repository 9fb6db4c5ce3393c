"""A box to choose from whose long names lose their middle: their ends tell twins apart."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QStyle, QStyleOptionComboBox, QStylePainter

from app.ui.wheel_needs_focus import ChoiceBox


class MiddleBox(ChoiceBox):
    """The list that opens is as wide as its names."""

    def shown_text(self) -> str:
        """The name as there is room for it."""
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        room = self.style().subControlRect(
            QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, self
        )
        middle = Qt.TextElideMode.ElideMiddle
        return self.fontMetrics().elidedText(self.currentText(), middle, room.width() - 4)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        option.currentText = self.shown_text()
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)

    def showPopup(self) -> None:
        view = self.view()
        view.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        wide = view.sizeHintForColumn(0) + 2 * view.frameWidth() + 24
        view.setMinimumWidth(min(wide, self.screen().availableGeometry().width() - 20))
        super().showPopup()
