"""Where to save: the one way every page asks for it."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.ui.plain import Message


def ask_where(parent: QWidget | None, title: str, start: str, kinds: str) -> Path | None:
    """The file to write, or None. ``kinds`` are filters; a name without an ending gets theirs.

    The dialog asks before a file of the name typed is replaced. It does not see the ending
    that is added here, whatever system it is from; so then it is asked here.
    """
    name, chosen = QFileDialog.getSaveFileName(parent, title, start, kinds)
    if not name:
        return None
    path = Path(name)
    if re.fullmatch(r"\.[A-Za-z]\w*", path.suffix):
        return path
    endings = re.search(r"\*(\.\w+)", chosen) or re.search(r"\*(\.\w+)", kinds)
    path = path.with_name(path.name + (endings[1] if endings else ""))
    return path if not _there(path) or may_replace(parent, path) else None


def may_replace(parent: QWidget | None, path: Path) -> bool:
    """Ask whether a file may be replaced."""
    return confirmed(parent, f"There is a file {path.name} already.", "Replace")


def confirmed(parent: QWidget | None, text: str, yes: str) -> bool:
    """Ask a question answered by a button named ``yes`` or by Cancel, which is the default."""
    box = Message(text, parent, QMessageBox.Icon.Question)
    buttons = QMessageBox.StandardButton
    box.setStandardButtons(buttons.Yes | buttons.Cancel)
    box.button(buttons.Yes).setText(yes)
    box.setDefaultButton(buttons.Cancel)
    return bool(box.exec() == buttons.Yes)


def _there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return False
