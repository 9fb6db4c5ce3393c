"""The answer to when and how long, large, and in words; and how far the work is."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.planning.unison_words import unison_words
from app.planning.words import (
    already_out_sentence,
    answer_sentence,
    how_sure,
    line_seconds,
    misses_words,
    notes,
    refusal_words,
    risk_figure,
    shortfall_words,
    spanned,
)
from app.timing.model import Planner
from app.ui.figure import Figure
from app.ui.late_bar import LateBar
from app.ui.look import font, px
from app.ui.panel import Panel, quiet
from app.ui.preferences import Preferences
from app.ui.scroll import Scroll
from app.ui.steps import FIGURE, HAIR, LOUD, SMALL, TIGHT, WIDE
from app.ui.what_is import explain

WORDS = 200
"""The sentences are no narrower, px: large figures that they tell too make way."""


class Stated(QWidget):
    """A large figure under what it is of, and a line or two about it below."""

    def __init__(self, preferences: Preferences, title: str, width: int) -> None:
        super().__init__()
        explain(self, title.lower())
        # of a width that no figure changes
        self.setFixedWidth(width)
        self.figure = Figure(preferences, FIGURE, title, title.lower())
        self.about = [quiet(), quiet()]
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(quiet(title))
        layout.addWidget(self.figure)
        for line in self.about:
            line.setFont(font(SMALL))
            layout.addWidget(line)
        layout.addStretch(1)

    def state(self, text: str, word: str, *about: str, dim: bool = False) -> None:
        """Show another figure."""
        self.figure.show_figure(text, word, dim=dim)
        for number, line in enumerate(self.about):
            line.setText(about[number] if number < len(about) else "")


class AnswerPanel(Panel):
    """Wait, hold, strike window and risk in large figures, the sentences beside them."""

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__("The answer")
        self._planner, self._preferences = planner, preferences
        row = QHBoxLayout()
        row.setSpacing(WIDE)
        self.wait = Stated(preferences, "Wait", 92)
        self.hold = Stated(preferences, "Hold", 92)
        self.lifts = Stated(preferences, "Strike window", 170)
        self.risk = Stated(preferences, "Risk of touching", 126)
        self.figures = (self.wait, self.hold, self.lifts, self.risk)
        self._known = False
        for stated in self.figures:
            row.addWidget(stated)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.RichText)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.area = Scroll(self.words)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        row.addWidget(self.area, 1)
        self.body.addLayout(row, 1)
        self._head()
        self.setFixedHeight(174)
        planner.changed.connect(self.refresh)
        planner.sure_changed.connect(self.refresh)
        planner.point_moved.connect(self.refresh)
        planner.progress_changed.connect(self._progress)
        preferences.units_changed.connect(self.refresh)
        self.refresh()
        self._progress()

    def _head(self) -> None:
        """Progress and Stop at the right of the title."""
        self.doing = quiet()
        self.bar = LateBar("How much of the plan is done")
        self.stop = QPushButton("Stop")
        self.stop.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.stop.setToolTip("Give up what is being computed; what there is stays")
        self.stop.clicked.connect(self._stop)
        self.bar.late.turned.connect(self._progress)
        for widget in (self.doing, self.bar, self.stop):
            keep = widget.sizePolicy()
            keep.setRetainSizeWhenHidden(True)
            widget.setSizePolicy(keep)
            self.head.addWidget(widget)

    def _stop(self) -> None:
        if self._planner.stopped:
            self._planner.replan()
        else:
            self._planner.stop()

    def _progress(self) -> None:
        planner = self._planner
        busy = planner.busy
        self.bar.tell(busy, planner.progress)
        if planner.stopped:
            self.bar.late.end()
        self.doing.setText(f"{planner.doing}…" if busy and self.bar.late.shown else "")
        self.stop.setVisible(self.bar.late.shown or planner.stopped)
        self.stop.setText("Go on" if planner.stopped else "Stop")

    # ---- words

    def refresh(self) -> None:
        """Everything but the progress."""
        planner = self._planner
        plan = planner.plan
        dim = not planner.fresh or (plan is not None and plan.coarse)
        answer = plan.answer if plan is not None else None
        self.title.setText("The answer" if planner.chosen is None else "The point chosen")
        self._known = plan is not None and (answer or planner.chosen) is not None
        self._make_way()
        if plan is not None:
            wait, hold = planner.point
            self.wait.state(_tidy(wait), "s", "after the mark", dim=dim)
            self.hold.state(_tidy(hold), "s", "out of gear", dim=dim)
            self._state_windows(dim)
            self._state_risk(dim)
        self.words.setText("".join(self._paragraphs()))

    def _make_way(self) -> None:
        """Show the figures there are, as far as there is room."""
        margins = self.body.contentsMargins()
        room = self.width() - margins.left() - margins.right() - px(WORDS)
        for stated in (self.wait, self.hold, self.risk, self.lifts):
            room -= stated.minimumWidth() + WIDE
            stated.setVisible(self._known and room >= 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._make_way()
        super().resizeEvent(event)

    def text_resized(self) -> None:
        """Figures and sentences need other room, and the first sentence says its size."""
        self.refresh()

    def _state_windows(self, dim: bool) -> None:
        seconds = [rod.lifting for rod in self._planner.rods]
        if len(seconds) < 2:
            self.lifts.state(spanned(seconds), "s", "through the mark", dim=dim)
            return
        added_up = f"all lines added up: {sum(seconds):.1f} s"
        text = spanned(seconds).replace(" to ", "–")
        self.lifts.state(text, "s", "each line, through the mark", added_up, dim=dim)

    def _state_risk(self, dim: bool) -> None:
        what = "of drops, any line"
        sure = self._planner.sure.chances
        if sure is None:
            waiting = "…" if self._planner.busy else "–"
            self.risk.state(waiting, "%", what, dim=True)
            return
        percent, give_or_take = risk_figure(sure)
        self.risk.state(percent, "%", what, give_or_take, dim=dim)

    def _paragraphs(self) -> list[str]:
        planner, unit = self._planner, self._preferences.length
        alarm = self._preferences.look.alarm
        if planner.refused is not None or planner.trouble:
            why = planner.trouble
            if planner.refused is not None:
                setup = planner.request.setup
                there = planner.depth_at_mark(setup)
                refusal = refusal_words(planner.refused, setup.water.bottom, there, unit)
                why = f"No plan. {refusal}"
            return [f"<p style='color:{alarm}; margin:0'><b>{escape(why)}</b></p>"]
        plan = planner.plan
        if plan is None:
            return ["<p style='margin:0'>Working it out…</p>"]
        best = escape(answer_sentence(plan, unit))
        large = font(LOUD).pointSizeF()
        out = [f"<p style='margin:0 0 {TIGHT}px 0; font-size:{large:g}pt'><b>{best}</b></p>"]
        said = [already_out_sentence(plan, unit)]
        if plan.answer is not None:
            names = [rod.name for rod in plan.rods]
            said.insert(0, line_seconds(names, plan.answer.each_line))
        said.insert(1, unison_words(plan, unit, planner.point))
        at_answer = plan.answer is not None and planner.point == plan.point
        if planner.sure.chances is not None:
            here = "" if at_answer else "At the point chosen: "
            said.append(here + how_sure(planner.sure.chances, plan, unit))
        said += [*notes(plan)] if planner.point == plan.point else []
        said += misses_words(plan, unit)
        said += [shortfall_words(short, unit) for short in plan.shortfalls]
        out += [f"<p style='margin:0 0 {HAIR}px 0'>{escape(text)}</p>" for text in said if text]
        return out


def _tidy(seconds: float) -> str:
    return f"{seconds:.1f}".removesuffix(".0")
