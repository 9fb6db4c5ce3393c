"""What works: each factor's rates with a sentence beside them, and what to try next."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.log.learn.findings import Finding, Learned
from app.log.learn.words import Saying
from app.log.rates_plot import RatesPlot
from app.log.words import counted
from app.log.works_model import Works
from app.ui.look import font, px
from app.ui.panel import Panel, quiet
from app.ui.plain import Label
from app.ui.preferences import Preferences
from app.ui.scroll import Scroll
from app.ui.steps import BODY, GAP, HAIR, LOUD, SNUG
from app.ui.what_is import explain

EMPTY = (
    "Nothing to learn from yet. Entries marked as done on the water are counted here, with hits "
    "and without; rehearsals never are."
)

LOOKING = "Looking through the log…"


class FactorRow(QWidget):
    """One factor: its name and sentence at the left, its rates at the right."""

    def __init__(self, preferences: Preferences) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, HAIR, 0, SNUG)
        words = QVBoxLayout()
        self.title, self.sentence = Label(), Label()
        self.title.setFont(font(BODY, bold=True))
        self.sentence.setWordWrap(True)
        self.sentence.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        words.addWidget(self.title)
        words.addWidget(self.sentence)
        words.addStretch(1)
        self.plot = RatesPlot(preferences)
        explain(self.plot, "80 % range", tip=False)
        row.addLayout(words, 2)
        row.addWidget(self.plot, 3, Qt.AlignmentFlag.AlignTop)

    def show_finding(self, found: Finding, saying: Saying, hourly: bool) -> None:
        """Show one factor."""
        self.title.setText(found.factor.title)
        self.sentence.setText(saying.sentence(found))
        self.plot.show_finding(found, saying, hourly)


class WorksPanel(QWidget):
    """Pulls from the view-model; ``tell`` says what was done."""

    def __init__(self, works: Works, preferences: Preferences, tell: Callable[[str], None]) -> None:
        super().__init__()
        self._works, self._preferences, self._tell = works, preferences, tell
        self.rows: list[FactorRow] = []
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP)
        layout.addWidget(self._next())
        layout.addWidget(self._all(), 1)
        works.changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self._look)
        self.refresh()

    def _next(self) -> Panel:
        panel = Panel("What to try next")
        self.order, self.why = Label(), quiet()
        self.order.setFont(font(LOUD, bold=True))
        explain(self.order, "what to try next")
        for label in (self.order, self.why):
            label.setWordWrap(True)
        self.button = QPushButton("Set it up")
        self.button.setToolTip("Put this into the setup of all pages (Ctrl+Z undoes it)")
        self.button.clicked.connect(self._set_up)
        row = QHBoxLayout()
        words = QVBoxLayout()
        words.addWidget(self.order)
        words.addWidget(self.why)
        row.addLayout(words, 1)
        row.addWidget(self.button, 0, Qt.AlignmentFlag.AlignTop)
        panel.body.addLayout(row)
        return panel

    def _all(self) -> Panel:
        panel = Panel("What worked")
        self.panel = panel
        self.hourly = QCheckBox("By line-hour")
        self.hourly.setToolTip(
            "Hits for each hour a line fished, not for each line-drop; only entries whose time "
            "is known count"
        )
        explain(self.hourly, "line-hour", tip=False)
        explain(panel, "line-drop", tip=False)
        self.hourly.toggled.connect(self.refresh)
        panel.head.insertWidget(2, self.hourly)
        self.empty = Label()
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        inside = QWidget()
        self.column = QVBoxLayout(inside)
        self.column.setContentsMargins(0, 0, round(px(SNUG)), 0)
        self.column.addStretch(1)
        self.rolling = Scroll(inside)
        panel.body.addWidget(self.empty, 1)
        panel.body.addWidget(self.rolling, 1)
        return panel

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._works.set_active(True)

    def hideEvent(self, event: QHideEvent) -> None:
        self._works.set_active(False)
        super().hideEvent(event)

    def refresh(self) -> None:
        """Show what is learned by now."""
        learned, saying = self._works.learned, self._saying
        first = self._works.busy and not learned.drops
        self.panel.right.setText(LOOKING if self._works.busy else _count(learned))
        self.empty.setText(LOOKING if first else EMPTY)
        self.order.setText(LOOKING if first else saying.next(learned))
        self.why.setText(saying.why(learned))
        self.button.setEnabled(bool(learned.changes))
        # what differs comes first
        found = sorted(learned.findings, key=lambda one: not one.told)
        self.empty.setVisible(not found)
        self.rolling.setVisible(bool(found))
        self.hourly.setEnabled(bool(found))
        while len(self.rows) < len(found):
            self.rows.append(FactorRow(self._preferences))
            self.column.insertWidget(self.column.count() - 1, self.rows[-1])
        for row, one in zip(self.rows, found, strict=False):
            row.show_finding(one, saying, self.hourly.isChecked() or one.hourly)
        for number, row in enumerate(self.rows):
            row.setVisible(number < len(found))

    @property
    def _saying(self) -> Saying:
        return Saying(self._preferences.length, self._preferences.speed)

    def _look(self) -> None:
        for row in self.rows:
            row.plot.apply_look(self._preferences.look)
        self.refresh()

    def _set_up(self) -> None:
        changes = self._works.learned.changes
        done = self._works.set_up()
        left = changes if done is None else done.left
        said = [] if done is None else ["It is set up on all pages; Ctrl+Z takes it back."]
        if left:
            orders = ", ".join(self._saying.change(change) for change in left)
            said.append(f"Yours to do: {orders}.")
        self._tell(" ".join(said) or "This is set up already.")


def _count(learned: Learned) -> str:
    if not learned.drops:
        return ""
    return (
        f"{counted(learned.days, 'day')}, {counted(learned.drops, 'drop')}, "
        f"{learned.hits:,} of {learned.lines:,} line-drops hit"
    )
