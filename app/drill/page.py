"""The Drill page: choose a round, play it, see how it went; question cards."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QFileDialog,
    QInputDialog,
    QMessageBox,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.common.bad_input import BadInput
from app.common.words import CAUTION
from app.drill import file as drill_file
from app.drill.asking import Asking
from app.drill.cards import DrillCards
from app.drill.debrief import DrillDebrief
from app.drill.model import Drill
from app.drill.play import DrillPlay
from app.drill.start import DrillStart
from app.ui.keys import home_of
from app.ui.look import text_scale
from app.ui.panel import quiet
from app.ui.plain import Message, as_tip
from app.ui.preferences import Preferences
from app.ui.save_dialog import ask_where
from app.ui.steps import PAGE, SNUG
from app.ui.text_size import enlarge

Warn = Callable[[str, str], None]


class DrillPage(QWidget):
    """One view a stage; keys belong to the stage in front."""

    def __init__(
        self, drill: Drill, preferences: Preferences, say: Callable[[str], None], warn: Warn
    ) -> None:
        super().__init__()
        self._drill, self._preferences, self._say, self._warn = drill, preferences, say, warn
        self.asking = Asking(drill, self)
        self.start = DrillStart(drill, preferences)
        self.cards = DrillCards(drill, self.asking, preferences)
        self.play: DrillPlay | None = None
        self.debrief: DrillDebrief | None = None
        self.stages = QStackedWidget()
        self.stages.addWidget(self.start)
        self.stages.addWidget(self.cards)
        self.home: QWidget = self.start
        outer = QVBoxLayout(self)
        outer.setContentsMargins(*PAGE)
        outer.setSpacing(SNUG)
        outer.addWidget(self.stages, 1)
        caution = quiet(CAUTION)
        caution.setWordWrap(True)
        outer.addWidget(caution)
        self.start.wanted.connect(self._wanted)
        drill.made.connect(self._made)
        drill.stage_changed.connect(self._stage)
        drill.trouble.connect(say)
        drill.beat.connect(self._beat)
        preferences.look_changed.connect(self._look)
        for level, button in self.start.levels.items():
            self._key(self.start, f"{level}", partial(self.start.pick, level))
            button.setToolTip(as_tip(f"Level {level} (key {level})" if level else "Key 0"))
        self._key(self.start, "Return", self.start.start)
        self._key(self.start, "Enter", self.start.start)
        self._key(self.start, "Q", lambda: drill.leave("cards"))
        for key in ("Return", "Enter"):
            self._key(self.cards, key, self.cards.enter)
        self._key(self.cards, "Esc", drill.leave)
        if drill.store.told:
            warn("About the drill's results", drill.store.told)

    def _key(self, view: QWidget, keys: str, do: Callable[[], object]) -> None:
        """A key that works while its view is in front."""
        QShortcut(QKeySequence(keys), view, lambda: do())

    def _made(self) -> None:
        """The views of a round, once there is one."""
        live_run = self._drill.live_run
        assert live_run is not None
        self.play = play = DrillPlay(self._drill, live_run, self._preferences)
        self.debrief = debrief = DrillDebrief(self._drill, live_run, self._preferences)
        for view in (play, debrief):
            enlarge(view, text_scale())
            self.stages.addWidget(view)
        helm = play.helm
        playing: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Space", helm.shift),
            ("Up", lambda: helm.step_throttle(1)),
            ("Down", lambda: helm.step_throttle(-1)),
            ("E", helm.toggle_engines),
            ("Left", lambda: helm.turn(-1)),
            ("Right", lambda: helm.turn(1)),
            ("0", lambda: helm.steer(0)),
            ("P", live_run.pause),
            ("X", helm.toggle_speed),
            ("Esc", self._drill.leave),
        )
        after: tuple[tuple[str, Callable[[], object]], ...] = (
            ("Space", debrief.replay.toggle),
            ("Left", lambda: debrief.skip(-1)),
            ("Right", lambda: debrief.skip(1)),
            ("Return", self._drill.next_round),
            ("Enter", self._drill.next_round),
            ("R", self._drill.begin),
            ("Esc", self._drill.leave),
        )
        for view, keys in ((play, playing), (debrief, after)):
            for key, do in keys:
                self._key(view, key, do)

    # ---- stages

    def _stage(self) -> None:
        views = {
            "start": self.start,
            "cards": self.cards,
            "play": self.play,
            "debrief": self.debrief,
        }
        view = views[self._drill.stage]
        assert view is not None
        self.stages.setCurrentWidget(view)
        self.home = view
        if view is self.cards:
            self.cards.begin()
        else:
            home_of(view).setFocus()

    def _beat(self) -> None:
        if self.play is not None and self.play.helm.beep.isChecked():
            QApplication.beep()

    def _look(self) -> None:
        for view in (self.play, self.debrief):
            if view is not None:
                view.apply_look()

    # ---- what needs a dialog

    def _wanted(self, what: str) -> None:
        {
            "open set": self._open_set, "save set": self._save_set, "add": self._add,
            "rename": self._rename, "delete": self._delete, "export": self._export,
        }[what]()  # fmt: skip

    def _open_set(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Open a set of rounds", "", "Sets of rounds (*.toml);;All files (*)"
        )
        if name:
            self.open_set(Path(name))

    def open_set(self, path: Path) -> None:
        """Begin the first round of a set."""
        try:
            title, rounds = drill_file.load(path, self._drill.catalog)
        except BadInput as error:
            self._warn("This set of rounds could not be opened", str(error))
            return
        if self._drill.begin_set(rounds):
            self._say(f"{title}: {len(rounds)} rounds, one after the other")

    def _save_set(self) -> None:
        path = ask_where(self, "Save my set of rounds", "rounds.toml", "Sets of rounds (*.toml)")
        if path is not None:
            self._try("This set could not be saved",
                      lambda: drill_file.save(path.stem, self.start.mine, path))  # fmt: skip

    def _add(self) -> None:
        name, given = QInputDialog.getText(self, "New trainee", "Name")
        if given:
            self._drill.add(name)

    def _rename(self) -> None:
        name, given = QInputDialog.getText(
            self, "Another name", "Name", text=self._drill.trainee.name
        )
        if given:
            self._drill.rename(name)

    def _delete(self) -> None:
        name, count = self._drill.trainee.name, len(self._drill.results())
        box = Message(
            f"Delete {name} with {count} rounds and all question cards? There is no undo.", self
        )
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Yes | buttons.Cancel)
        box.setDefaultButton(buttons.Cancel)
        if box.exec() == buttons.Yes:
            self._drill.delete()

    def _export(self) -> None:
        path = ask_where(self, "Save the results", "drill.csv", "Tables (*.csv)")
        if path is not None:
            drill = self._drill
            self._try("The results could not be saved",
                      lambda: drill.store.export(drill.trainee, path))  # fmt: skip

    def _try(self, title: str, do: Callable[[], object]) -> None:
        try:
            do()
        except BadInput as error:
            self._warn(title, str(error))
        else:
            self._say("Saved.")
