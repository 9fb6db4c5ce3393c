"""A table whose columns are as wide as what they may hold; room that is left is shared out."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize
from PySide6.QtGui import QFont, QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QHeaderView, QStyle, QTableWidget

from app.ui.look import font, px
from app.ui.steps import SMALL

MARGIN = 3
"""Free on either side of a heading and a figure, px, by the style."""


class FittedTable(QTableWidget):
    """No heading and no figure is cut as long as there is room for ``least_width``.

    ``names``: least width of the first column, px, whose names give way by eliding; without it
    all columns are alike. ``bold``: figures may be.
    """

    def __init__(self, names: int | None = None, *, bold: bool = False) -> None:
        super().__init__(0, 0)
        self._bold = bold
        self._names = names
        self._widest: tuple[str, ...] = ()
        header = self.horizontalHeader()
        header.setFont(font(SMALL))
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setMinimumSectionSize(1)
        self.verticalHeader().setFont(font(SMALL))

    def set_widest(self, widest: Sequence[str]) -> None:
        """The widest that may stand in each column: widths do not go with figures that come."""
        self._widest = tuple(widest)
        self.updateGeometry()
        self.share()

    def least_width(self) -> int:
        """What all columns need, px, with a scroll bar beside them."""
        beside = self.verticalHeader()
        names = 0 if beside.isHidden() else beside.sizeHint().width()
        bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
        least = self._least(*self.usual_faces())
        return names + sum(least) + bar + 2 * self.frameWidth()

    def usual_faces(self) -> tuple[QFont, QFont]:
        """What headings and figures are set in where there is no more room than they need."""
        return self.horizontalHeader().font(), self.font()

    def sizeHint(self) -> QSize:
        return QSize(self.least_width(), super().sizeHint().height())

    def widest_figure(self) -> int:
        """Of the widest figure in the table's own font, px."""
        metrics = self._bold_or_not(self.font())
        return max((metrics.horizontalAdvance(words) for words in self._widest), default=0)

    def room_for_figures(self) -> int:
        """What the narrowest column has for a figure, px."""
        header = self.horizontalHeader()
        wide = [header.sectionSize(column) for column in range(self.columnCount())]
        return min(wide, default=0) - 2 * MARGIN

    def _bold_or_not(self, face: QFont) -> QFontMetrics:
        face = QFont(face)
        face.setBold(self._bold)
        return QFontMetrics(face)

    def _least(self, head: QFont, figure: QFont) -> list[int]:
        heads, figures = QFontMetrics(head), self._bold_or_not(figure)
        out = []
        for column, widest in enumerate(self._widest):
            item = self.horizontalHeaderItem(column)
            lines = [] if item is None else item.text().split("\n")
            must = max(*(heads.horizontalAdvance(line) for line in lines), 0,
                       figures.horizontalAdvance(widest))  # fmt: skip
            out.append(must + 2 * MARGIN)
        if self._names is not None and out:
            out[0] = max(out[0], round(px(self._names)))
        return out

    def share(self) -> None:
        """Names first get what they need, then all columns as much more."""
        least = self._least(self.horizontalHeader().font(), self.font())
        if not self.columnCount():
            return
        left = self.viewport().width() - sum(least)
        if self._names is not None and left < 0:
            # half a name is more than half a figure
            least[0] = max(least[0] + left, least[0] // 2)
        left = max(left, 0)
        if self._names is not None:
            more = min(left, max(self.sizeHintForColumn(0) - least[0], 0))
            least[0] += more
            left -= more
        each, odd = divmod(left, len(least))
        for column, width in enumerate(least):
            self.horizontalHeader().resizeSection(column, width + each + (column < odd))

    def text_resized(self) -> None:
        """The words are larger or smaller by now."""
        self.horizontalHeader().setMinimumSectionSize(1)
        self.updateGeometry()
        self.share()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.share()
