"""View-model of the user's own recorded track: read in the background, and what it offers."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.ground.tracks.offer import Offer, fullest, offers_of, with_soundings
from app.ground.tracks.replay import Replay, replay_of, usual_stretch
from app.scenario.soundings import Soundings
from app.session.background import Background
from app.session.document import Document


class TrackModel(QObject):
    """``changed``: a track is being read, is there, or could not be read."""

    changed = Signal()
    progress_changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.background = Background(self)
        self.path: Path | None = None
        self.offers: tuple[Offer, ...] = ()
        self._as_read: tuple[Offer, ...] = ()
        self._soundings = document.setup.soundings
        document.setup_changed.connect(self._take_soundings)
        self._trip = 0
        self.trouble = ""
        self.background.progress.connect(self.progress_changed)
        self.replayed: Replay | None = None
        self.no_replay = ""

    @property
    def busy(self) -> bool:
        """Whether a file is being read."""
        return self.background.busy("track")

    @property
    def offer(self) -> Offer | None:
        """What the chosen trip offers; None while there is no track."""
        return self.offers[self._trip] if self.offers else None

    @property
    def trip(self) -> int:
        """Which of ``offers`` is chosen."""
        return self._trip

    def choose(self, trip: int) -> None:
        """Take another trip of the same track."""
        if trip != self._trip and 0 <= trip < len(self.offers):
            self.background.cancel("replay")
            self.replayed, self.no_replay = None, ""
            self._trip = trip
            self.changed.emit()

    @property
    def soundings(self) -> Soundings:
        """Transducer and tide that the offers are made with."""
        return self._soundings

    @property
    def progress(self) -> float:
        """Share of the file that is read."""
        return self.background.share("track")

    def read(self, path: Path) -> None:
        """Read a file; what there was goes."""
        self.background.cancel("replay")
        self.replayed, self.no_replay = None, ""
        self.path, self.offers, self._as_read, self.trouble = path, (), (), ""
        current = self._document.setup.water.current
        self.background.ask("track", self._got, offers_of, path, current, reports=True)
        self.changed.emit()

    def stop(self) -> None:
        """Give up reading."""
        self.background.cancel("track")
        self.trouble = "Reading was given up."
        self.changed.emit()

    def use_bottom(self) -> bool:
        """Make the track's bottom the scenario's, the boat heading along it; undoable."""
        offer, setup = self.offer, self._document.setup
        if offer is None or offer.ground is None:
            return False
        bottom = offer.ground.bottom
        mark = setup.mark
        if mark is not None and mark.depth > bottom.deepest:
            mark = replace(mark, depth=bottom.deepest)
        changed = replace(
            setup,
            water=replace(setup.water, bottom=bottom),
            heading=bottom.bearing,
            mark=mark,
        )
        return self._document.edit(changed, f"bottom of {offer.log.name}")

    # ---- running it again

    @property
    def stretch(self) -> tuple[float, float] | None:
        """The stretch to replay unless another is chosen, s of the track; None without one."""
        return None if self.offer is None else usual_stretch(self.offer.log)

    @property
    def replaying(self) -> bool:
        """Whether a replay is being worked out."""
        return self.background.busy("replay")

    def replay(self, since: float, until: float) -> None:
        """Make the scenario run a stretch of the track again, s of the track; undoable."""
        if self.offer is None:
            return
        setup = self._document.setup
        self.replayed, self.no_replay = None, ""
        boat = self._document.scenario().boat
        self.background.ask(
            "replay", self._got_replay, replay_of, self.offer.log, since, until, setup.water, boat
        )
        self.changed.emit()

    def _got_replay(self, result: Any) -> None:
        if isinstance(result, Replay):
            self._use(result)
        else:
            self.no_replay = str(result)
        self.changed.emit()

    def _use(self, replay: Replay) -> None:
        setup = self._document.setup
        mark = setup.mark
        if mark is not None and mark.depth > replay.bottom.deepest:
            mark = replace(mark, depth=replay.bottom.deepest)
        changed = replace(
            setup,
            water=replace(setup.water, bottom=replay.bottom),
            heading=replay.heading,
            speed=replay.speed,
            orders=replay.orders,
            motion=None,
            mark=mark,
        )
        name = "" if self.offer is None else self.offer.log.name
        if self._document.edit(changed, f"replay of {name}"):
            self.replayed = replay
        else:
            self.no_replay = "This spread or mark cannot be used over that bottom."

    def close(self) -> None:
        """End the worker process."""
        self.background.close()

    def _got(self, result: Any) -> None:
        if isinstance(result, tuple):
            self._as_read, self._trip, self.trouble = result, fullest(result), ""
            self._lay_tide()
        else:
            self.trouble = str(result)
        self.changed.emit()

    def _take_soundings(self) -> None:
        if self._document.setup.soundings != self._soundings:
            self._soundings = self._document.setup.soundings
            self._lay_tide()
            self.changed.emit()

    def _lay_tide(self) -> None:
        """Make the offers of those read, with transducer and tide of the scenario."""
        offers = self._as_read
        if self._soundings != Soundings():
            offers = tuple(with_soundings(offer, self._soundings) for offer in offers)
        self.offers = offers
