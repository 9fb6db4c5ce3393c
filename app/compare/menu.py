"""What can be taken away from the Compare page: plots as pictures, curves and table as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMenu, QWidget

from app.common.bad_input import BadInput
from app.common.files import write_safely
from app.compare.columns import curves_csv, table_csv
from app.compare.model import Comparison
from app.compare.picture import KINDS, as_image, write_picture
from app.compare.plot import ComparePlot
from app.compare.table import CompareTable
from app.ui.save_dialog import ask_where

Say = Callable[[str], None]
Warn = Callable[[str, str], None]


class CompareMenu(QMenu):
    """Save and copy.

    ``tell`` says what was done, ``warn`` (title, text) what failed; ``about``
    gives the line under a picture's title.
    """

    def __init__(
        self,
        comparison: Comparison,
        table: CompareTable,
        plots: Sequence[tuple[str, ComparePlot]],
        about: Callable[[ComparePlot], str],
        parent: QWidget,
        tell: Say,
        warn: Warn,
    ) -> None:
        super().__init__("Save or copy", parent)
        self._comparison, self._table, self._about = comparison, table, about
        self._tell, self._warn = tell, warn
        self.addAction("Copy the table", self.copy_table)
        self.addAction("Save the table as CSV…", self.save_table)
        self.addAction("Save the curves as CSV…", self.save_curves)
        self.addSeparator()
        for name, plot in plots:
            self.addAction(f"Save “{name}” as PNG or SVG…", partial(self.save_plot, name, plot))
        for name, plot in plots:
            self.addAction(f"Copy “{name}” as a picture", partial(self.copy_plot, name, plot))

    def copy_table(self) -> None:
        """The table to the clipboard, tabs between."""
        QGuiApplication.clipboard().setText(self._table.as_text())
        self._tell("The table is on the clipboard")

    def copy_plot(self, name: str, plot: ComparePlot) -> None:
        """A plot to the clipboard as a picture."""
        QGuiApplication.clipboard().setImage(as_image(plot, self._about(plot)))
        self._tell(f"“{name}” is on the clipboard as a picture")

    def save_plot(self, name: str, plot: ComparePlot) -> None:
        """Ask where, and write the kind of picture its name says."""
        start = f"{name.lower().replace(' ', '-')}.png"
        path = self._ask(f"Save “{name}”", start, KINDS)
        if path is not None:
            self._write("This plot", path, lambda: write_picture(plot, path, self._about(plot)))

    def save_table(self) -> None:
        """Ask where, and write the table."""
        path = self._ask("Save the table", "compare.csv", "Table (*.csv)")
        if path is not None:
            lineup = self._comparison.lineup
            data = table_csv(self._table.shown, lineup, self._table.units)
            self._write("The table", path, lambda: write_safely(path, data))

    def save_curves(self) -> None:
        """Ask where, and write every curve."""
        path = self._ask("Save the curves", "compare-curves.csv", "Table (*.csv)")
        if path is not None:
            data = curves_csv(self._comparison.rows(), self._comparison)
            self._write("The curves", path, lambda: write_safely(path, data))

    def _ask(self, title: str, start: str, kinds: str) -> Path | None:
        return ask_where(self.parentWidget(), title, start, kinds)

    def _write(self, what: str, path: Path, do: Callable[[], None]) -> None:
        try:
            do()
        except BadInput as error:
            self._warn(f"{what} could not be saved", str(error))
        else:
            self._tell(f"{what} is saved as {path.name}".replace("curves is", "curves are"))
