"""A round under way: side view, sounder, depth strip, line cards and the trainee's helm."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.drill.helm import DrillHelm
from app.drill.model import Drill
from app.drill.sounder import DrillSounder
from app.live.card_row import CardRow
from app.live.depth_strip import DepthStrip
from app.live.side_view import SideView
from app.session.live_run import LiveRun
from app.ui.panel import Panel
from app.ui.preferences import Preferences
from app.ui.scroll import Column
from app.ui.steps import GAP, PLOT_PANEL


class DrillPlay(QWidget):
    """Everything of a round under way."""

    def __init__(self, drill: Drill, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__()
        self._drill, self._live_run, self._preferences = drill, live_run, preferences
        self.side_view = SideView(live_run, preferences)
        self.home = self.side_view
        self.sounder = DrillSounder(live_run, preferences)
        self.strip = DepthStrip(live_run, preferences)
        self.helm = DrillHelm(drill, live_run, preferences)
        self.card_row = CardRow(live_run, preferences)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP)
        left = QVBoxLayout()
        left.setSpacing(GAP)
        self.side_panel, self.sounder_panel, self.strip_panel = (
            self._panel(name, view)
            for name, view in (
                ("Side view", self.side_view),
                ("Under the sounder", self.sounder),
                ("Depth of each lure", self.strip),
            )
        )
        left.addWidget(self.side_panel, 3)
        plots = QHBoxLayout()
        plots.setSpacing(GAP)
        plots.addWidget(self.sounder_panel, 1)
        plots.addWidget(self.strip_panel, 1)
        left.addLayout(plots, 2)
        left.addWidget(self.card_row)
        row.addLayout(left, 1)
        row.addWidget(self._column())
        self.side_view.scale_changed.connect(self._titles)
        preferences.units_changed.connect(self._titles)
        self._titles()

    def _panel(self, name: str, view: QWidget) -> Panel:
        panel = Panel(name)
        panel.body.addWidget(view, 1)
        panel.body.setContentsMargins(*PLOT_PANEL)
        return panel

    def _column(self) -> Column:
        return Column(self.helm, 330)

    def apply_look(self) -> None:
        """Take the look in use."""
        for plot in (self.side_view, self.sounder, self.strip):
            plot.apply_look(self._preferences.look)

    def _titles(self) -> None:
        unit = self._preferences.length.name
        times = self.side_view.exaggeration
        drawn = "true to scale" if times == 1.0 else f"depth drawn {times:g} times"
        self.side_panel.note.setText(f"{unit} astern of the sounder, depth in {unit}; {drawn}")
        self.sounder_panel.note.setText(f"{unit} astern of it, depth in {unit}")
        self.strip_panel.note.setText(f"{unit}, against seconds")
