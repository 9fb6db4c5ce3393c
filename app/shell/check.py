"""``leadfall --check``: does everything work here? For a helper at the other end of a phone.

Asked when something is broken: at the top of this module nothing is loaded but Python's own
and what runs another process, in which is tried what may end it: compiled code and graphics.
No file is changed.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from app.common.error_line import in_a_line
from app.shell.apart import AGAIN, NotOk, Tell, apart, remedy

FORMAT = 1
"""Version of the layout of ``--json``."""

LIBRARIES = ("numpy", "scipy", "PySide6", "pyqtgraph", "tomlkit", "platformdirs", "filelock")

LEAST_FREE = 100_000_000
"""Bytes free on the disk of the user's folder below which room is asked for: common practice,
no source."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What was looked at, whether it is well, and what is to be said of it."""

    name: str
    ok: bool
    told: str

    def line(self) -> str:
        """In plain words."""
        return f"{'ok' if self.ok else 'not ok'}: {self.name}: {self.told}\n"


def main(words: Sequence[str]) -> int:
    """Look at everything and print a line each; 0 if all is well, else 1."""
    parser = argparse.ArgumentParser(
        prog="leadfall --check",
        description="Check that Leadfall works here. Changes no file, needs no screen.",
    )
    parser.add_argument("--json", action="store_true", help="print JSON instead of lines")
    as_json = parser.parse_args(words).json
    found = []
    for name, look in CHECKS:
        found.append(looked_at(name, look))
        if not as_json:
            _show(found[-1].line())
    well = all(one.ok for one in found)
    if as_json:
        checks = [{"name": one.name, "ok": one.ok, "told": one.told} for one in found]
        _show(json.dumps({"format": FORMAT, "ok": well, "checks": checks}, indent=1) + "\n")
    else:
        _show("all is well\n" if well else "not all is well: see the lines with not ok\n")
    return 0 if well else 1


def looked_at(name: str, look: Callable[[], str]) -> Finding:
    """What comes of one look, whatever that is."""
    try:
        return Finding(name, True, look())
    except NotOk as wrong:
        return Finding(name, False, str(wrong))
    except Exception as error:
        return Finding(name, False, f"cannot be told ({in_a_line(error)}). {AGAIN}")


def _show(text: str) -> None:
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError:
        # nobody reads on; the exit code still tells
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


# ---- what is looked at


def _program() -> str:
    here = f"Python {platform.python_version()}, {platform.platform()}"
    try:
        from app.common.version import version

        return f"Leadfall {version()}, {here}"
    except Exception as error:
        raise NotOk(f"{here}; Leadfall cannot be loaded ({in_a_line(error)}). {AGAIN}") from error


def _libraries() -> str:
    told, broken = [], []
    for name in LIBRARIES:
        try:
            library = import_module(name)
            if name == "PySide6":
                # this asks the system's own libraries for graphics
                import_module("PySide6.QtWidgets")
            told.append(f"{name} {library.__version__}")
        except Exception as error:
            broken.append(f"{name} cannot be loaded ({in_a_line(error)})")
    if broken:
        raise NotOk(f"{'; '.join(broken)}. {remedy(broken[0])}")
    return ", ".join(told)


def _core() -> str:
    from physics.compiled import CHOICE, FOLDER, NAMES
    from physics.line.core.library import LIBRARY

    choice = os.environ.get(CHOICE, "")
    if LIBRARY is not None:
        return "compiled"
    if choice == "numpy":
        return f"left out, because {CHOICE} says numpy: right, but slower"
    if choice:
        raise NotOk(f"{CHOICE} names {choice}, which cannot be used. Unset it.")
    there = [name for name in NAMES if (FOLDER / name).is_file()]
    if there:
        raise NotOk(f"{there[0]} cannot be used here: right, but slower. {AGAIN}")
    return "none was built: right, but slower"


def _solver() -> str:
    off, within = apart(_worst)
    if off > within:
        raise NotOk(
            f"depths of the stored case are {100 * off:.2g} % off, more than {100 * within:g} %. "
            f"Do not trust what is computed. {AGAIN}"
        )
    return f"depths are within {100 * off:.2g} % of the stored case, allowed is {100 * within:g} %"


def _worst(_tell: Tell) -> tuple[float, float]:
    from physics.simulation import stored_case

    return stored_case.worst(), stored_case.WITHIN


