"""The pages of the window and the view-models they pull from, each made when first wanted.

What a page needs is imported when the page is first shown: most starts show one of nine,
and importing all of them takes a third of the time to the first picture.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.rehearse.page import RehearsePage
from app.session.live_run import LiveRun
from app.session.pool import Rank
from app.session.worker import call
from app.tackle.model import Shelf
from app.ui.keys import home_of
from app.ui.look import text_scale
from app.ui.preferences import Preferences
from app.ui.scroll import Whole
from app.ui.text_size import enlarge

if TYPE_CHECKING:
    from app.compare.model import Comparison
    from app.compare.page import ComparePage
    from app.drill.model import Drill
    from app.drill.page import DrillPage
    from app.ground.fish.model import FishModel
    from app.ground.page import GroundPage
    from app.ground.pass_model import PassModel
    from app.ground.tracks.model import TrackModel
    from app.ground.ways_model import FourWays
    from app.log.in_out import InOut
    from app.log.model import Log
    from app.log.page import LogPage
    from app.log.recording import Recorder
    from app.log.works_model import Works
    from app.measure.model import Measuring
    from app.measure.page import MeasurePage
    from app.put_out.model import Proposals
    from app.put_out.page import PutOutPage
    from app.tackle.page import TacklePage
    from app.tackle.tryout import Tryout
    from app.timing.model import Planner
    from app.timing.page import TimingPage

PAGES = (
    ("rehearse", "Rehearse", "F2"),
    ("timing", "Timing", "F3"),
    ("compare", "Compare", "F4"),
    ("tackle", "Tackle", "F5"),
    ("measure", "Measure", "F6"),
    ("drill", "Drill", "F7"),
    ("ground", "Ground", "F8"),
    ("put_out", "Put out", "F9"),
    ("log", "Log", "F10"),
)
"""Name, title and key of every page."""

LIVE = ("rehearse", "ground")
"""Pages on which the drop goes on and the keys of the helm work."""

ACTIVE = {
    "planner": "timing",
    "comparison": "compare",
    "tryout": "tackle",
    "drilling": "drill",
    "ways": "ground",
    "proposals": "put_out",
    "entries": "log",
}
"""View-models that work only while their page is in front."""

WORKING = (*ACTIVE, "measuring", "track", "passing", "fish")
"""View-models with worker processes."""


class PageStack(QStackedWidget):
    """``tell`` says a line at the window's foot, ``warn`` (title, text) what has to be read.

    ``wanted``: a page asks for another, by name, to come forward.
    """

    wanted = Signal(str)

    def __init__(
        self,
        live_run: LiveRun,
        preferences: Preferences,
        tell: Callable[[str], None],
        warn: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._live_run, self._document = live_run, live_run.document
        self._preferences = preferences
        self._tell, self._warn = tell, warn
        self._held: dict[QWidget, Whole] = {}
        self.shelf = Shelf(self._document, parent=self)
        self.shelf.trouble.connect(tell)
        self.rehearse = RehearsePage(live_run, preferences)
        self._put(self.rehearse)

    def _put(self, page: QWidget) -> None:
        """Take a page in: where it finds no room it scrolls, and asks nothing of the window."""
        enlarge(page, text_scale())
        self._held[page] = Whole(page)
        self.addWidget(self._held[page])

    def currentWidget(self) -> QWidget:
        """The page in front."""
        held = super().currentWidget()
        assert isinstance(held, Whole)
        return held.inside

    def made(self, name: str) -> Any:
        """A page or view-model if it has been wanted already, or None."""
        return vars(self).get(name)

    def warm(self) -> None:
        """Have a worker load what plans need, so that the first does not wait for it."""
        ready = "app.planning.certainty:ready"
        self._live_run.background.ask("warm", lambda _: None, call, ready, rank=Rank.CARD)

    # ---- view-models

    @cached_property
    def planner(self) -> Planner:
        """The plan of the Timing page."""
        from app.timing.model import Planner

        return Planner(self._live_run, self._preferences.length, self)

    @cached_property
    def comparison(self) -> Comparison:
        """The candidates of the Compare page."""
        from app.compare.model import Comparison

        return Comparison(self._document, self)

    @cached_property
    def tryout(self) -> Tryout:
        """The trial on the Tackle page."""
        from app.tackle.tryout import Tryout

        return Tryout(self._document, self)

    @cached_property
    def measuring(self) -> Measuring:
        """The measurements and what is fitted to them."""
        from app.measure.model import Measuring

        measuring = Measuring(self._document, self.shelf, self)
        measuring.trouble.connect(self._tell)
        return measuring

    @cached_property
    def drilling(self) -> Drill:
        """The drill."""
        from app.drill.model import Drill

        return Drill(self._document, self)

    @cached_property
    def ways(self) -> FourWays:
        """The same drop four ways."""
        from app.ground.ways_model import FourWays

        return FourWays(self._document, self._live_run.auto_hold.seconds, self)

    @cached_property
    def track(self) -> TrackModel:
        """The person's own recorded track."""
        from app.ground.tracks.model import TrackModel

        return TrackModel(self._document, self)

    @cached_property
    def passing(self) -> PassModel:
        """The pass over the ground."""
        from app.ground.pass_model import PassModel

        return PassModel(self._document, self)

    @cached_property
    def fish(self) -> FishModel:
        """Where the other lines go while a fish is on one."""
        from app.ground.fish.model import FishModel

        return FishModel(self._document, self)

    @cached_property
    def proposals(self) -> Proposals:
        """What to put out for the mark."""
        from app.put_out.model import Proposals

        proposals = Proposals(self._document, self)
        proposals.using.connect(self._look_at)
        proposals.taken_back.connect(self._look_back)
        return proposals

    @cached_property
    def entries(self) -> Log:
        """The log of what was done and what came of it."""
        from app.log.model import Log

        log = Log(self._document, self)
        log.trouble.connect(self._tell)
        if log.store.told and log.store.offer is None:
            self._warn("About the log", log.store.told)
        return log

    @cached_property
    def works(self) -> Works:
        """What is learned of the log."""
        from app.log.works_model import Works

        works = Works(self.entries, self._document, self.entries.background)
        works.trouble.connect(self._tell)
        return works

    @cached_property
    def in_out(self) -> InOut:
        """Files that the log takes in and gives out."""
        from app.log.in_out import InOut

        return InOut(self.entries)

    @cached_property
    def recorder(self) -> Recorder:
        """Keeps in the log what is done on the pages on which the drop goes on."""
        from app.log.recording import Recorder

        recorder = Recorder(self.entries, self._live_run, self)
        recorder.said.connect(self._tell)
        return recorder

    # ---- pages

    @cached_property
    def timing(self) -> TimingPage:
        """The Timing page."""
        from app.timing.page import TimingPage

        page = TimingPage(self.planner, self._document, self._preferences)
        page.to_rehearse.connect(lambda: self.wanted.emit("rehearse"))
        page.to_measure.connect(self._measure_this)
        self._put(page)
        return page

    @cached_property
    def compare(self) -> ComparePage:
        """The Compare page."""
        from app.compare.page import ComparePage

        page = ComparePage(self.comparison, self._preferences, self._tell, self._warn)
        self._put(page)
        if self.comparison.damaged:
            self._warn("The candidates could not be read", self.comparison.damaged)
        return page

    @cached_property
    def tackle(self) -> TacklePage:
        """The Tackle page."""
        from app.tackle.page import TacklePage

        page = TacklePage(self.shelf, self.tryout, self._preferences, self._tell, self._warn)
        self._put(page)
        return page

    @cached_property
    def measure(self) -> MeasurePage:
        """The Measure page."""
        from app.measure.page import MeasurePage

        page = MeasurePage(
            self.measuring, self._document, self._preferences, self._tell, self._warn
        )
        self._put(page)
        return page

    @cached_property
    def ground(self) -> GroundPage:
        """The Ground page."""
        from app.ground.page import GroundPage

        page = GroundPage(
            self._live_run, self.ways, self.track, self.passing, self.fish, self._preferences
        )
        page.track.coasted.connect(self._measure_coasts)
        self._put(page)
        return page

    @cached_property
    def drill(self) -> DrillPage:
        """The Drill page."""
        from app.drill.page import DrillPage

        page = DrillPage(self.drilling, self._preferences, self._tell, self._warn)
        self._put(page)
        return page

    @cached_property
    def put_out(self) -> PutOutPage:
        """The Put out page."""
        from app.put_out.page import PutOutPage

        page = PutOutPage(self.proposals, self._preferences)
        self._put(page)
        return page

    def _look_at(self, wait: float, hold: float) -> None:
        """The wait and hold of what is put out now, on the Timing page."""
        self.planner.chosen = wait, hold

    def _look_back(self) -> None:
        """The answer there, for what was out before."""
        self.planner.chosen = None

    @cached_property
    def log(self) -> LogPage:
        """The Log page."""
        from app.log.page import LogPage

        page = LogPage(
            self.entries, self.works, self.in_out, self._preferences, self._tell, self._warn
        )
        self._put(page)
        return page

    def _measure_this(self, kind: str) -> None:
        """The Measure page, made ready for a kind of measurement."""
        self.wanted.emit("measure")
        self.measure.choose_kind(kind)

    def _measure_coasts(self) -> None:
        """Take a track's coast-downs among the measurements, and show them."""
        from app.measure.file import lines_of

        offer = self.track.offer
        if offer is not None:
            rows = tuple(row for coast in offer.coasts for row in coast.rows)
            self.measuring.add(lines_of(rows), f"coast-downs of {offer.log.name}")
            self._measure_this("coast")

    def bring(self, name: str) -> bool:
        """Bring a page forward; False if it is there already.

        The drop stands still while a page that is not of LIVE is in front, and
        no page's view-model works while it is out of sight. The keys go to the
        page's focus proxy.
        """
        page: QWidget = getattr(self, name)
        if self.currentWidget() is page:
            return False
        self.setCurrentWidget(self._held[page])
        if name in LIVE:
            self._live_run.start()
        else:
            self._live_run.stand_by()
        home_of(page).setFocus()
        for model, its_page in ACTIVE.items():
            if (made := self.made(model)) is not None:
                made.set_active(name == its_page)
        return True

    def reopen(self, name: str) -> None:
        """Make a page anew, over the view-models it had: what was entered is in those."""
        old: QWidget | None = vars(self).pop(name, None)
        if old is None:
            return
        try:
            if name == "rehearse":
                self.rehearse = RehearsePage(self._live_run, self._preferences)
                self._put(self.rehearse)
            page: QWidget = getattr(self, name)
        except Exception:
            vars(self)[name] = old
            raise
        held = self._held.pop(old)
        if super().currentWidget() is held:
            self.setCurrentWidget(self._held[page])
            home_of(page).setFocus()
        self.removeWidget(held)
        held.deleteLater()

    def unkept(self) -> list[str]:
        """Why something typed or done is not written, after another try, and what is still being
        taken in or given out; nothing if all is."""
        made = [model for name in WORKING if (model := self.made(name)) is not None]
        keepers = [model.keeper for model in made if hasattr(model, "keeper")]
        log = self.made("log")
        refused = [] if log is None or log.form.may_leave() else [log.form.wrong.text()]
        why = [keeper.why for keeper in keepers if keeper.why and not keeper.keep()]
        in_out = self.made("in_out")
        why += [f"{in_out.what} is not done yet"] if in_out is not None and in_out.busy else []
        return [*why, *(text.removesuffix(".") for text in refused)]

    def close_all(self) -> None:
        """Give up all work and end the worker processes."""
        for model in WORKING:
            if (made := self.made(model)) is not None:
                made.close()
        self._live_run.close()
