"""What of a page does not fit: words that are cut, headings off their columns, scroll bars."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QAbstractSpinBox,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QRubberBand,
    QScrollBar,
    QSizeGrip,
    QSplitterHandle,
    QTableView,
    QWidget,
)

from app.live.line_overlay import LineOverlay
from app.shell.page_row import Elided
from app.shell.page_stack import PAGES
from app.shell.window import Window
from app.ui.columns import MARGIN
from app.ui.scroll import Whole
from tests.app.by_hand import lay_out

LARGER = 1.25
"""Text that much larger needs a window of at least LEAST_LARGER."""


LARGEST = 1.5


LEAST_LARGER = (1280, 720)


SLACK = 1
"""Rounding of layouts, px."""


def told(widget: QWidget) -> str:
    """Which widget, for a person."""
    words = widget.accessibleName() or getattr(widget, "text", lambda: "")()
    return f"{type(widget).__name__} “{words[:40]}”"


def parts(page: QWidget) -> Iterator[QWidget]:
    """All in sight on a page, but for the parts Qt makes its widgets of."""
    for widget in page.findChildren(QWidget):
        inner = isinstance(
            widget.parent(), QAbstractSpinBox | QComboBox | QAbstractItemView | QLineEdit
        )
        own = isinstance(widget, QScrollBar | QSplitterHandle | QSizeGrip | QRubberBand)
        if widget.isVisible() and widget.window() is page.window() and not (inner or own):
            yield widget


def cut(widget: QWidget) -> str:
    """What of a widget's own text has no room, or nothing."""
    metrics = widget.fontMetrics()
    if isinstance(widget, QLabel) and widget.text() and not isinstance(widget, Elided):
        if widget.textFormat() == Qt.TextFormat.RichText:
            return ""
        wide = widget.contentsRect().width() - 2 * widget.margin()
        if widget.wordWrap():
            must = widget.heightForWidth(widget.width())
            return (
                f"needs {must} px, has {widget.height()}" if must > widget.height() + SLACK else ""
            )
        must = max(metrics.horizontalAdvance(line) for line in widget.text().split("\n"))
        if must > wide + SLACK or metrics.height() > widget.height() + SLACK:
            return f"needs {must}x{metrics.height()} px, has {wide}x{widget.height()}"
    if isinstance(widget, QAbstractButton) and widget.text():
        mark = 20 if isinstance(widget, QCheckBox) else 4
        must = metrics.horizontalAdvance(widget.text().replace("&", "")) + mark
        if must > widget.width() + SLACK or metrics.height() > widget.height() + SLACK:
            return f"needs {must}x{metrics.height()} px, has {widget.width()}x{widget.height()}"
    if isinstance(widget, QAbstractSpinBox):
        must = metrics.horizontalAdvance(widget.text())
        edit = widget.findChild(QLineEdit)
        assert edit is not None
        if must > edit.width() + SLACK:
            return f"needs {must} px, has {edit.width()}"
    return ""


def cut_headings(table: QTableView) -> Iterator[str]:
    """Headings of a table, over columns and beside rows, that have no room."""
    across, model = Qt.Orientation.Horizontal, table.model()
    for way, header in (
        (across, table.horizontalHeader()), (Qt.Orientation.Vertical, table.verticalHeader())
    ):  # fmt: skip
        metrics = QFontMetrics(header.font())
        for part in range(0 if header.isHidden() else header.count()):
            words = str(model.headerData(part, way) or "").split("\n")
            must = (
                max(metrics.horizontalAdvance(line) for line in words) + 2 * MARGIN,
                metrics.height() * len(words),
            )
            has = (header.sectionSize(part), header.height())
            if way != across:
                has = (header.width(), header.sectionSize(part))
            if (
                header.isSectionHidden(part)
                or header.textElideMode() == Qt.TextElideMode.ElideMiddle
            ):
                continue
            if must[0] > has[0] + SLACK or must[1] > has[1] + SLACK:
                yield f"heading “{' '.join(words)}” needs {must}, has {has} px"


def askew(table: QTableView) -> Iterator[str]:
    """Headings that stand to another side than what is under them."""
    model, role = table.model(), Qt.ItemDataRole.TextAlignmentRole
    for column in range(model.columnCount() if model.rowCount() else 0):
        words = model.headerData(column, Qt.Orientation.Horizontal)
        head = model.headerData(column, Qt.Orientation.Horizontal, role)
        under = model.index(0, column).data(role)
        sides = [
            Qt.AlignmentFlag(usual if side is None else side)
            & Qt.AlignmentFlag.AlignHorizontal_Mask
            for side, usual in (
                (head, table.horizontalHeader().defaultAlignment()),
                (under, Qt.AlignmentFlag.AlignLeft),
            )
        ]
        if words and not table.isColumnHidden(column) and sides[0] != sides[1]:
            yield f"heading “{words}” stands to the {sides[0]}, its column to the {sides[1]}"


def every_page(window: Window) -> Iterator[tuple[str, QWidget]]:
    """Each page in front, and laid out, by its name."""
    for name, _, _ in PAGES:
        window.show_page(name)
        window.live_run.timer.stop()
        lay_out()
        yield name, getattr(window.pages, name)


def scrolls_to_the_side(page: QWidget) -> bool:
    """Whether a page has less room across than it needs."""
    holder = page.parentWidget()
    held = None if holder is None else holder.parentWidget()
    assert isinstance(held, Whole)
    return held.horizontalScrollBar().isVisible()


def wrong(page: QWidget) -> list[str]:
    """Everything that does not fit on a page as it is now."""
    out: list[str] = []
    seen: dict[int, list[QWidget]] = {}
    for widget in parts(page):
        if words := cut(widget):
            out.append(f"cut: {told(widget)} {words}")
        if isinstance(widget, QTableView):
            out.extend(f"cut: {told(widget)} {words}" for words in cut_headings(widget))
            out.extend(f"askew: {told(widget)} {words}" for words in askew(widget))
        parent = widget.parentWidget()
        assert parent is not None
        floats = isinstance(widget, LineOverlay)
        if not floats and not isinstance(parent, QAbstractScrollArea):
            for other in seen.setdefault(id(parent), []):
                both = widget.geometry() & other.geometry()
                if both.width() > SLACK and both.height() > SLACK:
                    out.append(f"over each other: {told(widget)} and {told(other)}")
            seen[id(parent)].append(widget)
        outer = parent.parentWidget()
        scrolled = isinstance(outer, QAbstractScrollArea) and outer.viewport() is parent
        if not scrolled and not parent.rect().adjusted(-SLACK, -SLACK, SLACK, SLACK).contains(
            widget.geometry()
        ):
            out.append(f"out of its frame: {told(widget)}")
    return out