def _data() -> str:
    from app.common.resources import user_folder

    return writable(user_folder())


def _unsaved() -> str:
    from app.scenario.autosave import Unsaved

    return writable(Unsaved().path.parent)


def _tackle() -> str:
    from app.common.resources import tackle_folder

    return writable(tackle_folder())


def _settings() -> str:
    from app.common.resources import settings_file

    path = settings_file()
    told = writable(path.parent)
    if path.exists() and not os.access(path, os.W_OK):
        raise NotOk(f"{path} is write-protected. Make it writable.")
    return told


def writable(folder: Path) -> str:
    """That a file can be made in a folder, or where it is to be; raises NotOk.

    Tried with a file that has no name, or loses it when it is closed.
    """
    there = nearest(folder)
    try:
        with tempfile.TemporaryFile(dir=there) as file:
            file.write(b"leadfall")
            file.flush()
    except OSError as error:
        raise NotOk(
            f"nothing can be written in {there} ({error.strerror or 'unknown reason'}). "
            "Make that a folder you may write to, with room on its disk."
        ) from error
    return f"{folder} can be {'written' if there == folder else 'made'}"


def nearest(path: Path) -> Path:
    """The path, or of those it lies in the first that is there."""
    return next((place for place in (path, *path.parents) if os.path.lexists(place)), path)


def _disk() -> str:
    from app.common.resources import user_folder

    there = nearest(user_folder())
    free = shutil.disk_usage(there).free
    told = f"{free / 1e9:.1f} GB free where {there} is"
    if free < LEAST_FREE:
        raise NotOk(f"{told}. Make room: {LEAST_FREE / 1e9:g} GB at the least.")
    return told


def _painting() -> str:
    colors, qt = apart(_painted)
    if colors < 10:
        raise NotOk(f"the Rehearse page comes out empty (Qt {qt}). {AGAIN}")
    return f"the Rehearse page is painted without a screen (Qt {qt})"


def _painted(tell: Tell) -> tuple[int, str]:
    """How many colors the first page has when it is painted with no screen, and Qt's version."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    _hear_qt(tell)
    from PySide6.QtCore import qVersion
    from PySide6.QtWidgets import QApplication

    from app.gear.catalog import Catalog
    from app.rehearse.page import RehearsePage
    from app.scenario import file as scenario_file
    from app.session.document import Document
    from app.session.live_run import LiveRun
    from app.ui.preferences import Preferences

    application = QApplication([])
    catalog = Catalog.load(None)
    setup = scenario_file.load(scenario_file.demos()[0], catalog)
    live_run = LiveRun(Document(catalog, setup))
    page = RehearsePage(live_run, Preferences())
    page.resize(1280, 800)
    image = page.grab().toImage()
    live_run.close()
    points = [(x, y) for x in range(0, image.width(), 2) for y in range(0, image.height(), 2)]
    colors = len({image.pixel(x, y) for x, y in points})
    del page, application
    return colors, qVersion()


def _screen() -> str:
    chosen = os.environ.get("QT_QPA_PLATFORM", "")
    if sys.platform.startswith("linux") and not chosen and not _has_screen():
        return "there is none here, so no window can be shown"
    name = apart(_platform)
    return f"a window can be shown ({name})"


def _has_screen() -> bool:
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _platform(tell: Tell) -> str:
    """What Qt shows windows through here."""
    _hear_qt(tell)
    from PySide6.QtGui import QGuiApplication

    application = QGuiApplication([])
    name = application.platformName()
    del application
    return name


def _hear_qt(tell: Tell) -> None:
    """Hear what Qt says: its last words before it ends the process are told."""
    from PySide6.QtCore import QtMsgType, qInstallMessageHandler

    def heard(kind: QtMsgType, _context: object, text: str) -> None:
        if kind == QtMsgType.QtFatalMsg:
            tell(" ".join(text.split()))
            os._exit(1)

    qInstallMessageHandler(heard)


CHECKS: tuple[tuple[str, Callable[[], str]], ...] = (
    ("program", _program),
    ("libraries", _libraries),
    ("compiled core", _core),
    ("solver", _solver),
    ("your data", _data),
    ("your tackle", _tackle),
    ("unsaved changes", _unsaved),
    ("settings", _settings),
    ("disk", _disk),
    ("painting", _painting),
    ("screen", _screen),
)
