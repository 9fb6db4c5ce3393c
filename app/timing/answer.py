"""The answer to when and how long, large, and in words; and how far the work is."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
)

from app.planning.words import (
    already_out_sentence,
    answer_sentence,
    how_sure,
    misses_words,
    notes,
    refusal_words,
    shortfall_words,
)
from app.timing.model import Planner
from app.ui.figure import Figure
from app.ui.late_bar import LateBar
from app.ui.panel import Panel, quiet
from app.ui.preferences import Preferences
from app.ui.scroll import Scroll


class AnswerPanel(Panel):
    """Wait, hold and window in large figures, the sentences beside them."""

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__("The answer")
        self._planner, self._preferences = planner, preferences
        row = QHBoxLayout()
        row.setSpacing(14)
        self.wait = Figure(preferences, 28, "Wait")
        self.hold = Figure(preferences, 28, "Hold")
        self.window_ = Figure(preferences, 28, "Strike window")
        for figure, width in ((self.wait, 112), (self.hold, 112), (self.window_, 164)):
            figure.setFixedWidth(width)
            row.addWidget(figure, 0, Qt.AlignmentFlag.AlignTop)
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
        for figure in (self.wait, self.hold, self.window_):
            figure.setVisible(answer is not None)
        if answer is not None:
            self.wait.show_figure(_tidy(answer.wait), "s wait", dim=dim)
            self.hold.show_figure(_tidy(answer.hold), "s hold", dim=dim)
            self.window_.show_figure(f"{answer.window:.1f}", "s window", dim=dim)
        self.words.setText("".join(self._paragraphs()))

    def _paragraphs(self) -> list[str]:
        planner, unit = self._planner, self._preferences.length
        alarm = self._preferences.look.alarm
        if planner.refused is not None or planner.trouble:
            why = planner.trouble
            if planner.refused is not None:
                ground = planner.request.setup.water.bottom
                why = f"No plan. {refusal_words(planner.refused, ground, unit)}"
            return [f"<p style='color:{alarm}; margin:0'><b>{escape(why)}</b></p>"]
        plan = planner.plan
        if plan is None:
            return ["<p style='margin:0'>Working it out…</p>"]
        out = [
            f"<p style='margin:0 0 3px 0; font-size:12pt'><b>{escape(answer_sentence(plan, unit))}"
            "</b></p>"
        ]
        said = [already_out_sentence(plan, unit)]
        at_answer = plan.answer is not None and planner.point == plan.point
        if planner.sure is not None:
            here = "" if at_answer else "At the point chosen: "
            said.append(here + how_sure(planner.sure, plan, unit))
        said += [*notes(plan)] if planner.point == plan.point else []
        said += misses_words(plan, unit)
        said += [shortfall_words(short, unit) for short in plan.shortfalls]
        out += [f"<p style='margin:0 0 2px 0'>{escape(text)}</p>" for text in said]
        return out


def _tidy(seconds: float) -> str:
    return f"{seconds:.1f}".removesuffix(".0")
