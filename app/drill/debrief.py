"""After a round: score, advice, every line's figures, and the replay beside the best."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QHeaderView,
    QSlider,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.drill.depth import DrillDepth
from app.drill.model import Drill
from app.drill.replay import Replay
from app.drill.score import Score, formula
from app.drill.words import advice, title
from app.live.side_view import SideView
from app.planning.steady_words import COUNTED, steady_sentence
from app.planning.words import added_up
from app.session.live_run import LiveRun
from app.ui.big import TALL, big
from app.ui.figure import Figure
from app.ui.look import font
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.scroll import Upright
from app.ui.steps import GAP, HUGE, LOUD, PLOT_PANEL, SNUG
from app.ui.tables import heads, manners, symbol_icon

TICKS = 20
"""Steps of the scrubber a second."""

SKIP = 1.0
"""One press of Left or Right, s."""


class DrillDebrief(QWidget):
    """Pulls what it shows from the drill."""

    def __init__(self, drill: Drill, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__()
        self._drill, self._preferences = drill, preferences
        self.replay = Replay(drill, self)
        self.side_view = SideView(live_run, preferences)
        self.tracks = DrillDepth(drill, self.replay, preferences)
        self.home = self.tracks
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP)
        row.addLayout(self._left(), 1)
        row.addWidget(self._right())
        drill.scored.connect(self.refresh)
        drill.stage_changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self.refresh)
        self.replay.moved.connect(self._moved)
        self.replay.changed.connect(self._moved)

    def _left(self) -> QVBoxLayout:
        self.depth_panel = Panel("Depth of each lure")
        self.depth_panel.body.addWidget(self.tracks, 1)
        self.side_panel = Panel("Replay", "dotted: where the best would have had the lures go")
        self.side_panel.body.addWidget(self.side_view, 1)
        for panel in (self.depth_panel, self.side_panel):
            panel.body.setContentsMargins(*PLOT_PANEL)
        self.run = big("Run  Space", self.replay.toggle, "Run the replay, or stop it (Space)")
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setMinimumHeight(TALL)
        self.slider.setAccessibleName("Moment of the replay")
        self.slider.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.slider.valueChanged.connect(lambda value: self.replay.show(value / TICKS))
        self.moment = quiet()
        self.moment.setMinimumWidth(150)
        scrub = QHBoxLayout()
        scrub.setSpacing(GAP)
        for widget, stretch in ((self.run, 0), (self.slider, 1), (self.moment, 0)):
            scrub.addWidget(widget, stretch)
        left = QVBoxLayout()
        left.setSpacing(GAP)
        left.addWidget(self.depth_panel, 1)
        left.addWidget(self.side_panel, 1)
        left.addLayout(scrub)
        return left

    def _right(self) -> Panel:
        panel = Panel("Debrief")
        panel.setFixedWidth(400)
        self.panel = panel
        self.points = Figure(self._preferences, HUGE, "Score", "score")
        self.words = Label()
        self.words.setWordWrap(True)
        self.words.setFont(font(LOUD, bold=True))
        self.compare = Label()
        self.compare.setWordWrap(True)
        self.sum = Label()
        self.sum.setWordWrap(True)
        self.lines = QTableWidget(0, 4)
        self.lines.setProperty("bare", True)
        self.lines.setShowGrid(False)
        self.lines.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.lines.setSelectionMode(QTableWidget.SelectionMode.NoSelection)
        self.lines.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.lines.verticalHeader().hide()
        self.lines.setAccessibleName("What each line did")
        manners(self.lines)
        head = self.lines.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        self.formula = quiet()
        self.formula.setWordWrap(True)
        self.steady = quiet()
        self.steady.setWordWrap(True)
        self.steady.setToolTip(as_tip(f"Which answer is right most often. {COUNTED}"))
        told = QWidget()
        column = QVBoxLayout(told)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(SNUG)
        for widget in (self.points, self.words, self.compare, self.steady, self.sum):
            column.addWidget(widget)
        column.addWidget(self.lines, 1)
        column.addWidget(self.formula)
        # the buttons are in sight however little room there is
        panel.body.addWidget(Upright(told), 1)
        self.next = big("Next round  Enter", self._drill.next_round)
        self.again = big("Same again  R", self._drill.begin)
        self.choose = big("Choose  Esc", self._drill.leave, "Back to the levels (Esc)")
        self.next.setObjectName("primary")
        grid = QGridLayout()
        grid.setSpacing(SNUG)
        grid.addWidget(self.next, 0, 0, 1, 2)
        grid.addWidget(self.again, 1, 0)
        grid.addWidget(self.choose, 1, 1)
        panel.body.addLayout(grid)
        return panel

    def apply_look(self) -> None:
        """Take the look in use."""
        self.side_view.apply_look(self._preferences.look)
        self.tracks.apply_look(self._preferences.look)

    # ---- refresh

    def refresh(self) -> None:
        """Everything that is known so far."""
        drill = self._drill
        if drill.stage != "debrief" or drill.round is None:
            return
        self.panel.title.setText(title(drill.round))
        self.depth_panel.note.setText(
            f"{self._preferences.length.name}, s after the mark; solid: yours, broad where it "
            "counts; dotted: the best"
        )
        unit = self._preferences.length
        self.formula.setText(formula(unit))
        with QSignalBlocker(self.slider):
            self.slider.setMaximum(int(self.replay.end * TICKS))
        if drill.score is None or drill.taken is None or drill.best is None:
            self.points.show_figure("…", "working out the best", dim=True)
            self.words.setText("")
            self.compare.setText("")
            self._tell_steady()
            self.sum.setText("")
            self.lines.setRowCount(0)
            self._moved()
            return
        possible = drill.best.plan.answer is not None
        self.points.show_figure(
            f"{drill.score.points:.0f}" if possible else "–",
            "of 100" if possible else "not scored",
        )
        self.words.setText(advice(drill.taken, drill.best, unit, self._preferences.speed))
        self.compare.setText(self._compared())
        self._tell_steady()
        self.sum.setText(_sum(drill.score, len(drill.taken.rods)) if possible else "")
        self._table()
        self._moved()

    def _compared(self) -> str:
        drill = self._drill
        assert drill.taken is not None
        assert drill.best is not None
        taken, answer = drill.taken, drill.best.plan.answer
        yours = "never out of gear"
        if taken.wait is not None and taken.hold is not None:
            late = "after" if taken.wait >= 0.0 else "before"
            yours = f"out {abs(taken.wait):.1f} s {late} the mark, held {taken.hold:.1f} s"
        if answer is None:
            return f"You: {yours}."
        return f"You: {yours}.\nBest: out {answer.wait:.0f} s after it, held {answer.hold:.0f} s."

    def _tell_steady(self) -> None:
        """Beside the best for exact numbers the answer that is right most often."""
        drill, words = self._drill, ""
        if drill.steady is not None and drill.best is not None and drill.score is not None:
            plan = drill.best.plan
            words = steady_sentence(drill.steady, plan.request.setup.doubt, len(plan.rods))
        self.steady.setText(words)
        self.steady.setVisible(bool(words))

    def _table(self) -> None:
        drill, unit = self._drill, self._preferences.length
        assert drill.taken is not None
        assert drill.best is not None
        symbol = unit.symbol
        words = ("Line", "Window, s", f"At the mark,\n{symbol} off", f"Least,\n{symbol} off")
        heads(self.lines, words)
        tips = (
            "", "strike window of this line alone: yours of the best's, s",
            "height off bottom as it passes the mark's place",
            "how near lure or line came to the bottom",
        )  # fmt: skip
        for column, tip in enumerate(tips):
            item = self.lines.horizontalHeaderItem(column)
            if item is not None:
                item.setToolTip(as_tip(tip))
        self.lines.setRowCount(len(drill.taken.rods))
        for row, (own, best) in enumerate(zip(drill.taken.rods, drill.best.plan.rods, strict=True)):
            passed = "never" if own.at_mark is None else f"{unit.from_si(own.at_mark):.0f}"
            least = f"{unit.from_si(own.least_height):.0f}"
            texts = (
                own.name, f"{own.lifting:.1f} of {best.lifting:.1f} s", passed,
                "touched" if own.name in drill.taken.touched else least,
            )  # fmt: skip
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                if column:
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                else:
                    item.setIcon(symbol_icon(row, self._preferences.look))
                    item.setToolTip(as_tip(text))
                self.lines.setItem(row, column, item)

    def _moved(self) -> None:
        drill = self._drill
        if drill.round is None:
            return
        with QSignalBlocker(self.slider):
            self.slider.setValue(round(self.replay.time * TICKS))
        since = self.replay.time - drill.round.mark.time
        word = "after" if since >= 0.0 else "before"
        self.moment.setText(f"{abs(since):.1f} s {word} the mark")
        self.run.setText("Stop  Space" if self.replay.runs else "Run  Space")

    def skip(self, steps: int) -> None:
        """A second on, or back."""
        self.replay.stop()
        self.replay.show(self.replay.time + SKIP * steps)


def _sum(score: Score, lines: int) -> str:
    """How the score of a round of so many lines came about, in figures."""
    seconds = f"{score.window:.1f} of {score.possible:.1f} s{added_up(lines)}"
    parts = [f"{seconds}: {100.0 * score.share:.0f} points"]
    if score.touches:
        parts.append(f"{score.touches} touched bottom")
    if score.crossings:
        parts.append(f"{score.crossings} close")
    if score.late:
        parts.append("one engine late")
    return "; ".join(parts) + "."
