"""The window: puts pages together; menus, keys, files, settings, autosave.

Depends on: page_stack, page_row, card_menu, spread_editor, rehearsal, preferences, look,
scenario_file, catalog, autosave, files, ending, words.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings, Qt, QTimer
from PySide6.QtGui import QAction, QActionGroup, QCloseEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QFileDialog,
    QMainWindow,
    QMenu,
    QMenuBar,
    QMessageBox,
)

from app import autosave, files, scenario_file
from app.bad_input import BadInput
from app.catalog import Catalog
from app.clock import SPEEDS
from app.ending import leave_on_signals
from app.look import LOOKS, palette, style_sheet
from app.page_stack import LIVE, PAGES, PageStack
from app.preferences import LENGTHS, Preferences
from app.rehearsal import Rehearsal
from app.setup import Setup
from app.views.card_menu import CardMenu
from app.views.page_row import PageRow
from app.views.spread_editor import SpreadEditor
from app.words import CAUTION

AUTOSAVE_MS = 3000
"""An unsaved change is put by within this time, ms."""

WARM_MS = 2500
"""The planner's processes start this long after the window is up, ms: it comes first."""

KEYS = (
    *((key, f"The {title} page") for _, title, key in PAGES),
    ("Space", "Out of gear, or back in gear"),
    ("M", "A mark under the sounder, now"),
    ("P", "Pause, or go on"),
    ("R", "Start over"),
    ("1 to 8", "Run that many times as fast as life"),
    ("Up, Down", "Throttle up or down half a knot"),
    ("Left, Right", "Wheel a step to port or starboard"),
    ("C", "Wheel amidships"),
    ("E", "One engine, or both"),
    ("W", "Automatic wait after a mark on or off"),
    ("A", "Automatic hold on or off"),
    ("F", "Fit the side view and follow the boat"),
    ("Ctrl+E", "Edit the spread"),
    ("Insert, Delete", "On the Compare page: add a candidate, take one away"),
    ("Ctrl+Z, Ctrl+Shift+Z", "Undo, redo a change of the setup"),
)


