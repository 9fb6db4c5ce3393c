"""The pages of the window, each made when first wanted, and the view-models they pull from.

Depends on: pages, rehearsal, planner, comparison, drill, shelf, tryout, measuring,
ground_model, track_model, pass_model, fish_model, sheet, preferences.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.comparison import Comparison
from app.drill import Drill
from app.fish_model import FishModel
from app.ground_model import FourWays
from app.measuring import Measuring
from app.pages.compare import ComparePage
from app.pages.drill import DrillPage
from app.pages.ground import GroundPage
from app.pages.measure import MeasurePage
from app.pages.rehearse import RehearsePage
from app.pages.tackle import TacklePage
from app.pages.timing import TimingPage
from app.pass_model import PassModel
from app.planner import Planner
from app.preferences import Preferences
from app.rehearsal import Rehearsal
from app.sheet import lines_of
from app.shelf import Shelf
from app.track_model import TrackModel
from app.tryout import Tryout

PAGES = (
    ("rehearse", "Rehearse", "F2"),
    ("timing", "Timing", "F3"),
    ("compare", "Compare", "F4"),
    ("tackle", "Tackle", "F5"),
    ("measure", "Measure", "F6"),
    ("drill", "Drill", "F7"),
    ("ground", "Ground", "F8"),
)
"""Name, title and key of every page."""

LIVE = ("rehearse", "ground")
"""Pages on which the drop goes on and the keys of the helm work."""


class PageStack(QStackedWidget):
    """``tell`` says a line at the window's foot, ``warn`` (title, text) what has to be read.

    ``wanted``: a page asks for another, by name, to come forward.
    """

    wanted = Signal(str)

    def __init__(
        self,
        rehearsal: Rehearsal,
        preferences: Preferences,
        tell: Callable[[str], None],
        warn: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._rehearsal, self._preferences = rehearsal, preferences
        self._tell, self._warn = tell, warn
        self.planner = Planner(rehearsal, preferences.length, self)
        self.shelf = Shelf(rehearsal, parent=self)
        self.tryout = Tryout(rehearsal, self)
        self.measuring = Measuring(rehearsal, self.shelf, self)
        self.ways = FourWays(rehearsal, self)
        self.track = TrackModel(rehearsal, self)
        self.passing = PassModel(rehearsal, self)
        self.fish = FishModel(rehearsal, self)
        self.comparison: Comparison | None = None
        self.shelf.trouble.connect(tell)
        self.measuring.trouble.connect(tell)
        self.rehearse = RehearsePage(rehearsal, preferences)
        self.addWidget(self.rehearse)
        self._timing: TimingPage | None = None
        self._compare: ComparePage | None = None
        self._tackle: TacklePage | None = None
        self._measure: MeasurePage | None = None
        self._ground: GroundPage | None = None
        self._drill: DrillPage | None = None
        self._drilling: Drill | None = None

    @property
    def timing(self) -> TimingPage:
        """The Timing page."""
        if self._timing is None:
            self._timing = TimingPage(self.planner, self._rehearsal, self._preferences)
            self._timing.to_rehearse.connect(lambda: self.wanted.emit("rehearse"))
            self.addWidget(self._timing)
        return self._timing

    @property
    def compare(self) -> ComparePage:
        """The Compare page."""
        if self._compare is None:
            self.comparison = Comparison(self._rehearsal, self)
            self._compare = ComparePage(self.comparison, self._preferences, self._tell, self._warn)
            self.addWidget(self._compare)
            if self.comparison.damaged:
                self._warn("The candidates could not be read", self.comparison.damaged)
        return self._compare

    @property
    def tackle(self) -> TacklePage:
        """The Tackle page."""
        if self._tackle is None:
            self._tackle = TacklePage(
                self.shelf, self.tryout, self._preferences, self._tell, self._warn
            )
            self.addWidget(self._tackle)
        return self._tackle

    @property
    def measure(self) -> MeasurePage:
        """The Measure page."""
        if self._measure is None:
            self._measure = MeasurePage(
                self.measuring, self._rehearsal, self._preferences, self._tell, self._warn
            )
            self.addWidget(self._measure)
        return self._measure

    @property
    def ground(self) -> GroundPage:
        """The Ground page."""
        if self._ground is None:
            self._ground = GroundPage(
                self._rehearsal, self.ways, self.track, self.passing, self.fish, self._preferences
            )
            self._ground.track.coasted.connect(self._measure_coasts)
            self.addWidget(self._ground)
        return self._ground

    @property
    def drill(self) -> DrillPage:
        """The Drill page."""
        if self._drill is None:
            self._drilling = Drill(self._rehearsal, self)
            self._drill = DrillPage(self._drilling, self._preferences, self._tell, self._warn)
            self.addWidget(self._drill)
        return self._drill

    def _measure_coasts(self) -> None:
        """Take a track's coast-downs among the measurements, and show them."""
        offer = self.track.offer
        if offer is not None:
            rows = tuple(row for coast in offer.coasts for row in coast.rows)
            self.measuring.add(lines_of(rows), f"coast-downs of {offer.log.name}")
            self.wanted.emit("measure")
            self.measure.choose_kind("coast")

    def bring(self, name: str) -> bool:
        """Bring a page forward; False if it is there already.

        The drop stands still while a page that is not of LIVE is in front, and
        no page's view-model works while it is out of sight.
        """
        page: QWidget = getattr(self, name)
        if self.currentWidget() is page:
            return False
        self.setCurrentWidget(page)
        if name in LIVE:
            self._rehearsal.start()
        else:
            self._rehearsal.stand_by()
        if name == "drill":
            self.drill.take_focus()
        else:
            self._first(name).setFocus()
        self.planner.set_active(name == "timing")
        self.tryout.set_active(name == "tackle")
        self.ways.set_active(name == "ground")
        if self.comparison is not None:
            self.comparison.set_active(name == "compare")
        if self._drilling is not None:
            self._drilling.set_active(name == "drill")
        return True

    def _first(self, name: str) -> QWidget:
        """What the keys go to when a page comes forward."""
        firsts: dict[str, Callable[[], QWidget]] = {
            "rehearse": lambda: self.rehearse.side_view,
            "timing": lambda: self.timing.map,
            "compare": lambda: self.compare.table,
            "tackle": lambda: self.tackle.list.tree,
            "measure": lambda: self.measure.table,
            "ground": lambda: self.ground.top,
        }
        return firsts[name]()

    def close_all(self) -> None:
        """Give up all work and end the worker processes."""
        self.planner.close()
        self.tryout.close()
        self.measuring.close()
        self.ways.close()
        self.track.close()
        self.passing.close()
        self.fish.close()
        if self.comparison is not None:
            self.comparison.close()
        if self._drilling is not None:
            self._drilling.close()
        self._rehearsal.close()
