"""The window: puts pages together; menus, keys, files, settings, autosave."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import (
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeyEvent,
    QKeySequence,
    QPixmapCache,
    QShortcut,
)
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QMainWindow,
    QMenuBar,
    QMessageBox,
    QStatusBar,
)

from app.common.free_memory import give_back
from app.common.units import BOAT_SPEEDS
from app.session.clock import SPEEDS
from app.session.live_run import LiveRun
from app.shell.help import show_about, show_keys
from app.shell.menus import add, add_choice
from app.shell.mishaps import Mishap, Mishaps
from app.shell.page_row import PageRow
from app.shell.page_stack import LIVE, PAGES, PageStack
from app.shell.place import LEAST, USUAL
from app.shell.said import Said
from app.shell.scenario_files import ScenarioFiles
from app.ui.keys import EnterPresses, finish_typing, home_of
from app.ui.look import LIGHT, LOOKS, set_palettes, style_sheet
from app.ui.plain import Message, as_tip
from app.ui.preferences import LENGTHS, Preferences
from app.ui.settings import Settings, as_text
from app.ui.text_size import SIZES, set_text_size

if TYPE_CHECKING:
    from app.rehearse.page import RehearsePage
    from app.rehearse.spread_editor import SpreadEditor
    from app.shell.manual import Manual
    from app.shell.mishap_panel import MishapPanel
    from app.timing.card_menu import CardMenu
    from app.timing.model import Planner

GIVE_BACK_MS = 5_000
"""Freed memory is given back this often, ms; it takes one."""

PIXMAPS_KB = 4096
"""Most that painted axes and buttons are kept in, where a pixel is a pixel: eight times the axes
of the fullest page at 1920x1080. The library's own limit is more, and fills up with old sizes."""


