"""What people expect of a window: a file dropped, the last page, menus on plots, names for all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QLibraryInfo, QMimeData, QPoint, QPointF, Qt, QUrl, QVersionNumber
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QIcon
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox, QWidget

from app.common.resources import asset
from app.shell.help import show_about
from app.shell.page_stack import PAGES
from app.shell.window import Window
from app.ui import plot_menu, settings
from app.ui.canvas import PaintedPlot
from app.ui.plot_menu import PlotMenu
from tests.app.shell.test_keys import controls

NAMES = [name for name, _, _ in PAGES]
ANY = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier


def drag(window: Window, *paths: Path) -> bool:
    """Drag files over the window and let go; whether it takes them."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    # from Qt 6.12 on a place between pixels is asked for
    place = QPointF(50, 50) if QLibraryInfo.version() >= QVersionNumber(6, 12) else QPoint(50, 50)
    enter = QDragEnterEvent(place, ANY[0], data, ANY[1], ANY[2])
    enter.ignore()
    window.dragEnterEvent(enter)
    if not enter.isAccepted():
        return False
    drop = QDropEvent(QPointF(50, 50), ANY[0], data, ANY[1], ANY[2])
    window.dropEvent(drop)
    QApplication.processEvents()
    return True


def test_that_a_scenario_dropped_on_the_window_is_opened(
    start: Callable[..., Window], own: Path, tmp_path: Path
) -> None:
    window = start()
    assert window.acceptDrops()
    assert drag(window, own)
    assert window.document.path == own
    assert not drag(window, tmp_path / "notes.txt")
    assert not drag(window, own, own)


def test_that_no_plot_takes_what_is_dropped(start: Callable[..., Window]) -> None:
    for plot in start().findChildren(PaintedPlot):
        assert not plot.acceptDrops()
        assert not plot.viewport().acceptDrops()


def test_that_the_last_page_is_in_front_again(start: Callable[..., Window]) -> None:
    window = start()
    assert window.pages.currentWidget() is window.pages.rehearse
    window.show_page("tackle")
    window.close()
    again = start()
    assert again.pages.currentWidget() is again.pages.tackle
    assert again.page_row.front == "tackle"


def test_that_every_page_is_one_that_can_be_kept() -> None:
    assert list(settings.PAGES) == NAMES


def test_that_about_tells_version_license_and_where_things_are_kept(
    window: Window, home: Path
) -> None:
    show_about(window)
    (box,) = [b for b in window.findChildren(QMessageBox) if b.isVisible()]
    for words in ("Version 0.", "MIT license", str(home)):
        assert words in box.text()
    box.close()


def test_that_the_icon_is_our_own_and_can_be_drawn(dressed: QApplication) -> None:
    assert QSvgRenderer(str(asset("leadfall.svg"))).isValid()
    assert not QIcon(str(asset("leadfall.svg"))).pixmap(64, 64).isNull()
    entry = asset("leadfall.desktop").read_text(encoding="utf-8")
    assert "Exec=leadfall %f" in entry
    assert "Icon=leadfall" in entry


def everything(window: Window, kind: type[QWidget]) -> list[QWidget]:
    """All of a kind on all pages."""
    for name in NAMES:
        window.show_page(name)
        window.live_run.timer.stop()
        QApplication.processEvents()
    return window.findChildren(kind)


def test_that_every_plot_has_a_name_a_summary_and_a_menu(window: Window) -> None:
    plots = everything(window, PaintedPlot)
    assert len(plots) >= 10
    for plot in plots:
        assert isinstance(plot, PaintedPlot)
        assert plot.accessibleName()
        assert len(plot.accessibleDescription()) > 20, plot.accessibleName()
        menu = plot.menu(plot.rect().center())
        assert [a.text() for a in menu.actions()] == [
            "Copy the value here", "Copy the picture", "Save the picture…",
        ]  # fmt: skip
        menu.deleteLater()


@pytest.mark.parametrize("name", NAMES)
def test_that_every_control_has_a_name_for_screen_readers(window: Window, name: str) -> None:
    window.show_page(name)
    window.live_run.timer.stop()
    QApplication.processEvents()
    for control in controls(window):
        words = control.accessibleName() or getattr(control, "text", str)()
        assert words.strip(), f"{type(control).__name__} at {control.geometry()}"


def test_that_a_right_click_opens_the_menu_and_a_right_drag_does_not(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[PlotMenu] = []
    monkeypatch.setattr(PlotMenu, "popup", lambda menu, _at: opened.append(menu))
    view = window.page.side_view
    port, at = view.viewport(), QPoint(200, 120)
    QTest.mouseClick(port, Qt.MouseButton.RightButton, pos=at)
    (menu,) = opened
    menu.copy_value.trigger()
    across, up = map(float, QGuiApplication.clipboard().text().split(", "))
    place = view.view.mapSceneToView(view.mapToScene(at))
    assert across == pytest.approx(abs(place.x()), abs=0.06)
    assert up == pytest.approx(abs(place.y()), abs=0.06)
    menu.copy_picture.trigger()
    assert QGuiApplication.clipboard().image().width() == 2 * view.width()
    QTest.mousePress(port, Qt.MouseButton.RightButton, pos=at)
    QTest.mouseRelease(port, Qt.MouseButton.RightButton, pos=at + QPoint(60, 40))
    assert opened == [menu]


@pytest.mark.parametrize(("ending", "begins"), [(".png", b"\x89PNG"), (".svg", b"<?xml")])
def test_that_a_plot_is_saved_as_the_ending_says(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str, begins: bytes
) -> None:
    path = tmp_path / f"drop{ending}"
    monkeypatch.setattr(plot_menu, "ask_where", lambda *_: path)
    menu = window.page.depth_strip.menu(QPoint(50, 50))
    menu.save.trigger()
    menu.deleteLater()
    assert path.read_bytes().startswith(begins)
    assert path.stat().st_size > 2000