class Window(QMainWindow):
    """One window, one rehearsal."""

    def __init__(
        self,
        rehearsal: Rehearsal,
        preferences: Preferences,
        settings: QSettings,
        path: Path | None = None,
    ) -> None:
        super().__init__()
        self.rehearsal, self.preferences, self._settings = rehearsal, preferences, settings
        self.path = path
        self._saved: Setup | None = rehearsal.setup
        self.pages = PageStack(rehearsal, preferences, self.say, self.warn)
        self.page = self.pages.rehearse
        self.planner, self.shelf = self.pages.planner, self.pages.shelf
        self.pages.wanted.connect(self.show_page)
        self.setCentralWidget(self.pages)
        self._live_keys: list[QShortcut] = []
        self.editor: SpreadEditor | None = None
        self.page.helm.spread.clicked.connect(self.edit_spread)
        self._menus()
        self._shortcuts()
        self._may_put_by = True
        self._autosave = QTimer(self)
        self._autosave.setInterval(AUTOSAVE_MS)
        self._autosave.setSingleShot(True)
        self._autosave.timeout.connect(self._put_by)
        rehearsal.setup_changed.connect(self._changed)
        rehearsal.trouble.connect(self.say)
        preferences.look_changed.connect(self.apply_look)
        self.apply_look()
        self.resize(1280, 800)
        self._restore()
        self._retitle()
        self.page.side_view.setFocus()

    # ---- menus and keys

    def menuBar(self) -> QMenuBar:
        """The menus; they share a row with the pages."""
        return self.page_row.bar

    def _menus(self) -> None:
        self.page_row = PageRow(PAGES, self.show_page)
        self.scenario_name = self.page_row.name
        self.setMenuWidget(self.page_row)
        bar = self.page_row.bar
        file = bar.addMenu("&File")
        self._action(file, "&Open scenario…", self.choose_file, QKeySequence.StandardKey.Open)
        demos = file.addMenu("Open a &demo (invented)")
        for demo in scenario_file.demos():
            title = demo.stem.partition("-")[2].replace("-", " ").capitalize()
            self._action(demos, title, partial(self.open_file, demo, demo=True))
        file.addSeparator()
        self._action(file, "&Save", self.save, QKeySequence.StandardKey.Save)
        self._action(file, "Save &as…", self.save_as, QKeySequence.StandardKey.SaveAs)
        file.addSeparator()
        self.card_menu = CardMenu(self.planner, self._settings, self, self.say, self.warn)
        self._action(file, "Plan and &helm card", partial(self.show_page, "timing"))
        file.addMenu(self.card_menu)
        file.addSeparator()
        self._action(file, "&Quit", self.close, QKeySequence.StandardKey.Quit)
        edit = bar.addMenu("&Edit")
        stack = self.rehearsal.undo_stack
        for action, keys in (
            (stack.createUndoAction(self, "Undo"), QKeySequence.StandardKey.Undo),
            (stack.createRedoAction(self, "Redo"), QKeySequence.StandardKey.Redo),
        ):
            action.setShortcuts(QKeySequence.keyBindings(keys))
            edit.addAction(action)
        edit.addSeparator()
        self._action(edit, "Spread, boat and current…", self.edit_spread, "Ctrl+E")
        view = bar.addMenu("&View")
        self._action(view, "Fit the side view", self.page.side_view.fit)
        looks = view.addMenu("Look")
        self._choice(looks, [(k.title, n) for n, k in LOOKS.items()],
                     self.preferences.look.name, self.preferences.set_look)  # fmt: skip
        lengths = view.addMenu("Depths and distances in")
        self._choice(lengths, [(n, n) for n in LENGTHS], self.preferences.length_name,
                     self.preferences.set_length)  # fmt: skip
        help_menu = bar.addMenu("&Help")
        self._action(help_menu, "Keys", self.show_keys, "F1")
        self._action(help_menu, "About Leadfall and cautions", self.show_about)

    def _action(
        self,
        menu: QMenu,
        text: str,
        do: Callable[[], object],
        keys: QKeySequence.StandardKey | str | None = None,
    ) -> QAction:
        action = QAction(text, self)
        action.triggered.connect(lambda: do())
        if isinstance(keys, str):
            action.setShortcut(QKeySequence(keys))
        elif keys is not None:
            action.setShortcuts(QKeySequence.keyBindings(keys))
        menu.addAction(action)
        return action

    def _choice(
        self,
        menu: QMenu,
        items: list[tuple[str, str]],
        current: str,
        choose: Callable[[str], None],
    ) -> None:
        group = QActionGroup(self)
        for title, name in items:
            action = QAction(title, self, checkable=True)
            action.setChecked(name == current)
            action.triggered.connect(lambda _=False, n=name: choose(n))
            group.addAction(action)
            menu.addAction(action)

    def _shortcuts(self) -> None:
        rehearsal, helm = self.rehearsal, self.page.helm
        for keys, do in (
            ("Space", lambda: rehearsal.shift() if rehearsal.under_orders else None),
            ("M", rehearsal.drop_mark),
            ("P", rehearsal.pause),
            ("R", rehearsal.start_over),
            ("F", self.page.side_view.fit),
            ("E", lambda: helm.engines.toggle() if helm.engines.isEnabled() else None),
            ("W", lambda: helm.auto_wait.toggle() if helm.auto_wait.isEnabled() else None),
            ("A", lambda: helm.auto.toggle() if helm.auto.isEnabled() else None),
            ("Up", lambda: helm.step_throttle(0.5)),
            ("Down", lambda: helm.step_throttle(-0.5)),
            ("Left", lambda: helm.step_wheel(-1)),
            ("Right", lambda: helm.step_wheel(1)),
            ("C", lambda: helm.step_wheel(0)),
            *((str(n), lambda n=n: rehearsal.set_speed(n)) for n in SPEEDS),
        ):
            self._live_keys.append(QShortcut(QKeySequence(keys), self, do))
        for name, _, key in PAGES:
            QShortcut(QKeySequence(key), self, partial(self.show_page, name))

    # ---- pages

    def show_page(self, name: str) -> None:
        """Bring a page forward by name."""
        self.page_row.choose(name)
        if self.pages.bring(name):
            for key in self._live_keys:
                key.setEnabled(name in LIVE)
            if name == "timing":
                self.pages.timing.card.setMenu(self.card_menu)

    # ---- files

    def choose_file(self) -> None:
        """Ask which scenario to open."""
        start = str(self.path.parent) if self.path else ""
        name, _ = QFileDialog.getOpenFileName(
            self, "Open scenario", start, "Scenarios (*.toml);;All files (*)"
        )
        if name:
            self.open_file(Path(name))

    def open_file(self, path: Path, *, demo: bool = False) -> bool:
        """Open a scenario, after offering to save what is changed; False if not opened."""
        if not self._may_leave():
            return False
        try:
            setup = scenario_file.load(path, self.rehearsal.catalog)
        except BadInput as error:
            self.warn("This scenario could not be opened", str(error))
            return False
        self.path = None if demo else path
        self._saved = setup
        self.rehearsal.open(setup)
        self._settings.setValue("scenario", str(path))
        self._forget_put_by()
        self._retitle()
        return True

    def save(self) -> bool:
        """Save to the scenario's own file, or ask for one."""
        return self.save_as() if self.path is None else self._save_to(self.path)

    def save_as(self) -> bool:
        """Ask where to save."""
        name, _ = QFileDialog.getSaveFileName(
            self, "Save scenario", str(self.path or "scenario.toml"), "Scenarios (*.toml)"
        )
        if not name:
            return False
        path = Path(name)
        return self._save_to(path if path.suffix else path.with_suffix(".toml"))

    def _save_to(self, path: Path) -> bool:
        try:
            scenario_file.save(self.rehearsal.setup, path)
        except BadInput as error:
            self.warn("This scenario could not be saved", str(error))
            return False
        self.path, self._saved = path, self.rehearsal.setup
        self._settings.setValue("scenario", str(path))
        self._forget_put_by()
        self._retitle()
        self.say(f"Saved as {path.name}")
        return True

    @property
    def changed(self) -> bool:
        """Whether the setup on screen differs from the file's."""
        return self.rehearsal.setup != self._saved

    def restored(self, setup: Setup) -> None:
        """Take up changes that were put by when the program last ended."""
        self.rehearsal.open(setup)
        self._retitle()
        self.say("Your unsaved changes from last time are back.")

    def _changed(self) -> None:
        self._retitle()
        self._autosave.start()

    def unsaved_left(self) -> None:
        """Another file was asked for: what was put by last time is kept under a name of its own."""
        try:
            if not files.is_there(autosave.place()):
                return
        except BadInput as error:
            self.unsaved_damaged(error)
            return
        aside = files.set_aside(autosave.place(), word="earlier")
        self._may_put_by = aside is not None
        where = aside or autosave.place()
        self.warn("There are unsaved changes from last time", f"They are kept in {where}.")

    def unsaved_damaged(self, error: BadInput) -> None:
        """What was put by last time cannot be read: set it aside, or spare it, and say so."""
        aside = files.set_aside(autosave.place())
        self._may_put_by = aside is not None
        told = f"{error}. {files.aside_in_words(aside)}"
        self.warn("Your unsaved changes from last time could not be read", told)

    def _forget_put_by(self) -> None:
        if self._may_put_by:
            autosave.forget()

    def _put_by(self) -> None:
        if not self._may_put_by:
            return
        try:
            if self.changed:
                autosave.keep(self.rehearsal.setup, self.path)
            else:
                autosave.forget()
        except BadInput as error:
            self.say(f"Your changes could not be put by: {error}")

    def _may_leave(self) -> bool:
        """Offer to save changes; False to stay."""
        if not self.changed:
            return True
        box = QMessageBox(self)
        box.setWindowTitle("Leadfall")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(f"Save the changes to “{self.rehearsal.setup.name}” first?")
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Save | buttons.Discard | buttons.Cancel)
        answer = box.exec()
        if answer == buttons.Save:
            return self.save()
        return bool(answer == buttons.Discard)

    # ---- words

    def say(self, text: str) -> None:
        """A line at the foot of the window for a while."""
        self.statusBar().showMessage(text, 9000)

    def warn(self, title: str, text: str) -> None:
        """A message that waits to be read; the program goes on behind it."""
        box = QMessageBox(QMessageBox.Icon.Warning, "Leadfall", f"{title}\n\n{text}", parent=self)
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.open()

    def show_keys(self) -> None:
        """The keys, in a list."""
        rows = "".join(
            f"<tr><td style='padding:3px 18px 3px 0'><b>{k}</b></td><td>{v}</td></tr>"
            for k, v in KEYS
        )
        box = QMessageBox(QMessageBox.Icon.NoIcon, "Keys", f"<table>{rows}</table>", parent=self)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.open()

    def show_about(self) -> None:
        """What the program is, and the cautions."""
        text = (
            "<h3>Leadfall</h3><p>Rehearse the drop: lines and lures computed as a towed line "
            "in three dimensions, from the rod tip to the lure.</p>"
            f"<p><b>{CAUTION}</b></p>"
            "<p>A boat lying without way can swing beam to sea; lines drift toward propellers as "
            "she loses way: look aft before you go in gear. Wash your hands after handling lead. "
            "Watch the weather. What you measure on your own boat counts for more than any "
            "figure here.</p><p>The demo scenarios are invented.</p>"
        )
        box = QMessageBox(QMessageBox.Icon.NoIcon, "About Leadfall", text, parent=self)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.open()

    def edit_spread(self) -> None:
        """Open the spread's own window, or bring it forward."""
        if self.editor is None:
            self.editor = SpreadEditor(self.rehearsal, self.preferences, self)
            # over the lower half, so that the lines stay in sight while they change
            frame = self.geometry()
            self.editor.move(frame.left(), frame.bottom() - self.editor.height())
        self.editor.show()
        self.editor.raise_()
        self.editor.activateWindow()

    # ---- look, title, state

    def apply_look(self) -> None:
        """Dress the whole program in the chosen look."""
        application = QApplication.instance()
        look = self.preferences.look
        if isinstance(application, QApplication):
            application.setPalette(palette(look))
        # the window's own sheet, not the application's: it reaches all that hangs on the
        # window and leaves alone what some other window is just taking down
        self.setStyleSheet(style_sheet(look))
        self._settings.setValue("look", self.preferences.look.name)

    def _retitle(self) -> None:
        star = "*" if self.changed else ""
        demo = "" if self.path else "  (demo, invented)"
        self.scenario_name.setText(f"{self.rehearsal.setup.name[:70]}{star}{demo}")
        self.scenario_name.adjustSize()
        self.setWindowTitle(f"{self.rehearsal.setup.name}{star} – Leadfall")

    def _restore(self) -> None:
        # a settings file can be damaged, and then holds anything
        geometry = self._settings.value("geometry")
        if isinstance(geometry, QByteArray):
            self.restoreGeometry(geometry)
        split = self._settings.value("splitter")
        if isinstance(split, QByteArray):
            self.page.splitter.restoreState(split)

    def leave(self) -> None:
        """End at once and ask nothing: unsaved changes are put by for the next start."""
        self._autosave.stop()
        self._put_by()
        self._keep_settings()
        self.pages.close_all()

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self._may_leave():
            event.ignore()
            return
        self._keep_settings()
        self._autosave.stop()
        self._forget_put_by()
        self.pages.close_all()
        event.accept()

    def _keep_settings(self) -> None:
        self._settings.setValue("geometry", self.saveGeometry())
        self._settings.setValue("splitter", self.page.splitter.saveState())
        self._settings.setValue("length", self.preferences.length_name)
        self._settings.sync()