class Window(QMainWindow):
    """One window, one document, one live run."""

    def __init__(self, live_run: LiveRun, preferences: Preferences, settings: Settings) -> None:
        super().__init__()
        self.live_run, self.document = live_run, live_run.document
        self.preferences, self._settings = preferences, settings
        self.pages = PageStack(live_run, preferences, self.say, self.warn)
        self.shelf = self.pages.shelf
        self.pages.wanted.connect(self.show_page)
        self.setCentralWidget(self.pages)
        self._said = Said(self)
        self._live_keys: list[QShortcut] = []
        self.editor: SpreadEditor | None = None
        self.manual: Manual | None = None
        self.files = ScenarioFiles(self.document, settings, self)
        self._join_rehearse()
        self.mishaps = Mishaps(lambda: self.page_row.front, self)
        self.mishaps.happened.connect(self._tell_mishap)
        self.mishap_panel: MishapPanel | None = None
        self.files.titled.connect(self._retitle)
        self.files.said.connect(self.say)
        self.files.warned.connect(self.warn)
        self._menus()
        self._shortcuts()
        QPixmapCache.setCacheLimit(round(PIXMAPS_KB * self.devicePixelRatioF() ** 2))
        EnterPresses(self)
        self._give_back = QTimer(self)
        self._give_back.setInterval(GIVE_BACK_MS)
        self._give_back.timeout.connect(give_back)
        self._give_back.start()
        self.document.setup_changed.connect(self._follow_speeds)
        self.document.trouble.connect(self.say)
        live_run.trouble.connect(self.say)
        preferences.look_changed.connect(self.apply_look)
        preferences.units_changed.connect(self._keep_length)
        settings.trouble.connect(self._settings_not_kept)
        settings.check()
        self._follow_speeds()
        self.apply_look()
        self.setMinimumSize(LEAST)
        self.resize(USUAL)
        self._restore()
        self._retitle()
        self.setAcceptDrops(True)
        self.page.side_view.setFocus()

    # ---- menus and keys

    def menuBar(self) -> QMenuBar:
        """The menus; they share a row with the pages."""
        return self.page_row.bar

    def statusBar(self) -> QStatusBar:
        """What is said for a while; it takes no room."""
        return self._said

    def _menus(self) -> None:
        self.page_row = PageRow(PAGES, self.show_page)
        self.scenario_name = self.page_row.name
        self.setMenuWidget(self.page_row)
        bar = self.page_row.bar
        file = bar.addMenu("&File")
        self.files.fill(file)
        file.addSeparator()
        add(file, "Plan and &helm card", partial(self.show_page, "timing"))
        self._under_plan, self._file_menu = file.addSeparator(), file
        file.aboutToShow.connect(lambda: self.card_menu)
        add(file, "&Quit", self.close, QKeySequence.StandardKey.Quit)
        edit = bar.addMenu("&Edit")
        stack = self.document.undo_stack
        for action, keys in (
            (stack.createUndoAction(self, "Undo"), QKeySequence.StandardKey.Undo),
            (stack.createRedoAction(self, "Redo"), QKeySequence.StandardKey.Redo),
        ):
            action.setShortcuts(QKeySequence.keyBindings(keys))
            edit.addAction(action)
        edit.addSeparator()
        add(edit, "Spread, boat and current…", self.edit_spread, "Ctrl+E")
        view = bar.addMenu("&View")
        add(view, "Fit the side view", self._fit_side_view)
        looks = view.addMenu("Look")
        add_choice(looks, [(k.title, n) for n, k in LOOKS.items()],
                     self.preferences.look.name, self.preferences.set_look)  # fmt: skip
        lengths = view.addMenu("Depths and distances in")
        add_choice(lengths, [(n, n) for n in LENGTHS], self.preferences.length_name,
                     self.preferences.set_length)  # fmt: skip
        speeds = view.addMenu("Speeds in")
        sizes = view.addMenu("Text size")
        add_choice(sizes, [(f"{n} %", n) for n in SIZES],
                     self._settings.get("text", "100"), self._set_text_size)  # fmt: skip
        names = [(unit.name, name) for name, unit in BOAT_SPEEDS.items()]
        add_choice(speeds, names, self.preferences.speed_name, self._tell_speeds_in)
        self._speeds = dict(zip(BOAT_SPEEDS, speeds.actions(), strict=True))
        help_menu = bar.addMenu("&Help")
        add(help_menu, "Manual", self.show_manual)
        add(help_menu, "A first drop, step by step", self.show_guide)
        add(help_menu, "Keys", partial(show_keys, self), "F1")
        add(help_menu, "About Leadfall and cautions", partial(show_about, self))

    def _set_text_size(self, name: str) -> None:
        set_text_size(SIZES[name])
        self._settings.set("text", name)

    def _tell_speeds_in(self, name: str) -> None:
        self.document.edit(replace(self.document.setup, speed_in=name), "unit of speeds")

    def _follow_speeds(self) -> None:
        """The scenario says what its speeds are told in."""
        name = self.document.setup.speed_in
        self._speeds[name].setChecked(True)
        self.preferences.set_speed(name)

    def _shortcuts(self) -> None:
        live_run = self.live_run
        keys_of: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Space", lambda: live_run.shift() if live_run.under_orders else None),
            ("M", live_run.drop_mark),
            ("P", live_run.pause),
            ("R", live_run.start_over),
            ("F", self._fit_side_view),
            ("E", lambda: toggle(self.page.helm.engines)),
            ("W", lambda: toggle(self.page.helm.auto_wait)),
            ("A", lambda: toggle(self.page.helm.auto)),
            ("Up", lambda: self.page.helm.step_throttle(0.5)),
            ("Down", lambda: self.page.helm.step_throttle(-0.5)),
            ("Left", lambda: self.page.helm.step_wheel(-1)),
            ("Right", lambda: self.page.helm.step_wheel(1)),
            ("C", lambda: self.page.helm.step_wheel(0)),
            ("H", self._hit),
            ("L", self._no_hit),
            *((str(n), partial(self._number, n)) for n in SPEEDS),
        )
        for keys, do in keys_of:
            self._live_keys.append(QShortcut(QKeySequence(keys), self, do))
        for name, _, key in PAGES:
            QShortcut(QKeySequence(key), self, partial(self.show_page, name))

    def _fit_side_view(self) -> None:
        self.page.side_view.fit()

    def _hit(self) -> None:
        self.pages.recorder.hit()

    def _no_hit(self) -> None:
        self.pages.recorder.no_hit()

    def _number(self, number: int) -> None:
        """The line that is hit, where its number is waited for, or how fast time runs."""
        recorder = self.pages.made("recorder")
        if recorder is None or not recorder.number(number):
            self.live_run.set_speed(number)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves a field, and the guide: the keys go back to the page."""
        if event.key() == Qt.Key.Key_Escape:
            self.page.guide.end()
            home_of(self.pages.currentWidget()).setFocus()
        else:
            super().keyPressEvent(event)

    # ---- a scenario dropped on the window

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        path = dropped(event)
        if path is not None:
            event.acceptProposedAction()
            # not while the other program waits for an answer to the drop
            QTimer.singleShot(0, self, partial(self.files.open_file, path))

    # ---- pages

    @property
    def page(self) -> RehearsePage:
        """The Rehearse page, as it is now."""
        return self.pages.rehearse

    def _join_rehearse(self) -> None:
        self.page.helm.spread.clicked.connect(self.edit_spread)
        self.page.guide.ended.connect(partial(self._settings.set, "guided", "yes"))

    def reopen_page(self, name: str) -> None:
        """Make a page anew, and bring it forward."""
        sizes = self.page.splitter.saveState()
        self.mishaps.forget()
        self.pages.reopen(name)
        if name == "rehearse":
            self.page.splitter.restoreState(sizes)
            self._join_rehearse()
        elif name == "timing" and self.pages.made(name) is not None:
            self.pages.timing.card.take(self.card_menu)
        self.show_page(name)

    @property
    def planner(self) -> Planner:
        """The plan of the Timing page."""
        return self.pages.planner

    @cached_property
    def card_menu(self) -> CardMenu:
        """What can be done with the helm card; made when the File menu or the page is wanted."""
        from app.timing.card_menu import CardMenu

        menu = CardMenu(self.planner, self._settings, self, self.say, self.warn)
        self._file_menu.insertMenu(self._under_plan, menu)
        return menu

    def show_page(self, name: str) -> None:
        """Bring a page forward by name."""
        self.page_row.choose(name)
        if self.pages.bring(name):
            for key in self._live_keys:
                key.setEnabled(name in LIVE)
            if name == "timing":
                self.pages.timing.card.take(self.card_menu)

    # ---- the end

    def _may_lose(self) -> bool:
        """Ask before quitting over what could not be written; True if there is no such thing."""
        left = self.pages.unkept()
        if not left:
            return True
        told = "\n\n".join(f"{why}." for why in left)
        box = Message(f"{told}\n\nQuit and lose this?", self, QMessageBox.Icon.Warning)
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Discard | buttons.Cancel)
        box.setDefaultButton(buttons.Cancel)
        return bool(box.exec() == buttons.Discard)

    # ---- words

    def say(self, text: str) -> None:
        """A line at the foot of the window for a while."""
        self.statusBar().showMessage(text, 9000)

    def _settings_not_kept(self, why: str) -> None:
        self.warn("Settings cannot be kept", why)

    def warn(self, title: str, text: str) -> None:
        """A message that waits to be read; the program goes on behind it."""
        Message(f"{title}\n\n{text}", self, QMessageBox.Icon.Warning).open()

    def _tell_mishap(self, mishap: Mishap) -> None:
        """Put unsaved changes by, and tell of it in a panel beside which the window goes on."""
        self.files.put_by()
        if self.mishap_panel is None:
            from app.shell.mishap_panel import MishapPanel

            self.mishap_panel = MishapPanel(self)
            self.mishap_panel.reopen.connect(self.reopen_page)
        self.mishap_panel.tell(mishap)

    def show_manual(self) -> None:
        """The manual, in a window of its own."""
        if self.manual is None:
            from app.shell.manual import Manual

            self.manual = Manual(self)
        self.manual.show()
        self.manual.raise_()

    def show_guide(self) -> None:
        """A first drop in three steps, on the Rehearse page."""
        self.show_page("rehearse")
        self.page.guide.begin()

    def edit_spread(self) -> None:
        """Open the spread's own window, or bring it forward."""
        if self.editor is None:
            from app.rehearse.spread_editor import SpreadEditor

            self.editor = SpreadEditor(self.document, self.preferences, self)
            key = QKeySequence.StandardKey
            QShortcut(key.Save, self.editor, self.files.save)
            QShortcut(key.SaveAs, self.editor, self.files.save_as)
            QShortcut(key.Quit, self.editor, self.close)
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
            set_palettes(application, look)
        # the window's own sheet, not the application's: it reaches all that hangs on the
        # window and leaves alone what some other window is just taking down
        self.setStyleSheet(style_sheet(look))
        if look.name != self._settings.get("look", LIGHT.name):
            self._settings.set("look", look.name)

    def _retitle(self) -> None:
        document = self.document
        star = "*" if document.changed else ""
        demo = "  (demo, invented)" if document.demo else ""
        self.scenario_name.setText(f"{document.setup.name}{star}{demo}")
        self.scenario_name.setToolTip(as_tip(self.scenario_name.text()))
        file = f" – {document.path.name}" if document.path else ""
        # Qt takes one [*] for the place of its own star
        name = f"{document.setup.name}{star}{file}".replace("[*]", "[*][*]")
        self.setWindowTitle(f"{name} – Leadfall")

    def _restore(self) -> None:
        self.restoreGeometry(self._settings.get_bytes("geometry"))
        self.page.splitter.restoreState(self._settings.get_bytes("splitter"))

    def leave(self) -> None:
        """End at once and ask nothing: unsaved changes are put by for the next start."""
        finish_typing()
        self.files.leave()
        self._give_back.stop()
        self._keep_settings()
        # nothing is painted from files that are closed
        self.hide()
        self.pages.close_all()

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.files.may_leave() or not self._may_lose():
            event.ignore()
            return
        self._keep_settings()
        self.files.close()
        self._give_back.stop()
        self.pages.close_all()
        event.accept()

    def _keep_length(self) -> None:
        self._settings.set("length", self.preferences.length_name)

    def _keep_settings(self) -> None:
        self._settings.set_all({
            "geometry": as_text(self.saveGeometry()),
            "splitter": as_text(self.page.splitter.saveState()),
            "page": self.page_row.front,
        })  # fmt: skip


def toggle(box: QAbstractButton) -> None:
    """Work a switch by key, as by hand: not while it is gray."""
    if box.isEnabled():
        box.toggle()


def dropped(event: QDropEvent) -> Path | None:
    """The one scenario file that is dragged, if it is one."""
    urls = event.mimeData().urls()
    if len(urls) == 1 and urls[0].isLocalFile():
        path = Path(urls[0].toLocalFile())
        return path if path.suffix.lower() == ".toml" else None
    return None
