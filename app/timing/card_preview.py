"""The helm card before it goes to a printer."""

from __future__ import annotations

from PySide6.QtGui import QPainter
from PySide6.QtPrintSupport import QPrinter, QPrinterInfo, QPrintPreviewDialog
from PySide6.QtWidgets import QWidget

from app.common.papers import PAPERS, Paper
from app.planning.card_words import Card
from app.timing.card import draw_pages
from app.ui.on_paper import DOTS, set_paper


def print_preview(card: Card, parent: QWidget | None, paper: Paper = PAPERS["A5"]) -> None:
    """Show the card as it will print, with the print dialog at hand; returns when closed."""
    dialog = preview_dialog(card, parent, paper)
    dialog.exec()
    dialog.deleteLater()


def preview_dialog(
    card: Card, parent: QWidget | None, paper: Paper = PAPERS["A5"]
) -> QPrintPreviewDialog:
    """The dialog of ``print_preview``, not yet shown."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(f"Helm card: {card.title}")
    set_paper(printer, paper)
    dialog = QPrintPreviewDialog(printer, parent)
    dialog.setWindowTitle("Helm card")
    # the dialog does not keep its printer alive, the connection does
    dialog.paintRequested.connect(lambda _: _paint(printer, card, paper))
    return dialog


def usual_printer() -> QPrinter | None:
    """The printer that is set up as the usual one, if there is any."""
    info = QPrinterInfo.defaultPrinter()
    return None if info.isNull() else QPrinter(info, QPrinter.PrinterMode.HighResolution)


def print_card(card: Card, printer: QPrinter, paper: Paper) -> bool:
    """Print a card without asking; whether the printer took it."""
    printer.setDocName(f"Helm card: {card.title}")
    set_paper(printer, paper)
    return _paint(printer, card, paper)


def _paint(printer: QPrinter, card: Card, paper: Paper) -> bool:
    painter = QPainter()
    if not painter.begin(printer):
        return False
    draw_pages(painter, printer, card, paper, printer.resolution() / DOTS)
    return painter.end()
