"""Menus, keys, and what is always on screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, Qt
from PySide6.QtGui import QAction, QKeySequence, QPixmap, QPixmapCache, QShortcut
from PySide6.QtWidgets import QApplication, QLabel, QMessageBox
from pytestqt.qtbot import QtBot

from app.common import free_memory
from app.common.units import FOOT
from app.common.version import stepper, version
from app.shell.help import KEYS, show_about, show_keys
from app.shell.window import PIXMAPS_KB, Window
from app.ui.preferences import Preferences
from app.ui.settings import Settings, as_text
from tests.app.by_hand import Live
from tests.app.shell.window.hands import Button, rename, said, warning


def menu_actions(window: Window) -> list[QAction]:
    """Every entry of every menu that does something."""
    out: list[QAction] = []
    waiting = list(window.menuBar().actions())
    while waiting:
        action = waiting.pop(0)
        menu = action.menu()
        if menu is not None:
            menu.aboutToShow.emit()  # type: ignore[attr-defined]
            waiting += menu.actions()  # type: ignore[attr-defined]
        elif not action.isSeparator():
            out.append(action)
    return out


def test_that_every_menu_entry_can_be_chosen(
    live: Live, window: Window, pick: Callable[[Path | None], None], answers: list[Button]
) -> None:
    pick(None)
    rename(window, "Mine")
    chosen = []
    for action in menu_actions(window):
        if "Quit" in action.text():
            continue
        if action.text() in {"Two rods", "Shoal", "Lake", "&New scenario"}:
            window.document.saved = live.document.setup
        action.trigger()
        QApplication.processEvents()
        if live.live_run.settling:
            live.settle()
        chosen.append(action.text())
        for box in window.findChildren(QMessageBox):
            box.close()
    assert len(chosen) >= 15
    assert len(set(chosen)) == len(chosen)


def test_that_the_file_menu_has_the_helm_card_below_the_plan(window: Window) -> None:
    file = window.menuBar().actions()[0].menu()
    for _ in range(2):
        file.aboutToShow.emit()  # type: ignore[attr-defined]
        texts = [action.text() for action in file.actions()]  # type: ignore[attr-defined]
        assert texts.count("Helm card") == 1
        assert texts.index("Helm card") == texts.index("Plan and &helm card") + 1


def test_that_quit_closes_the_window(window: Window) -> None:
    (action,) = [a for a in menu_actions(window) if "Quit" in a.text()]
    action.trigger()
    assert not window.isVisible()


def test_that_the_chosen_look_and_unit_are_ticked(window: Window, preferences: Preferences) -> None:
    actions = {action.text(): action for action in menu_actions(window)}
    assert actions["Light"].isChecked()
    actions["Dark"].trigger()
    assert preferences.look.name == "dark"
    assert [t for t in ("Light", "Dark", "Bright sun") if actions[t].isChecked()] == ["Dark"]
    actions["meters"].trigger()
    assert preferences.length_name == "meters"
    assert not actions["feet"].isChecked()


def test_that_no_key_is_given_twice(window: Window) -> None:
    keys = [s.key().toString() for s in window.findChildren(QShortcut)]
    keys += [k.toString() for a in menu_actions(window) for k in a.shortcuts()]
    assert sorted(keys) == sorted(set(keys))


def test_that_the_list_of_keys_names_every_key_of_the_helm(window: Window) -> None:
    listed = " ".join(keys for keys, _ in KEYS).replace(",", "").split()
    for shortcut in window.findChildren(QShortcut):
        key = shortcut.key().toString()
        assert key in listed or key in "12345678", key
    for keys, _ in KEYS:
        if keys.startswith("Ctrl"):
            wanted = {QKeySequence(key.strip()).toString() for key in keys.split(",")}
            given = {k.toString() for a in menu_actions(window) for k in a.shortcuts()}
            assert wanted & given


def test_that_the_keys_and_the_cautions_can_be_read(window: Window) -> None:
    show_keys(window)
    box = next(box for box in window.findChildren(QMessageBox) if box.isVisible())
    assert box.height() <= 690, "a small screen is 720 high, title bars included"
    told = warning(window)
    assert all(keys in told and what in told for keys, what in KEYS)
    show_about(window)
    told = warning(window)
    assert "not for navigation" in told
    assert "propellers" in told
    assert f"Version {version()}, {stepper()}." in told


def test_that_the_caution_is_always_on_screen(window: Window) -> None:
    labels = [label.text() for label in window.page.findChildren(QLabel) if label.isVisible()]
    assert any("not for navigation" in text for text in labels)


def test_that_markup_in_a_scenarios_name_is_shown_as_written(
    window: Window, answers: list[Button]
) -> None:
    rename(window, "<b>Mine</b> & yours")
    assert window.scenario_name.text().startswith("<b>Mine</b> & yours*")
    assert window.scenario_name.textFormat() == Qt.TextFormat.PlainText


def test_that_the_status_line_tells_what_was_refused(live: Live, window: Window) -> None:
    rod = replace(live.document.setup.rods[0], line_out=FOOT.to_si(1e6))
    live.document.edit(replace(live.document.setup, rods=(rod,)), "colors out")
    assert "line_out" in said(window)


def test_that_a_window_put_back_keeps_a_usable_size(
    start: Callable[..., Window], settings: Settings
) -> None:
    settings.set("geometry", as_text(QByteArray(b"\x01\xd9\xd0\xcb")))
    assert start().width() >= 600


def test_that_a_window_gives_freed_memory_back_again_and_again(
    live: Live, make_window: Callable[[Live], Window], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[int] = []
    monkeypatch.setattr(free_memory, "TRIM", given.append)
    monkeypatch.setattr("app.shell.window.GIVE_BACK_MS", 5)
    make_window(live)
    qtbot.waitUntil(lambda: len(given) > 2)


def test_that_pictures_of_old_sizes_do_not_fill_the_memory(window: Window) -> None:
    assert QPixmapCache.cacheLimit() == round(PIXMAPS_KB * window.devicePixelRatioF() ** 2)
    before = QPixmapCache.cacheLimit() // 512
    keys = [QPixmapCache.insert(QPixmap(256, 512)) for _ in range(3 * before)]
    assert sum(QPixmapCache.find(key) is not None for key in keys) <= before
    QPixmapCache.clear()
