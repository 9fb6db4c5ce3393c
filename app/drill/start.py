"""Before a round: levels, safety notes, the trainee and their progress."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.drill.file import Planned
from app.drill.model import Drill
from app.drill.progress import DrillProgress
from app.drill.round import FREE, HELPS, LEVELS, SEED
from app.drill.words import SAFETY
from app.ui.big import TALL, big
from app.ui.look import font
from app.ui.number_field import NumberField, Refusal, all_taken
from app.ui.panel import Panel, quiet
from app.ui.plain import Label
from app.ui.preferences import Preferences
from app.ui.scroll import Upright
from app.ui.steps import GAP, HEAD, ROOM, SNUG
from app.ui.wheel_needs_focus import ChoiceBox

WIDEST, TALLEST = 300, 64
"""Large buttons grow no wider and no taller than this on a large screen, px."""

HELP_WORDS = {"full": "look-ahead drawn", "fades": "look-ahead fades", "off": "no look-ahead"}


class DrillStart(QWidget):
    """Signals ask the page for what needs a dialog: ``wanted`` carries which.

    One of: open set, save set, add, rename, delete, export.
    """

    wanted = Signal(str)

    def __init__(self, drill: Drill, preferences: Preferences) -> None:
        super().__init__()
        self._drill, self._preferences = drill, preferences
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP)
        left, right = QVBoxLayout(), QVBoxLayout()
        for column, stretch in ((left, 3), (right, 2)):
            column.setSpacing(GAP)
            row.addLayout(column, stretch)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP)
        column.addWidget(self._safety())
        column.addWidget(self._levels(), 1)
        left.addWidget(Upright(inside))
        # in sight however little room there is
        left.addLayout(self._foot())
        right.addWidget(self._trainee(preferences), 1)
        drill.people_changed.connect(self.refresh)
        self.refresh()

    def _safety(self) -> Panel:
        panel = Panel("Before you begin")
        for note in SAFETY:
            label = Label(f"•  {note}")
            label.setWordWrap(True)
            panel.body.addWidget(label)
        return panel

    def _levels(self) -> Panel:
        panel = Panel("Choose a level", "keys 1 to 5, 0 for your own scenario")
        self.group = QButtonGroup(self)
        self.levels: dict[int, QPushButton] = {}
        grid = QGridLayout()
        grid.setHorizontalSpacing(ROOM)
        grid.setVerticalSpacing(SNUG)
        for place, (number, level) in enumerate(LEVELS.items()):
            button = big(f"{number}  {level.title}", self._chosen)
            button.setCheckable(True)
            button.setStyleSheet("text-align: left")
            # more room makes it easier to hit
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
            button.setMaximumSize(WIDEST, TALLEST)
            self.group.addButton(button, number)
            self.levels[number] = button
            about = quiet(level.about)
            about.setWordWrap(True)
            grid.addWidget(button, place, 0)
            grid.addWidget(about, place, 1)
            grid.setRowStretch(place, 1)
        # the scenario on screen alone is rehearsed with as much help as one likes
        grid.addWidget(self._helps(), len(LEVELS) - 1, 2)
        grid.setColumnStretch(0, 2)
        grid.setColumnStretch(1, 5)
        self.levels[1].setChecked(True)
        panel.body.addLayout(grid, 20)
        self.begin = big("", self.start, "Begin the round (Enter)", tall=TALLEST)
        self.begin.setObjectName("primary")
        self.begin.setFont(font(HEAD, bold=True))
        self.begin.setMaximumWidth(2 * WIDEST)
        self.home = self.begin
        rest = QHBoxLayout()
        rest.setSpacing(SNUG)
        self.cards = big("Question cards  Q", lambda: self._drill.leave("cards"))
        self.open = big("Open a set…", lambda: self.wanted.emit("open set"),
                        "Rounds a teacher has put together, from a file")  # fmt: skip
        self.add_round = big("Add to my set", self._add, "Put this round at the end of a set")
        self.save = big("Save my set…", lambda: self.wanted.emit("save set"))
        for button in (self.cards, self.open, self.add_round, self.save):
            button.setMaximumWidth(WIDEST)
            rest.addWidget(button)
        self.set_note = quiet()
        rest.addWidget(self.set_note)
        rest.addStretch(1)
        panel.body.addLayout(rest)
        panel.body.addStretch(1)
        self.mine: list[Planned] = []
        self._chosen()
        return panel

    def _helps(self) -> QComboBox:
        self.help = ChoiceBox()
        self.help.setMinimumHeight(TALL)
        self.help.setAccessibleName("Look-ahead")
        for name in HELPS:
            self.help.addItem(HELP_WORDS[name], name)
        self.help.setCurrentIndex(HELPS.index("off"))
        return self.help

    def _foot(self) -> QHBoxLayout:
        """What begins a round, and which."""
        self._seed = 1.0
        self.seed = NumberField(
            SEED, lambda: self._seed, partial(setattr, self, "_seed"), self._preferences,
            help="The same level and round number is the same round for everybody",
        )  # fmt: skip
        self.seed.setMinimumHeight(TALL)
        self.seed.setFixedWidth(120)
        row = QHBoxLayout()
        row.setSpacing(GAP)
        row.addWidget(self.begin, 20)
        row.addWidget(quiet("Round number"))
        row.addWidget(self.seed)
        row.addWidget(Refusal(self.seed))
        row.addStretch(1)
        return row

    def _trainee(self, preferences: Preferences) -> Panel:
        panel = Panel("Results")
        self.people = ChoiceBox()
        self.people.setMinimumHeight(TALL)
        self.people.setAccessibleName("Trainee")
        self.people.currentIndexChanged.connect(self._person)
        panel.body.addWidget(self.people)
        self.progress = DrillProgress(self._drill, preferences)
        panel.body.addWidget(self.progress, 1)
        grid = QGridLayout()
        grid.setSpacing(SNUG)
        self.who: dict[str, QPushButton] = {}
        for place, (name, text) in enumerate(
            (("add", "New…"), ("rename", "Rename…"), ("export", "Export CSV…"),
             ("delete", "Delete…"))
        ):  # fmt: skip
            self.who[name] = big(text, partial(self.wanted.emit, name))
            grid.addWidget(self.who[name], 0, place)
        panel.body.addLayout(grid)
        return panel

    # ---- refresh

    def refresh(self) -> None:
        """Who there is, and how they do."""
        people = self._drill.people()
        with QSignalBlocker(self.people):
            self.people.clear()
            for person in people:
                self.people.addItem(person.name, person)
            names = [person.number for person in people]
            self.people.setCurrentIndex(names.index(self._drill.trainee.number))
        read = self._drill.read_safety
        self.begin.setText("Begin  (Enter)" if read else "I have read this: begin  (Enter)")
        rounds = "round" if len(self.mine) == 1 else "rounds"
        self.set_note.setText(f"Your set: {len(self.mine)} {rounds}." if self.mine else "")
        self.save.setEnabled(bool(self.mine))

    def _person(self, index: int) -> None:
        person = self.people.itemData(index)
        if person is not None:
            self._drill.choose(person)

    def _chosen(self) -> None:
        self.help.setVisible(self.group.checkedId() == FREE)

    # ---- to do

    def pick(self, level: int) -> None:
        """Choose a level."""
        self.levels[level].setChecked(True)
        self._chosen()

    def planned(self) -> Planned:
        """The round chosen."""
        level, seed = self.group.checkedId(), int(self._seed)
        if level == FREE:
            own = self._drill.own_setup()
            return Planned(FREE, seed, own.setup, str(self.help.currentData()))
        return Planned(level, seed)

    def start(self) -> None:
        """Begin the round chosen."""
        if all_taken(self.seed):
            self._drill.begin_set([self.planned()])

    def _add(self) -> None:
        if all_taken(self.seed):
            self.mine.append(self.planned())
            self.seed.stepBy(1)
            self.refresh()
