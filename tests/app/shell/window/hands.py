"""What a person does with the window's files, and what the window says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtWidgets import QMessageBox, QStatusBar

from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.shell.window import Window

DEMO = scenario_file.demos()[0]

Button = QMessageBox.StandardButton


def warning(window: Window) -> str:
    """The text of the one message on screen, which is then closed."""
    (box,) = [box for box in window.findChildren(QMessageBox) if box.isVisible()]
    text = f"{box.text()}\n{box.informativeText()}"
    box.close()
    return text


def said(window: Window) -> str:
    bar = window.findChild(QStatusBar)
    return bar.currentMessage() if bar is not None else ""


def rename(window: Window, name: str) -> Setup:
    """Make an unsaved change."""
    changed = replace(window.document.setup, name=name)
    assert window.document.edit(changed, "name")
    return changed


def unsaved(home: Path) -> Path | None:
    """The one file of unsaved changes, if there is any."""
    found = list(home.glob("unsaved-*.toml"))
    assert len(found) <= 1
    return found[0] if found else None


def put_by(window: Window) -> None:
    """Let the autosave come at once."""
    assert window.files.autosave.isActive()
    window.files.autosave.stop()
    window.files.autosave.timeout.emit()
