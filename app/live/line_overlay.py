"""The controls of one line over the page, until Escape, Done or the keys go elsewhere."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QFrame, QHBoxLayout, QPushButton, QWidget

from app.live.line_controls import LineControls
from app.session.live_run import LiveRun
from app.ui.look import text_scale
from app.ui.preferences import Preferences
from app.ui.steps import GAP
from app.ui.text_size import enlarge


class LineOverlay(QFrame):
    """Floats over ``page``, above the card it is opened for."""

    def __init__(self, live_run: LiveRun, preferences: Preferences, page: QWidget) -> None:
        super().__init__(page)
        self._live_run, self._preferences = live_run, preferences
        self.setObjectName("panel")
        self.setAutoFillBackground(True)
        self.controls: LineControls | None = None
        self.done = QPushButton("Done")
        self.done.clicked.connect(self.put_away)
        self._row = QHBoxLayout(self)
        self._row.addWidget(self.done, 0, Qt.AlignmentFlag.AlignBottom)
        self._page, self._opener = page, None  # type: QWidget, QWidget | None
        self.hide()
        QApplication.instance().focusChanged.connect(self._moved)  # type: ignore[union-attr]
        live_run.restarted.connect(self.put_away)

    def open(self, number: int, card: QWidget) -> None:
        """Show the controls of a line; put them away if they are there already."""
        again = self.isVisible() and self._opener is card
        self.put_away()
        if again:
            return
        self._opener = card
        self.controls = LineControls(self._live_run, self._preferences, number)
        enlarge(self.controls, text_scale())
        self._row.insertWidget(0, self.controls)
        self.adjustSize()
        page = self._page
        corner = card.mapTo(page, QPoint(0, 0))
        most = page.width() - self.width() - GAP
        self.move(max(GAP, min(corner.x(), most)), max(GAP, corner.y() - self.height() - 4))
        self.show()
        self.raise_()
        self.controls.rows[0].out.setFocus()

    def text_resized(self) -> None:
        """What floats has no layout to grow in: another click opens it anew."""
        self.put_away()

    def put_away(self) -> None:
        """Close, and give the keys back to the card."""
        if self.controls is None:
            return
        inside = self._holds(QApplication.focusWidget())
        controls, self.controls = self.controls, None
        self._row.removeWidget(controls)
        controls.hide()
        controls.deleteLater()
        self.hide()
        if inside and self._opener is not None:
            self._opener.setFocus()

    def _holds(self, widget: QWidget | None) -> bool:
        return widget is not None and (widget is self or self.isAncestorOf(widget))

    def _moved(self, _old: QWidget | None, new: QWidget | None) -> None:
        if self.controls is not None and new is not None and not self._holds(new):
            self.put_away()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.put_away()
        else:
            super().keyPressEvent(event)
