"""The Put out page: what is asked at the left, the picture of before and after, suggestions."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.planning.put_out_words import limits_words, verdict
from app.planning.situation import depth_at_mark
from app.planning.words import refusal_words
from app.put_out.cards import Cards
from app.put_out.fields import Asked, RodsAsked
from app.put_out.model import Proposals
from app.put_out.picture import BeforeAfter
from app.ui.late_bar import LateBar
from app.ui.look import font
from app.ui.panel import Panel, quiet
from app.ui.plain import Label
from app.ui.preferences import Preferences
from app.ui.scroll import Column
from app.ui.side import side
from app.ui.steps import BODY, GAP, LOUD, PAGE, PLOT_PANEL

SIDE = 292
"""Width of what is asked, px."""

WHAT = (
    "Say what may change, then look: the lines, speed, wait and hold that have all lures come off "
    "the bottom through the mark together, for as long as can be."
)

BOTH = "now dotted, the suggestion drawn out"
"""What the picture shows once there is a suggestion."""


class PutOutPage(QWidget):
    """Everything a person needs to settle on what to put out for a mark."""

    def __init__(self, proposals: Proposals, preferences: Preferences) -> None:
        super().__init__()
        self._proposals, self._preferences = proposals, preferences
        self.asked = Asked(proposals, preferences)
        self.rods = RodsAsked(proposals, preferences)
        self.picture = BeforeAfter(proposals, preferences)
        self.cards = Cards(proposals, preferences)
        outer = QHBoxLayout(self)
        outer.setContentsMargins(*PAGE)
        outer.setSpacing(GAP)
        outer.addWidget(self._side())
        main = QVBoxLayout()
        main.setSpacing(GAP)
        main.addWidget(self._answer())
        self.picture_panel = Panel("Depth of each lure")
        self.picture_panel.body.addWidget(self.picture, 1)
        self.picture_panel.body.setContentsMargins(*PLOT_PANEL)
        main.addWidget(self.picture_panel, 5)
        main.addWidget(self.cards, 4)
        outer.addLayout(main, 1)
        self.home = self.look_for
        proposals.changed.connect(self.refresh)
        proposals.progress_changed.connect(self._progress)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self._look)
        self.refresh()

    def _side(self) -> Column:
        self.look_for = QPushButton("Look for it")
        self.look_for.setObjectName("primary")
        self.look_for.setFont(font(LOUD, bold=True))
        self.look_for.setToolTip("Work out what to put out for this mark")
        self.look_for.clicked.connect(self._proposals.run)
        return side(SIDE, self.look_for, self.asked, self.rods)

    def _answer(self) -> Panel:
        panel = Panel("What to put out")
        self.doing = quiet()
        self.bar = LateBar("How much of the search is done")
        self.stop = QPushButton("Stop")
        self.stop.setToolTip("Give up the search")
        self.stop.clicked.connect(self._proposals.stop)
        self.bar.late.turned.connect(self._progress)
        for widget in (self.doing, self.bar, self.stop):
            keep = widget.sizePolicy()
            keep.setRetainSizeWhenHidden(True)
            widget.setSizePolicy(keep)
            panel.head.addWidget(widget)
        self.words = Label()
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setWordWrap(True)
        self.words.setFont(font(BODY))
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        panel.body.addWidget(self.words)
        return panel

    def refresh(self) -> None:
        """All but the progress."""
        proposals = self._proposals
        self.words.setText("\n".join(self.said()))
        alarm = self._preferences.look.alarm
        self.words.setStyleSheet(
            f"color: {alarm}" if proposals.trouble or proposals.refused else ""
        )
        self.look_for.setEnabled(not proposals.busy)
        self.cards.setVisible(bool(proposals.offered))
        self.picture_panel.note.setText(BOTH if proposals.offered else "")
        self._progress()

    def said(self) -> list[str]:
        """What stands at the top."""
        proposals = self._proposals
        if proposals.trouble:
            return [proposals.trouble]
        if proposals.refused is not None:
            setup, catalog = proposals.document.setup, proposals.document.catalog
            there, unit = depth_at_mark(setup, catalog), self._preferences.length
            return [refusal_words(proposals.refused, setup.water.bottom, there, unit)]
        if proposals.busy:
            return ["Working it out…"]
        found = proposals.found
        if found is None:
            return ["Stopped. " + WHAT if proposals.stopped else WHAT]
        out = [verdict(found), *limits_words(found, self._preferences.length)]
        if proposals.stale:
            out.append("This answers what was asked before: look for it again.")
        return out

    def _progress(self) -> None:
        proposals = self._proposals
        self.bar.tell(proposals.busy, proposals.progress)
        if not proposals.busy:
            self.bar.late.end()
        self.doing.setText(f"{proposals.doing}…" if proposals.busy and self.bar.late.shown else "")
        self.stop.setVisible(proposals.busy)

    def _look(self) -> None:
        self.picture.apply_look(self._preferences.look)
        self.refresh()
