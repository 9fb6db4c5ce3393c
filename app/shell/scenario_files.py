"""The scenario's file: new, open, recent, save, revert, rename; and changes that were put by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QDateTime, QObject, QTimer, Signal
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QFileDialog, QInputDialog, QMenu, QMessageBox, QWidget

from app.common.bad_input import BadInput
from app.scenario import autosave
from app.scenario import file as scenario_file
from app.session.document import Document
from app.shell.menus import add
from app.ui.keys import finish_typing
from app.ui.plain import Message
from app.ui.save_dialog import ask_where, confirmed
from app.ui.settings import Settings

AUTOSAVE_MS = 3000
"""An unsaved change is put by within this time, ms."""

KIND = "Scenarios (*.toml)"

MOST_RECENT = 8

LONGEST_NAME = 60
"""Of a scenario, characters; as a file allows."""


class ScenarioFiles(QObject):
    """What a person does with scenario files; every question is asked over ``window``.

    ``titled``: the name, the file, or whether there are changes is another. ``said`` (text) is
    a line for the foot of the window, ``warned`` (title, text) a message to be read.
    """

    titled = Signal()
    said = Signal(str)
    warned = Signal(str, str)

    def __init__(self, document: Document, settings: Settings, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._settings, self._window = document, settings, window
        self._unsaved = autosave.Unsaved()
        self._left: list[autosave.Unsaved] = []
        self.autosave = QTimer(self)
        self.autosave.setInterval(AUTOSAVE_MS)
        self.autosave.setSingleShot(True)
        self.autosave.timeout.connect(self.put_by)
        document.setup_changed.connect(self._changed)

    # ---- the menu

    def fill(self, menu: QMenu) -> None:
        """All about files into a menu."""
        key = QKeySequence.StandardKey
        add(menu, "&New scenario", self.new, key.New)
        add(menu, "&Open scenario…", self.choose_file, key.Open)
        self._recent = menu.addMenu("Open &recent")
        demos = menu.addMenu("Open a &demo (invented)")
        for demo in scenario_file.demos():
            title = demo.stem.partition("-")[2].replace("-", " ").capitalize()
            add(demos, title, partial(self.open_file, demo, demo=True))
        menu.addSeparator()
        add(menu, "&Save", self.save, key.Save)
        add(menu, "Save &as…", self.save_as, key.SaveAs)
        add(menu, "Rena&me…", self.rename)
        self._revert = add(menu, "Re&vert to the saved one", self.revert)
        self.left_menu = menu.addMenu("Unsaved &changes from before")
        self.left_menu.menuAction().setVisible(False)
        menu.aboutToShow.connect(self._enable)
        self._list_recent()
        self._enable()

    def _enable(self) -> None:
        self._revert.setEnabled(self._document.changed and self._document.path is not None)

    def _list_recent(self) -> None:
        """The files opened or saved lately that are not this one, the newest first."""
        self._recent.clear()
        here = self._document.path
        paths = [path for path in self._settings.get_paths("recent") if path != here]
        for path in paths:
            # an ampersand in a name is no shortcut
            title = f"{path.name}  ({path.parent})".replace("&", "&&")
            add(self._recent, title, partial(self.open_file, path))
        self._recent.menuAction().setEnabled(bool(paths))

    # ---- begin and open

    def new(self) -> bool:
        """Begin a scenario of one's own, after offering to save; False if not begun."""
        if not self.may_leave():
            return False
        self._document.begin_new()
        self._settled()
        return True

    def choose_file(self) -> None:
        """Ask which scenario to open."""
        path = self._document.path
        start = str(path.parent) if path else ""
        name, _ = QFileDialog.getOpenFileName(
            self._window, "Open scenario", start, f"{KIND};;All files (*)"
        )
        if name:
            self.open_file(Path(name))

    def open_file(self, path: Path, *, demo: bool = False) -> bool:
        """Open a scenario, after offering to save what is changed; False if not opened."""
        if not self.may_leave():
            return False
        try:
            self._document.open_file(path, demo=demo)
        except BadInput as error:
            self.warned.emit("This scenario could not be opened", str(error))
            return False
        self._keep_as_last(path, recent=not demo)
        self._settled()
        return True

    def revert(self) -> bool:
        """Go back to what the file has, after a question; False if not gone back."""
        path = self._document.path
        question = f"Go back to {path.name if path else ''} as it is saved? There is no undo."
        if path is None or not confirmed(self._window, question, "Revert"):
            return False
        try:
            self._document.open_file(path)
        except BadInput as error:
            self.warned.emit("This scenario could not be opened", str(error))
            return False
        self._settled()
        return True

    def rename(self) -> bool:
        """Ask for another name of the scenario; undoable. False if it stays."""
        setup = self._document.setup
        name, given = QInputDialog.getText(
            self._window, "Rename the scenario", "Name of the scenario:", text=setup.name
        )
        name = " ".join(name.split())
        if not given or name == setup.name:
            return False
        if not name or len(name) > LONGEST_NAME or not name.isprintable():
            allowed = f"A scenario's name has 1 to {LONGEST_NAME} printable characters."
            self.warned.emit("The scenario keeps its name", allowed)
            return False
        return self._document.edit(replace(setup, name=name), "name")

    def _keep_as_last(self, path: Path, *, recent: bool = True) -> None:
        # relative to a folder it would be another file at the next start
        path = path.absolute()
        self._settings.set("scenario", str(path))
        if recent:
            others = [one for one in self._settings.get_paths("recent") if one != path]
            self._settings.set_paths("recent", [path, *others][:MOST_RECENT])

    def _settled(self) -> None:
        """Nothing is unsaved any more."""
        self._unsaved.forget()
        self._list_recent()
        self.titled.emit()

    # ---- save

    def save(self) -> bool:
        """Save to the scenario's own file, or ask for one; ask too if somebody else changed it."""
        finish_typing()
        path = self._document.path
        if path is None:
            return self.save_as()
        if self._document.changed_outside and not confirmed(
            self._window,
            f"{path.name} was changed outside this window since it was opened. Saving "
            "replaces what is in it now; File, Save as… keeps both.",
            "Replace",
        ):
            return False
        return self._save_to(path)

    def save_as(self) -> bool:
        """Ask where to save."""
        finish_typing()
        start = str(self._document.path or "scenario.toml")
        path = ask_where(self._window, "Save scenario", start, KIND)
        return path is not None and self._save_to(path)

    def _save_to(self, path: Path) -> bool:
        try:
            self._document.save_to(path)
        except BadInput as error:
            self.warned.emit("This scenario could not be saved", str(error))
            return False
        self._keep_as_last(path)
        self._settled()
        self.said.emit(f"Saved as {path.name}")
        return True

    # ---- changes put by

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
            self.warned.emit(f"There are {more}", where)
        self._list_left()
        return restored

    def _list_left(self) -> None:
        """The menu of what was left unsaved; without any there is none."""
        self.left_menu.clear()
        self.left_menu.menuAction().setVisible(bool(self._left))
        for left in self._left:
            when = QDateTime.fromSecsSinceEpoch(left.when()).toString("yyyy-MM-dd HH:mm")
            add(self.left_menu, f"Open those of {when}", partial(self._open_left, left))
        self.left_menu.addSeparator()
        add(self.left_menu, "Delete all of these…", self._delete_left)

    def _open_left(self, left: autosave.Unsaved) -> None:
        if self.may_leave():
            self._unsaved.forget()
            self._restore_left(left)
            self._list_left()

    def _delete_left(self) -> None:
        if confirmed(self._window, "Delete these unsaved changes? There is no undo.", "Delete"):
            for left in self._left:
                left.forget()
                left.close()
            self._left = []
            self._list_left()

    def _restore_left(self, left: autosave.Unsaved) -> bool:
        """Take changes up that were left unsaved; False, and set aside, if they are damaged."""
        self._left.remove(left)
        try:
            kept = left.load(self._document.catalog)
        except BadInput as error:
            aside = left.set_aside()
            left.close()
            where = aside.name if aside else left.path.name
            told = f"{error}. They are kept as {where}, untouched."
            self.warned.emit("Your unsaved changes from last time could not be read", told)
            return False
        self._unsaved.close()
        self._unsaved = left
        self._document.open_unsaved(kept)
        self.titled.emit()
        self.said.emit("Your unsaved changes from last time are back.")
        return True

    def _changed(self) -> None:
        self.titled.emit()
        self.autosave.start()

    def put_by(self) -> None:
        """Put unsaved changes by for the next start, now."""
        try:
            document = self._document
            if document.changed:
                self._unsaved.keep(document.setup, document.path, document.seen)
            else:
                self._unsaved.forget()
        except BadInput as error:
            self.said.emit(f"Your changes could not be put by: {error}")

    def may_leave(self) -> bool:
        """Offer to save changes; False to stay."""
        finish_typing()
        if not self._document.changed:
            return True
        box = Message(f"Save the changes to “{self._document.setup.name}” first?", self._window)
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Save | buttons.Discard | buttons.Cancel)
        answer = box.exec()
        if answer == buttons.Save:
            return self.save()
        return bool(answer == buttons.Discard)

    # ---- the end

    def leave(self) -> None:
        """End at once: changes are put by for the next start."""
        self.autosave.stop()
        self.put_by()

    def close(self) -> None:
        """End after ``may_leave``: nothing is put by."""
        self.autosave.stop()
        self._unsaved.forget()
        for unsaved in (self._unsaved, *self._left):
            unsaved.close()
