"""The manual: a few short pages with the program's own pictures and the words it uses."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import (
    QImage,
    QResizeEvent,
    QTextCursor,
    QTextDocument,
    QTextFragment,
    QTextImageFormat,
)
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QTextBrowser,
    QWidget,
)

from app.common.resources import asset
from app.ui.look import px

FOLDER = "manual"


def chapters() -> dict[str, Path]:
    """Titles and files of the manual's pages, in order."""
    files = sorted(asset(FOLDER).glob("*.md"))
    return {file.read_text(encoding="utf-8").splitlines()[0].lstrip("# "): file for file in files}


class Page(QTextBrowser):
    """One page; its pictures are no wider than it is."""

    def show_page(self, file: Path) -> None:
        """Show a page of the manual."""
        document = self.document()
        document.setBaseUrl(QUrl.fromLocalFile(str(file)))
        document.setMarkdown(
            file.read_text(encoding="utf-8"), QTextDocument.MarkdownFeature.MarkdownDialectGitHub
        )
        self._fit_pictures()
        # reading leaves the cursor at the end, and the first showing would scroll to it
        self.moveCursor(QTextCursor.MoveOperation.Start)
        self.verticalScrollBar().setValue(0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_pictures()

    def _fit_pictures(self) -> None:
        document = self.document()
        room = self.viewport().width() - 2.0 * document.documentMargin()
        block = document.begin()
        while block.isValid():
            piece = block.begin()
            while not piece.atEnd():
                fragment = piece.fragment()
                if fragment.charFormat().isImageFormat():
                    self._fit_picture(fragment, room)
                piece += 1
            block = block.next()

    def _fit_picture(self, fragment: QTextFragment, room: float) -> None:
        picture = QTextImageFormat(fragment.charFormat().toImageFormat())
        name = self.document().baseUrl().resolved(QUrl(picture.name())).toLocalFile()
        picture.setWidth(min(float(QImage(name).width()), room))
        cursor = self.textCursor()
        cursor.setPosition(fragment.position())
        cursor.setPosition(fragment.position() + fragment.length(), cursor.MoveMode.KeepAnchor)
        cursor.setCharFormat(picture)


class Manual(QDialog):
    """A list of pages, and the one chosen."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Leadfall manual")
        self.pages = QListWidget()
        self.pages.setAccessibleName("Pages of the manual")
        self.pages.setFixedWidth(round(px(190)))
        self.text = Page()
        self.text.setAccessibleName("Page")
        for title in chapters():
            QListWidgetItem(title, self.pages)
        self.pages.currentRowChanged.connect(self._show)
        row = QHBoxLayout(self)
        row.addWidget(self.pages)
        row.addWidget(self.text, 1)
        self.resize(round(px(900)), round(px(620)))
        self.pages.setCurrentRow(0)

    def _show(self, row: int) -> None:
        self.text.show_page(list(chapters().values())[row])
