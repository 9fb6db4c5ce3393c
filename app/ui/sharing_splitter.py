"""Panels side by side, of which some have more use for a large screen than others."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSplitter, QWidget

from app.ui.look import px
from app.ui.steps import GAP


class SharingSplitter(QSplitter):
    """Panels are ``usual`` px wide; what room there is beyond that goes out in ``shares``.

    With less room all are narrower alike. Once a hand has moved a handle, panels
    keep the shares it gave them.
    """

    def __init__(
        self, panels: Sequence[QWidget], usual: Sequence[int], shares: Sequence[int]
    ) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self._usual, self._shares, self._by_hand = tuple(usual), tuple(shares), False
        self.setHandleWidth(GAP)
        self.setChildrenCollapsible(False)
        for panel in panels:
            self.addWidget(panel)
        self.splitterMoved.connect(self._moved)
        self._share()

    def _moved(self) -> None:
        self._by_hand = True

    def _share(self) -> None:
        usual = [px(width) for width in self._usual]
        more = max(self.width() - GAP * (self.count() - 1) - sum(usual), 0.0)
        each = more / sum(self._shares)
        self.setSizes([round(w + each * s) for w, s in zip(usual, self._shares, strict=True)])

    def text_resized(self) -> None:
        """What is usual is so with text of another size."""
        if not self._by_hand:
            self._share()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if not self._by_hand:
            self._share()
