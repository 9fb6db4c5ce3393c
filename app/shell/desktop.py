"""Leadfall in a Linux desktop's menu, with its icon, and scenario files that open with it.

``leadfall --desktop install`` puts three files where desktops look for those of one person, and
``remove`` takes them away. A file named ``*.leadfall.toml`` opens with Leadfall; for any other
TOML file it is among the programs to open it with, since most are not scenarios.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import platformdirs

from app.common.bad_input import BadInput
from app.common.files import WRITABLE, make_folder, write_safely
from app.common.resources import asset

LINUX = sys.platform.startswith("linux")

ENTRY, MIME = "applications/leadfall.desktop", "mime/packages/leadfall.xml"

PLACES = {
    ENTRY: "leadfall.desktop",
    MIME: "leadfall-mime.xml",
    "icons/hicolor/scalable/apps/leadfall.svg": "leadfall.svg",
}
"""Where each shipped file goes in a person's data folder."""

PATIENCE = 30.0
"""Seconds a desktop's own command gets to look at the new files."""


def run_desktop(action: str) -> str:
    """Install or remove; what was done, in a sentence. Raises BadInput."""
    if not LINUX:
        raise BadInput(
            "command line", "--desktop", action,
            "Linux. Elsewhere right-click a scenario file, choose Open with, and find leadfall",
        )  # fmt: skip
    base = Path(platformdirs.user_data_dir())
    if action == "remove":
        for place in PLACES:
            _removed(base / place)
        done = "Leadfall is out of the menu. Your own files stay."
    else:
        for place, name in PLACES.items():
            make_folder((base / place).parent)
            text = asset(name).read_text("utf-8")
            write_safely(base / place, with_command(text) if place == ENTRY else text)
        done = "Leadfall is in the menu, and files named *.leadfall.toml open with it."
    _told("update-mime-database", base / "mime")
    _told("update-desktop-database", base / "applications")
    return f"{done}\n"


def _removed(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        problem = f"cannot be removed ({error.strerror or 'unknown reason'})"
        raise BadInput(str(path), "", None, WRITABLE, problem) from error


def _told(command: str, folder: Path) -> None:
    """Have a desktop look again, where it wants to be told so."""
    if folder.is_dir() and (found := shutil.which(command)):
        subprocess.run([found, folder], capture_output=True, check=False, timeout=PATIENCE)


def with_command(entry: str) -> str:
    """A desktop entry that starts this very program."""
    words = " ".join(map(quoted, this_program()))
    return entry.replace("Exec=leadfall %f", f"Exec={words} %f")


def this_program() -> list[str]:
    """The command that starts what runs now."""
    if getattr(sys, "frozen", False):
        return [sys.executable]
    beside = Path(sys.executable).with_name("leadfall")
    return [str(beside)] if beside.is_file() else [sys.executable, "-m", "app"]


def quoted(word: str) -> str:
    """A word of a desktop entry's command: quoted, and then escaped as every text of it is
    (Desktop Entry Specification 1.5, sections 4 and 7)."""
    word = re.sub(r'(["`$\\])', r"\\\1", word).replace("%", "%%")
    return '"' + word.replace("\\", "\\\\") + '"'
