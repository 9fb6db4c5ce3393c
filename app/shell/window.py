"""The window: puts pages together; menus, keys, files, settings, autosave."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QDateTime, Qt, QTimer
from PySide6.QtGui import QAction, QActionGroup, QCloseEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QFileDialog,
    QMainWindow,
    QMenu,
    QMenuBar,
    QMessageBox,
)

from app.common.bad_input import BadInput
from app.common.units import BOAT_SPEEDS
from app.common.version import stepper, version
from app.common.words import CAUTION
from app.gear.catalog import Catalog
from app.rehearse.spread_editor import SpreadEditor
from app.scenario import autosave
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.session.clock import SPEEDS
from app.session.document import Document
from app.session.live_run import LiveRun
from app.shell.ending import leave_on_signals
from app.shell.page_row import PageRow
from app.shell.page_stack import LIVE, PAGES, PageStack
from app.timing.card_menu import CardMenu
from app.ui.look import LIGHT, LOOKS, palette, style_sheet
from app.ui.plain import Message
from app.ui.preferences import LENGTHS, Preferences
from app.ui.save_dialog import ask_where, confirmed
from app.ui.settings import Settings

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
    """One window, one document, one live run."""

    def __init__(self, live_run: LiveRun, preferences: Preferences, settings: Settings) -> None:
        super().__init__()
        self.live_run, self.document = live_run, live_run.document
        self.preferences, self._settings = preferences, settings
        self.pages = PageStack(live_run, preferences, self.say, self.warn)
        self.page = self.pages.rehearse
        self.planner, self.shelf = self.pages.planner, self.pages.shelf
        self.pages.wanted.connect(self.show_page)
        self.setCentralWidget(self.pages)
        self._live_keys: list[QShortcut] = []
        self.editor: SpreadEditor | None = None
        self.page.helm.spread.clicked.connect(self.edit_spread)
        self._menus()
        self._shortcuts()
        self._unsaved = autosave.Unsaved()
        self._left: list[autosave.Unsaved] = []
        self._autosave = QTimer(self)
        self._autosave.setInterval(AUTOSAVE_MS)
        self._autosave.setSingleShot(True)
        self._autosave.timeout.connect(self._put_by)
        self.document.setup_changed.connect(self._changed)
        self.document.setup_changed.connect(self._follow_speeds)
        self.document.trouble.connect(self.say)
        live_run.trouble.connect(self.say)
        preferences.look_changed.connect(self.apply_look)
        preferences.units_changed.connect(lambda: settings.set("length", preferences.length_name))
        settings.trouble.connect(partial(self.warn, "Settings cannot be kept"))
        settings.check()
        self._follow_speeds()
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
        self._left_menu = file.addMenu("Unsaved &changes from before")
        self._left_menu.menuAction().setVisible(False)
        file.addSeparator()
        self.card_menu = CardMenu(self.planner, self._settings, self, self.say, self.warn)
        self._action(file, "Plan and &helm card", partial(self.show_page, "timing"))
        file.addMenu(self.card_menu)
        file.addSeparator()
        self._action(file, "&Quit", self.close, QKeySequence.StandardKey.Quit)
        edit = bar.addMenu("&Edit")
        stack = self.document.undo_stack
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
        speeds = view.addMenu("Speeds in")
        names = [(unit.name, name) for name, unit in BOAT_SPEEDS.items()]
        self._choice(speeds, names, self.preferences.speed_name, self._tell_speeds_in)
        self._speeds = dict(zip(BOAT_SPEEDS, speeds.actions(), strict=True))
        help_menu = bar.addMenu("&Help")
        self._action(help_menu, "Keys", self.show_keys, "F1")
        self._action(help_menu, "About Leadfall and cautions", self.show_about)

    def _tell_speeds_in(self, name: str) -> None:
        self.document.edit(replace(self.document.setup, speed_in=name), "unit of speeds")

    def _follow_speeds(self) -> None:
        """The scenario says what its speeds are told in."""
        name = self.document.setup.speed_in
        self._speeds[name].setChecked(True)
        self.preferences.set_speed(name)

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
        live_run, helm = self.live_run, self.page.helm
        for keys, do in (
            ("Space", lambda: live_run.shift() if live_run.under_orders else None),
            ("M", live_run.drop_mark),
            ("P", live_run.pause),
            ("R", live_run.start_over),
            ("F", self.page.side_view.fit),
            ("E", lambda: helm.engines.toggle() if helm.engines.isEnabled() else None),
            ("W", lambda: helm.auto_wait.toggle() if helm.auto_wait.isEnabled() else None),
            ("A", lambda: helm.auto.toggle() if helm.auto.isEnabled() else None),
            ("Up", lambda: helm.step_throttle(0.5)),
            ("Down", lambda: helm.step_throttle(-0.5)),
            ("Left", lambda: helm.step_wheel(-1)),
            ("Right", lambda: helm.step_wheel(1)),
            ("C", lambda: helm.step_wheel(0)),
            *((str(n), lambda n=n: live_run.set_speed(n)) for n in SPEEDS),
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
        path = self.document.path
        start = str(path.parent) if path else ""
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
            self.document.open_file(path, demo=demo)
        except BadInput as error:
            self.warn("This scenario could not be opened", str(error))
            return False
        self._keep_as_last(path)
        self._unsaved.forget()
        self._retitle()
        return True

    def _keep_as_last(self, path: Path) -> None:
        # relative to a folder it would be another file at the next start
        self._settings.set("scenario", str(path.absolute()))

    def save(self) -> bool:
        """Save to the scenario's own file, or ask for one; ask too if somebody else changed it."""
        path = self.document.path
        if path is None:
            return self.save_as()
        if self.document.changed_outside and not confirmed(
            self,
            f"{path.name} was changed outside this window since it was opened. Saving "
            "replaces what is in it now; File, Save as… keeps both.",
            "Replace",
        ):
            return False
        return self._save_to(path)

    def save_as(self) -> bool:
        """Ask where to save."""
        start = str(self.document.path or "scenario.toml")
        path = ask_where(self, "Save scenario", start, "Scenarios (*.toml)")
        return path is not None and self._save_to(path)

    def _save_to(self, path: Path) -> bool:
        try:
            self.document.save_to(path)
        except BadInput as error:
            self.warn("This scenario could not be saved", str(error))
            return False
        self._keep_as_last(path)
        self._unsaved.forget()
        self._retitle()
        self.say(f"Saved as {path.name}")
        return True

    def take_up_left(self, left: Sequence[autosave.Unsaved], *, restore: bool) -> bool:
        """Bring back the newest changes that were left unsaved; offer the others in a menu.

        Where none is to be restored, all are offered. Whether one was brought back.
        """
        self._left = list(left)
        restored = False
        while restore and self._left and not restored:
            restored = self._restore_left(self._left[0])
        if self._left:
            more = "more unsaved changes" if restored else "unsaved changes from last time"
            where = "They are kept: see File, Unsaved changes from before."
            self.warn(f"There are {more}", where)
        self._list_left()
        return restored

    def _list_left(self) -> None:
        """The menu of what was left unsaved; without any there is none."""
        self._left_menu.clear()
        self._left_menu.menuAction().setVisible(bool(self._left))
        for left in self._left:
            when = QDateTime.fromSecsSinceEpoch(left.when()).toString("yyyy-MM-dd HH:mm")
            self._action(self._left_menu, f"Open those of {when}", partial(self._open_left, left))
        self._left_menu.addSeparator()
        self._action(self._left_menu, "Delete all of these…", self._delete_left)

    def _open_left(self, left: autosave.Unsaved) -> None:
        if self._may_leave():
            self._unsaved.forget()
            self._restore_left(left)
            self._list_left()

    def _delete_left(self) -> None:
        if confirmed(self, "Delete these unsaved changes? There is no undo.", "Delete"):
            for left in self._left:
                left.forget()
                left.close()
            self._left = []
            self._list_left()

    def _restore_left(self, left: autosave.Unsaved) -> bool:
        """Take changes up that were left unsaved; False, and set aside, if they are damaged."""
        self._left.remove(left)
        try:
            kept = left.load(self.document.catalog)
        except BadInput as error:
            aside = left.set_aside()
            left.close()
            where = aside.name if aside else left.path.name
            told = f"{error}. They are kept as {where}, untouched."
            self.warn("Your unsaved changes from last time could not be read", told)
            return False
        self._unsaved.close()
        self._unsaved = left
        self.document.open_unsaved(kept)
        self._retitle()
        self.say("Your unsaved changes from last time are back.")
        return True

    def _changed(self) -> None:
        self._retitle()
        self._autosave.start()

    def _put_by(self) -> None:
        try:
            document = self.document
            if document.changed:
                self._unsaved.keep(document.setup, document.path, document.seen)
            else:
                self._unsaved.forget()
        except BadInput as error:
            self.say(f"Your changes could not be put by: {error}")

    def _may_leave(self) -> bool:
        """Offer to save changes; False to stay."""
        if not self.document.changed:
            return True
        box = QMessageBox(self)
        box.setWindowTitle("Leadfall")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(f"Save the changes to “{self.document.setup.name}” first?")
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Save | buttons.Discard | buttons.Cancel)
        answer = box.exec()
        if answer == buttons.Save:
            return self.save()
        return bool(answer == buttons.Discard)

    def _may_lose(self) -> bool:
        """Ask before quitting over what could not be written; True if there is no such thing."""
        left = self.pages.unkept()
        if not left:
            return True
        told = "\n\n".join(f"{why}." for why in left)
        box = Message(f"{told}\n\nQuit and lose them?", self, QMessageBox.Icon.Warning)
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Discard | buttons.Cancel)
        box.setDefaultButton(buttons.Cancel)
        return bool(box.exec() == buttons.Discard)

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
            f"<p>Version {version()}, {stepper()}.</p>"
        )
        box = QMessageBox(QMessageBox.Icon.NoIcon, "About Leadfall", text, parent=self)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.open()

    def edit_spread(self) -> None:
        """Open the spread's own window, or bring it forward."""
        if self.editor is None:
            self.editor = SpreadEditor(self.document, self.preferences, self)
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
        if look.name != self._settings.get("look", LIGHT.name):
            self._settings.set("look", look.name)

    def _retitle(self) -> None:
        star = "*" if self.document.changed else ""
        demo = "" if self.document.path else "  (demo, invented)"
        self.scenario_name.setText(f"{self.document.setup.name[:70]}{star}{demo}")
        self.scenario_name.adjustSize()
        # Qt takes one [*] for the place of its own star
        name = self.document.setup.name.replace("[*]", "[*][*]")
        self.setWindowTitle(f"{name}{star} – Leadfall")

    def _restore(self) -> None:
        self.restoreGeometry(self._settings.get_bytes("geometry"))
        self.page.splitter.restoreState(self._settings.get_bytes("splitter"))

    def leave(self) -> None:
        """End at once and ask nothing: unsaved changes are put by for the next start."""
        self._autosave.stop()
        self._put_by()
        self._keep_settings()
        self.pages.close_all()

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self._may_leave() or not self._may_lose():
            event.ignore()
            return
        self._keep_settings()
        self._autosave.stop()
        self._unsaved.forget()
        for unsaved in (self._unsaved, *self._left):
            unsaved.close()
        self.pages.close_all()
        event.accept()

    def _keep_settings(self) -> None:
        self._settings.set_bytes("geometry", self.saveGeometry())
        self._settings.set_bytes("splitter", self.page.splitter.saveState())


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
    if refusals:
        told = "\n\n".join(str(error) for error in refusals)
        window.warn(
            "Some of your own tackle could not be read and is left out. The file stays as it is.",
            told,
        )
    restored = window.take_up_left(autosave.left_behind(), restore=path is None)
    if settings.told:
        window.warn("Some settings could not be used", settings.told)
    if message:
        instead = "" if restored else " The first demo is shown instead."
        window.warn("A scenario could not be opened", message + instead)
    return window


def run_dashboard(path: Path | None) -> int:
    """Start the dashboard; returns the exit code."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    application.setApplicationName("Leadfall")
    if isinstance(application, QApplication):
        application.setStyle("Fusion")
    try:
        window = build_window(path, Settings())
    except BadInput as error:
        Message(f"Leadfall could not start.\n\n{error}", icon=QMessageBox.Icon.Critical).exec()
        return 2

    def leave(code: int) -> None:
        window.leave()
        application.exit(code)

    end_listening = leave_on_signals(leave, window)
    # what is loaded by now stays: the collector need not walk it during a frame
    gc.collect()
    gc.freeze()
    window.show()
    window.live_run.start()
    QTimer.singleShot(WARM_MS, window.planner, window.planner.warm)
    code = application.exec()
    end_listening()
    return code
