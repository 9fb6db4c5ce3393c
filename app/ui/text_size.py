"""How large text is on screen: with it grow fonts, fixed sizes, rows and columns, and axes.

Sizes in the code are those at 100 %.
"""

from __future__ import annotations

from typing import cast

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication, QHeaderView, QTableView, QWidget

from app.ui import look

SIZES = {"100": 1.0, "110": 1.1, "125": 1.25, "150": 1.5}
"""Text sizes to choose from, in per cent, and what they multiply."""

UNLIMITED = 16777215
"""Qt's size of what has no greatest size, px."""

SET_IN_PX = (QHeaderView.ResizeMode.Interactive, QHeaderView.ResizeMode.Fixed)
"""Columns whose width does not follow what is in them, or what room there is."""


def set_text_size(scale: float) -> None:
    """Show text ``scale`` times as large as usual, from now on and in all there is by now."""
    before = look.text_scale()
    if scale == before:
        return
    application = cast(QApplication, QApplication.instance())
    look.set_text_scale(scale)
    application.setFont(_times(application.font(), scale / before))
    for window in application.topLevelWidgets():
        for widget in (window, *window.findChildren(QWidget)):
            if widget.testAttribute(Qt.WidgetAttribute.WA_SetFont):
                widget.setFont(_times(widget.font(), scale / before))
        # a window in a style sheet hears of the application's font only as it is dressed
        window.setStyleSheet(window.styleSheet())
        enlarge(window, scale / before)


def enlarge(whole: QWidget, times: float) -> None:
    """Make the sizes that are set in px fit text ``times`` as large."""
    if times == 1.0:
        return
    widgets = (whole, *whole.findChildren(QWidget))
    for widget in widgets:
        if not widget.isWindow() and not widget.objectName().startswith("qt_"):
            _enlarge_one(widget, times)
    # what goes by the sizes of others comes after them
    for widget in widgets:
        if hasattr(widget, "text_resized"):
            widget.text_resized()


def _enlarge_one(widget: QWidget, times: float) -> None:
    least, most = widget.minimumSize(), widget.maximumSize()
    if 0 < most.width() < UNLIMITED:
        widget.setMaximumWidth(round(most.width() * times))
    if 0 < most.height() < UNLIMITED:
        widget.setMaximumHeight(round(most.height() * times))
    if least.width() > 0:
        widget.setMinimumWidth(round(least.width() * times))
    if least.height() > 0:
        widget.setMinimumHeight(round(least.height() * times))
    if isinstance(widget, QTableView):
        rows = widget.verticalHeader()
        rows.setMinimumSectionSize(round(rows.minimumSectionSize() * times))
        rows.setDefaultSectionSize(round(rows.defaultSectionSize() * times))
        _enlarge_columns(widget.horizontalHeader(), times)


def _enlarge_columns(head: QHeaderView, times: float) -> None:
    head.setMinimumSectionSize(round(head.minimumSectionSize() * times))
    last = head.logicalIndex(head.count() - 1) if head.stretchLastSection() else None
    for column in range(head.count()):
        set_in_px = head.sectionResizeMode(column) in SET_IN_PX
        if set_in_px and column != last and not head.isSectionHidden(column):
            head.resizeSection(column, round(head.sectionSize(column) * times))


def _times(face: QFont, times: float) -> QFont:
    out = QFont(face)
    out.setPointSizeF(face.pointSizeF() * times)
    return out
