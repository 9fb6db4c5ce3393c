"""The row at the top of the window: menus, pages, and the name of the scenario."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QMenuBar, QSizePolicy, QToolButton, QWidget

from app.ui.plain import Label, as_tip
from app.ui.steps import HAIR, WIDE

SIDE = 12
"""Left free beside the scenario's name, px."""


class MenuBar(QMenuBar):
    """Menus that are all there: where room is short, other things give way."""

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()


class Elided(Label):
    """A label at the right that leaves out the middle of what has no room; its tip has it all."""

    def minimumSizeHint(self) -> QSize:
        return QSize(0, super().minimumSizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        area = self.contentsRect()
        text = self.fontMetrics().elidedText(
            self.text(), Qt.TextElideMode.ElideMiddle, area.width() - 2 * SIDE
        )
        painter.setPen(self.palette().color(self.foregroundRole()))
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(area.adjusted(SIDE, 0, -SIDE, 0), right, text)
        painter.end()


class PageRow(QWidget):
    """``pages`` are (name, title, key); ``show`` is called with the name of the one chosen."""

    def __init__(self, pages: Sequence[tuple[str, str, str]], show: Callable[[str], None]) -> None:
        super().__init__()
        self.setObjectName("pageRow")
        self.bar = MenuBar()
        self.bar.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, HAIR, 0, 0)
        row.setSpacing(HAIR)
        row.addWidget(self.bar)
        row.addSpacing(WIDE)
        self.buttons: dict[str, QToolButton] = {}
        for name, title, key in pages:
            button = QToolButton()
            button.setText(title)
            button.setCheckable(True)
            button.setObjectName("page")
            button.setToolTip(as_tip(f"The {title} page ({key})"))
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(partial(self._clicked, name, show))
            self.buttons[name] = button
            row.addWidget(button)
        self.name = Elided()
        self.name.setObjectName("scenario")
        row.addWidget(self.name, 1)
        self.choose(pages[0][0])

    def _clicked(self, name: str, show: Callable[[str], None], _checked: bool = True) -> None:
        show(name)
        self.choose(name)

    @property
    def front(self) -> str:
        """Name of the page in front."""
        return next(own for own, button in self.buttons.items() if button.isChecked())

    def choose(self, name: str) -> None:
        """Show which page is in front."""
        for own, button in self.buttons.items():
            button.setChecked(own == name)
