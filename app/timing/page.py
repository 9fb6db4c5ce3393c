"""The Timing page: the answer, the map of waits and holds, the drop it gives, and the tables."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.session.document import Document
from app.timing.answer import AnswerPanel
from app.timing.at_mark import AtMark
from app.timing.card_panel import CardPanel
from app.timing.depth import PlanDepth
from app.timing.fields import PlanFields, UnsureFields
from app.timing.map_key import MapKey
from app.timing.model import POINT_HOLD, POINT_WAIT, Planner
from app.timing.steady_panel import MattersPanel, SteadyPanel
from app.timing.tables import HoldTable, LinesTable
from app.timing.wait_hold_map import WaitHoldMap
from app.timing.yielding_splitter import YieldingSplitter
from app.ui.look import font
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import Panel, quiet
from app.ui.panel_pair import PanelPair
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.side import side
from app.ui.steps import GAP, HAIR, LOUD, PAGE, PLOT_PANEL, SMALL, TIGHT
from physics.checks import Limits

TABLES, TABLES_SHARE = 250, 0.26
"""Most height of a table, px, or its share of a tall page: what is left goes to the plots."""

SIDE, SIDE_SHARE = 280, 0.14
"""Width of what is asked, px, or its share of a wide page."""


class TimingPage(QWidget):
    """Everything a person needs to settle on a wait and a hold.

    ``to_rehearse``: the plan was sent to the live page. ``to_measure`` carries the kind of
    measurement that is worth making.
    """

    to_rehearse = Signal()
    to_measure = Signal(str)

    def __init__(self, planner: Planner, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self._planner, self._preferences = planner, preferences
        self.answer = AnswerPanel(planner, preferences)
        self.steady = SteadyPanel(planner)
        self.matters = MattersPanel(planner, preferences)
        self.map = WaitHoldMap(planner, preferences)
        self.drop = PlanDepth(planner, preferences)
        self.at_mark = AtMark(planner, preferences)
        self.lines = LinesTable(planner, preferences)
        self.holds = HoldTable(planner, preferences)
        self.fields = PlanFields(planner, document, preferences)
        self.unsure = UnsureFields(document, preferences)
        self.card = CardPanel(planner, document, preferences)
        outer = QHBoxLayout(self)
        outer.setContentsMargins(*PAGE)
        outer.setSpacing(GAP)
        main = QVBoxLayout()
        main.setSpacing(GAP)
        main.addWidget(self.answer)
        main.addWidget(self.steady)
        main.addWidget(self._middle(), 4)
        self.tables = self._tables()
        main.addWidget(self.tables, 3)
        outer.addLayout(main, 1)
        self.side = side(SIDE, self._point(), self.card, self.fields, self.matters, self.unsure)
        outer.addWidget(self.side)
        self.map.chosen.connect(
            lambda wait, hold, settled: planner.choose(wait, hold, settled=settled)
        )
        self.steady.to_rehearse.connect(self.to_rehearse)
        self.matters.to_measure.connect(self.to_measure)
        self.home = self.map
        planner.changed.connect(self._refresh)
        planner.point_moved.connect(self._refresh)
        planner.card_changed.connect(self._refresh)
        planner.progress_changed.connect(self._refresh)
        planner.steady_changed.connect(self._refresh)
        preferences.units_changed.connect(self._units)
        preferences.look_changed.connect(self._look)
        self._units()

    def _middle(self) -> QSplitter:
        self.map_panel = Panel("Strike window")
        self.key = MapKey(self._preferences)
        self.map_panel.head.setSpacing(HAIR)
        self.map_panel.head.addWidget(self.key)
        self.on_average = QPushButton("Average")
        self.on_average.setFont(font(SMALL))
        self.on_average.setProperty("small", True)
        self.on_average.setCheckable(True)
        self.on_average.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.on_average.setToolTip(
            "Seconds a drop with inputs as unsure as they are; a drop that touches counts as none"
        )
        self.on_average.toggled.connect(self._average)
        self.map_panel.head.addWidget(self.on_average)
        self.map_panel.body.addWidget(self.map, 1)
        self.map_panel.body.setContentsMargins(*PLOT_PANEL)
        self.depth_panel = Panel("Depth of each lure")
        self.depth_panel.body.addWidget(self.drop, 1)
        self.depth_panel.body.setContentsMargins(*PLOT_PANEL)
        self.mark_panel = Panel("At the mark")
        self.mark_panel.body.addWidget(self.at_mark, 1)
        split = YieldingSplitter()
        for panel, stretch in ((self.map_panel, 5), (self.depth_panel, 6), (self.mark_panel, 2)):
            split.addWidget(panel)
            split.setStretchFactor(split.count() - 1, stretch)
        self.depth_panel.setMinimumWidth(220)
        self.mark_panel.setMinimumWidth(168)
        self.splitter = split
        return split

    def _tables(self) -> PanelPair:
        self.lines_panel = Panel("Each line")
        self.lines_panel.body.addWidget(self.lines, 1)
        self.holds_panel = Panel("Seconds to hold", "by bottom, colors out")
        self.holds_panel.body.addWidget(self.holds, 1)
        return PanelPair((self.lines_panel, self.holds_panel), (21, 10))

    def _point(self) -> Panel:
        """The wait and hold looked at, and what to do with them."""
        panel = Panel("This wait and hold")
        planner, preferences = self._planner, self._preferences
        self.wait = NumberField(
            POINT_WAIT, lambda: planner.point[0],
            lambda wait: planner.look_at(wait, planner.point[1]),
            preferences, limits=lambda: self._tried(0),
        )  # fmt: skip
        self.hold = NumberField(
            POINT_HOLD, lambda: planner.point[1],
            lambda hold: planner.look_at(planner.point[0], hold),
            preferences, limits=lambda: self._tried(1),
        )  # fmt: skip
        grid = QGridLayout()
        grid.setVerticalSpacing(TIGHT)
        for row, (words, box) in enumerate((("Wait after the mark", self.wait),
                                            ("Hold out of gear", self.hold))):  # fmt: skip
            grid.addWidget(quiet(words), row, 0)
            box.setFixedWidth(104)
            grid.addWidget(box, row, 1, Qt.AlignmentFlag.AlignRight)
        grid.setColumnStretch(0, 1)
        panel.body.addLayout(grid)
        panel.body.addWidget(Refusal(self.wait, self.hold))
        self.rehearse = QPushButton("Rehearse this")
        self.rehearse.setObjectName("primary")
        self.rehearse.setFont(font(LOUD, bold=True))
        self.rehearse.setToolTip(
            "Start over on the Rehearse page, with this wait and hold by itself"
        )
        self.rehearse.clicked.connect(self._rehearse)
        self.follow = QPushButton("Back to the answer")
        self.follow.setToolTip("Look at the best wait and hold again")
        self.follow.clicked.connect(self._planner.follow)
        panel.body.addWidget(self.rehearse)
        panel.body.addWidget(self.follow)
        return panel

    def _tried(self, place: int) -> Limits:
        """The waits (0) or holds (1) a plan is made of, s."""
        plan = self._planner.plan
        request = self._planner.request if plan is None else plan.request
        first, *_, last = (request.waits, request.holds)[place]
        return Limits(first, last, "s")

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.side.set_width(max(SIDE, round(SIDE_SHARE * self.width())))
        self.tables.setMaximumHeight(max(TABLES, round(TABLES_SHARE * self.height())))
        super().resizeEvent(event)

    # ---- refresh

    def _units(self) -> None:
        unit = self._preferences.length
        self.mark_panel.note.setText(f"{unit.symbol} off")
        self._planner.set_unit(unit)
        self._refresh()

    def _refresh(self) -> None:
        planner = self._planner
        plan = planner.plan
        hold = planner.point[1]
        for box in (self.wait, self.hold):
            box.refresh()
            box.setEnabled(plan is not None)
        self.rehearse.setEnabled(planner.fresh and hold >= 0.5)
        self.follow.setEnabled(planner.chosen is not None)
        self.on_average.setEnabled(planner.steady.found is not None)
        self.key.show_most(self.map.most, average=self.map.average)
        live = planner.live
        words = self._preferences.length.name
        if live is not None:
            so_far = "" if live.done else ", so far"
            words += f"; rehearsed with wait {live.wait:.1f} s, hold {live.hold:.1f} s{so_far}"
        self.lines_panel.note.setText(words)
        self.holds.working.setVisible(planner.card is None and planner.busy)
        keep = self._preferences.length.text(planner.request.clearance)
        self.holds_panel.setToolTip(
            as_tip(f"Shortest hold that brings the line to {keep} off bottom")
        )

    def _average(self, on: bool) -> None:
        self.map.show_average(on)
        self._refresh()

    def _rehearse(self) -> None:
        self._planner.rehearse()
        self.to_rehearse.emit()

    def _look(self) -> None:
        for plot in (self.map, self.drop):
            plot.apply_look(self._preferences.look)
