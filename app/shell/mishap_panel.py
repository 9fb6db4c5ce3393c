"""The panel that tells of a mishap; the window behind it goes on."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.common.log_file import log_file
from app.shell.mishaps import TITLES, Mishap, with_versions
from app.ui.look import font
from app.ui.panel import quiet
from app.ui.plain import Label
from app.ui.steps import BODY, GAP, ROOM

MOST_TOLD = 20
"""Mishaps whose details are kept while the panel is open."""


class MishapPanel(QDialog):
    """Not modal, and the only one of its window. ``reopen`` (name): a page is to be made anew."""

    reopen = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Leadfall")
        # the keys of the drop go on to the window
        self.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
        self._told: list[Mishap] = []
        self.head, self.what = Label(), quiet()
        self.head.setFont(font(BODY, bold=True))
        self.kept = quiet(f"It is written down in {log_file()}.")
        advice = Label(
            "Open the page anew. If it happens again, quit and start Leadfall again: unsaved "
            "changes come back. Whoever helps you will want the details."
        )
        self.copy = QPushButton("Copy details")
        self.anew = QPushButton("Open the page anew")
        self.away = QPushButton("Close")
        self.copy.clicked.connect(self._copy)
        self.anew.clicked.connect(self._reopen)
        self.away.clicked.connect(self.close)
        self.anew.setDefault(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        column.setSpacing(GAP)
        for label in (self.head, advice, self.what, self.kept):
            label.setWordWrap(True)
            column.addWidget(label)
        row = QHBoxLayout()
        row.addWidget(self.copy)
        row.addStretch(1)
        row.addWidget(self.anew)
        row.addWidget(self.away)
        column.addLayout(row)

    def tell(self, mishap: Mishap) -> None:
        """Tell of a mishap; of those before it too, if they were not put away."""
        if not self.isVisible():
            self._told.clear()
        self._told = [*self._told, mishap][-MOST_TOLD:]
        self.head.setText(
            f"Something went wrong in the {TITLES[mishap.page]} page; nothing you made is lost."
        )
        self.what.setText(mishap.line)
        self.copy.setText("Copy details")
        self.show()

    def _copy(self) -> None:
        QApplication.clipboard().setText("\n".join(map(with_versions, self._told)))
        self.copy.setText("Copied")

    def _reopen(self) -> None:
        pages = dict.fromkeys(mishap.page for mishap in self._told)
        self.close()
        for page in pages:
            self.reopen.emit(page)
