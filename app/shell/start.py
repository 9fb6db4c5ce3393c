"""The start of the program: what is opened first, its window, and its one loop."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QGuiApplication, QIcon
from PySide6.QtWidgets import QApplication, QMessageBox

from app.common.bad_input import BadInput
from app.common.free_memory import keep_little
from app.common.resources import asset
from app.gear.catalog import Catalog
from app.scenario import autosave
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.session.document import Document
from app.session.live_run import LiveRun
from app.shell.collecting import Collecting
from app.shell.ending import leave_on_signals
from app.shell.place import keep_on_screen
from app.shell.window import Window
from app.ui.look import LIGHT, tabular
from app.ui.plain import Message
from app.ui.preferences import Preferences
from app.ui.settings import Settings
from app.ui.text_size import SIZES, set_text_size

WARM_MS = 2500
"""A worker loads what plans need this long after the window is up, ms: it comes first."""


def first_setup(
    path: Path | None, settings: Settings, catalog: Catalog
) -> tuple[Setup, Path | None, str]:
    """What to open at the start: the file asked for, the last one, or the first demo.

    Also its path (None for a demo) and a message when a file could not be read.
    """
    demos = scenario_file.demos()
    last = settings.get("scenario")
    tries = [path] if path else ([Path(last)] if last else [])
    message = ""
    for candidate in tries:
        try:
            setup = scenario_file.load(candidate, catalog)
        except BadInput as error:
            message = str(error)
        else:
            return setup, None if candidate in demos else candidate, ""
    return scenario_file.load(demos[0], catalog), None, message


def build_window(path: Path | None, settings: Settings) -> Window:
    """The window over its document, not yet shown. Raises BadInput for a shipped file."""
    catalog, refusals = Catalog.load_what_can_be_read()
    setup, own, message = first_setup(path, settings, catalog)
    preferences = Preferences(settings.get("length", "feet"), settings.get("look", LIGHT.name))
    window = Window(LiveRun(Document(catalog, setup, own)), preferences, settings)
    window.show_page(settings.get("page", window.page_row.front))
    if refusals:
        told = "\n\n".join(str(error) for error in refusals)
        window.warn(
            "Some of your own tackle could not be read and is left out. The file stays as it is.",
            told,
        )
    restored = window.files.take_up_left(autosave.left_behind(), restore=path is None)
    if settings.told:
        window.warn("Some settings could not be used", settings.told)
    if message:
        instead = "" if restored else ". The first demo is shown instead."
        window.warn("A scenario could not be opened", message + instead)
    return window


def run_dashboard(path: Path | None) -> int:
    """Start the dashboard; returns the exit code."""
    keep_little()
    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("Leadfall")
    QGuiApplication.setDesktopFileName("leadfall")
    if isinstance(application, QApplication):
        application.setStyle("Fusion")
        application.setFont(tabular(application.font()))
        application.setWindowIcon(QIcon(str(asset("leadfall.svg"))))
    try:
        settings = Settings()
        set_text_size(SIZES[settings.get("text", "100")])
        window = build_window(path, settings)
    except BadInput as error:
        Message(f"Leadfall could not start.\n\n{error}", icon=QMessageBox.Icon.Critical).exec()
        return 2

    def leave(code: int) -> None:
        window.leave()
        # by then there is a loop to end, however early this is
        QTimer.singleShot(0, application, partial(application.exit, code))

    end_catching = window.mishaps.catch()
    end_listening = leave_on_signals(leave, window)
    collecting = Collecting(window)
    keep_on_screen(window)
    window.show()
    # by now its frame is known
    QTimer.singleShot(0, window, partial(keep_on_screen, window))
    if not settings.get("guided"):
        window.show_guide()
    window.live_run.start()
    QTimer.singleShot(WARM_MS, window.pages, window.pages.warm)
    code = application.exec()
    collecting.end()
    end_listening()
    end_catching()
    return code
