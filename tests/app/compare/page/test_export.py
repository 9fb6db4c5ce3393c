"""Plots and table of the Compare page on the clipboard and in files."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from numpy.testing import assert_allclose
from PySide6.QtGui import QGuiApplication, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QFileDialog, QMessageBox

from app.compare.columns import COLUMNS
from app.compare.plot import ComparePlot
from tests.app.compare.page.desk import Desk


@pytest.fixture
def pick(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path | None, str], None]:
    """Answer the next question for a file's name, and with which kind."""

    def answer(path: Path | None, kind: str = "") -> None:
        given = "" if path is None else str(path)
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (given, kind))

    return answer


def test_that_the_table_goes_to_the_clipboard_as_it_is_ranked(shown: Desk) -> None:
    shown.page.table.rank(shown.column("alone"))
    shown.page.menu.copy_table()
    rows = [line.split("\t") for line in QGuiApplication.clipboard().text().splitlines()]
    assert rows[0][:3] == ["Candidate", "Tackle", "Sinks alone (ft/s)"]
    assert "Down to 20.0 ft (s)" in rows[0]
    assert [row[0] for row in rows[1:]] == shown.cells(0)
    assert float(rows[1][2]) > float(rows[2][2])
    assert {len(row) for row in rows} == {len(COLUMNS) + 3}


def test_that_a_plot_goes_to_the_clipboard_as_a_picture(shown: Desk) -> None:
    for name, plot in (("Drop", shown.page.drops), ("Run depth", shown.page.runs)):
        shown.page.menu.copy_plot(name, plot)
        assert_a_plots_picture(QGuiApplication.clipboard().image(), plot)


def assert_a_plots_picture(image: QImage, plot: ComparePlot) -> None:
    """It is larger than the plot and has the color of a candidate's curve in it."""
    assert image.width() > 2 * plot.width()
    assert image.height() > 2 * plot.height()
    wanted = plot.look.line_color(0).rgb()
    small = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(small.constBits(), dtype=np.uint32)
    assert np.count_nonzero(pixels == np.uint32(wanted)) > 100


def box_of(image: QImage, plot: ComparePlot) -> tuple[int, int, int, int]:
    """Where in a picture the second candidate's color is: top, bottom, left, right, px."""
    small = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(small.constBits(), dtype=np.uint32)
    pixels = pixels.reshape(small.height(), small.bytesPerLine() // 4)
    y, x = np.nonzero(pixels == np.uint32(plot.look.line_color(1).rgb()))
    return y.min(), y.max(), x.min(), x.max()


def ticks_of(image: QImage) -> tuple[int, int]:
    """First and last row of pixels with a depth beside the axis, px."""
    small = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(small.constBits(), dtype=np.uint32)
    pixels = pixels.reshape(small.height(), small.bytesPerLine() // 4) & 0xFF
    head = 2 * 90
    rows = np.flatnonzero((pixels[head : 2 * 520, 2 * 16 : 2 * 44] < 160).any(axis=1))
    return head + int(rows[0]), head + int(rows[-1])


@pytest.mark.parametrize("number", [0, 1, 2])
def test_that_plots_are_saved_as_png_and_svg(
    shown: Desk, tmp_path: Path, pick: Callable[..., None], number: int
) -> None:
    plot = shown.page.plots[number]
    pick(tmp_path / "plot.png")
    shown.page.menu.save_plot("Plot", plot)
    assert_a_plots_picture(QImage(str(tmp_path / "plot.png")), plot)
    pick(tmp_path / "plot", "Drawing (*.svg)")
    shown.page.menu.save_plot("Plot", plot)
    text = (tmp_path / "plot.svg").read_text(encoding="utf-8")
    root = ElementTree.fromstring(text)
    words = " ".join("".join(e.itertext()) for e in root.iter() if e.tag.endswith("text"))
    assert all(name.split()[0] in words for name in shown.names())
    assert ("7.5 kn" in words) == (number > 0)
    assert text.count("<polyline") >= 5
    drawing = QImage(QImage(str(tmp_path / "plot.png")).size(), QImage.Format.Format_RGB32)
    painter = QPainter(drawing)
    QSvgRenderer(str(tmp_path / "plot.svg")).render(painter)
    painter.end()
    assert_a_plots_picture(drawing, plot)
    ours, theirs = box_of(drawing, plot), box_of(QImage(str(tmp_path / "plot.png")), plot)
    assert_allclose(ours, theirs, atol=4)
    ours, theirs = ticks_of(drawing), ticks_of(QImage(str(tmp_path / "plot.png")))
    assert_allclose(ours, theirs, atol=6)


def test_that_curves_and_table_are_saved_as_csv(
    shown: Desk, tmp_path: Path, pick: Callable[..., None]
) -> None:
    pick(tmp_path / "curves.csv")
    shown.page.menu.save_curves()
    rows = list(csv.DictReader(io.StringIO((tmp_path / "curves.csv").read_text())))
    plots = {row["plot"] for row in rows}
    assert plots == {"free fall", "drop", "run depth by speed", "run depth by colors"}
    drop = [row for row in rows if row["plot"] == "drop" and row["candidate"] == "port"]
    known = shown.comparison.rows()[0].drop
    assert known is not None
    assert_allclose([float(r["depth_m"]) for r in drop], known.depth, rtol=1e-4, atol=1e-6)
    assert_allclose([float(r["tension_n"]) for r in drop], known.tension, rtol=1e-4)
    assert {row["speed_kn"] for row in drop} == {""}
    pick(tmp_path / "table", "Table (*.csv)")
    shown.page.menu.save_table()
    table = list(csv.reader(io.StringIO((tmp_path / "table.csv").read_text())))
    assert [row[0] for row in table[1:]] == shown.names()
    assert table[1][2] == shown.cells("alone")[0]


def test_that_what_cannot_be_written_is_named(
    shown: Desk, tmp_path: Path, pick: Callable[..., None]
) -> None:
    for path, do in (
        (tmp_path / "none" / "a.png", lambda: shown.page.menu.save_plot("Drop", shown.page.drops)),
        (tmp_path / "a.gif", lambda: shown.page.menu.save_plot("Drop", shown.page.drops)),
        (tmp_path / "none" / "a.csv", shown.page.menu.save_curves),
        (tmp_path / "none" / "b.csv", shown.page.menu.save_table),
    ):
        pick(path)
        do()
        box = shown.window.findChildren(QMessageBox)[-1]
        assert path.name in box.text()
        assert "could not be saved" in box.text()
        assert not path.exists()
        box.close()


def test_that_nothing_is_written_when_no_name_is_given(
    shown: Desk, tmp_path: Path, pick: Callable[..., None]
) -> None:
    pick(None)
    shown.page.menu.save_plot("Drop", shown.page.drops)
    shown.page.menu.save_table()
    shown.page.menu.save_curves()
    assert not [path for path in tmp_path.iterdir() if path.suffix in (".png", ".csv")]