def first_setup(
    path: Path | None, settings: QSettings, catalog: Catalog
) -> tuple[Setup, Path | None, str]:
    """What to open at the start: the file asked for, the last one, or the first demo.

    Also its path (None for a demo) and a message when a file could not be read.
    """
    demos = scenario_file.demos()
    last = settings.value("scenario")
    tries = [path] if path else ([Path(str(last))] if last else [])
    message = ""
    for candidate in tries:
        try:
            setup = scenario_file.load(candidate, catalog)
        except BadInput as error:
            message = f"{error} The first demo is shown instead."
        else:
            return setup, None if candidate in demos else candidate, ""
    return scenario_file.load(demos[0], catalog), None, message


def build_window(path: Path | None, settings: QSettings) -> Window:
    """The window with its rehearsal, not yet shown. Raises BadInput for a shipped file."""
    catalog, refusals = Catalog.load_what_can_be_read()
    setup, own, message = first_setup(path, settings, catalog)
    preferences = Preferences(
        str(settings.value("length", "feet")), str(settings.value("look", "light"))
    )
    window = Window(Rehearsal(catalog, setup), preferences, settings, own)
    if refusals:
        told = "\n\n".join(str(error) for error in refusals)
        window.warn(
            "Some of your own tackle could not be read and is left out. The file stays as it is.",
            told,
        )
    if message:
        window.warn("A scenario could not be opened", message)
    if path is not None:
        window.unsaved_left()
    elif not message:
        try:
            kept = autosave.kept(catalog)
        except BadInput as error:
            window.unsaved_damaged(error)
        else:
            if kept is not None:
                window.path = kept[1]
                window.restored(kept[0])
    return window


def run_dashboard(path: Path | None) -> int:
    """Start the dashboard; returns the exit code."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("Leadfall")
    if isinstance(application, QApplication):
        application.setStyle("Fusion")
    settings = QSettings(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, "leadfall", "leadfall"
    )
    try:
        window = build_window(path, settings)
    except BadInput as error:
        QMessageBox.critical(None, "Leadfall", f"Leadfall could not start.\n\n{error}")
        return 2

    def leave(code: int) -> None:
        window.leave()
        application.exit(code)

    leave_on_signals(leave, window)
    # what is loaded by now stays: the collector need not walk it during a frame
    gc.collect()
    gc.freeze()
    window.show()
    window.rehearsal.start()
    QTimer.singleShot(WARM_MS, window.planner, window.planner.warm)
    return application.exec()
