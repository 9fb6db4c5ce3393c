"""View-model of the user's own recorded track: read in the background, and what it offers.

Depends on: background, rehearsal, track_offer.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.background import Background
from app.rehearsal import Rehearsal
from app.track_offer import Offer, offer_of


class TrackModel(QObject):
    """``changed``: a track is being read, is there, or could not be read."""

    changed = Signal()
    progress_changed = Signal()

    def __init__(self, rehearsal: Rehearsal, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._rehearsal = rehearsal
        self.background = Background(self)
        self.path: Path | None = None
        self.offer: Offer | None = None
        self.trouble = ""
        self.background.progress.connect(self.progress_changed)

    @property
    def busy(self) -> bool:
        """Whether a file is being read."""
        return self.background.busy("track")

    @property
    def progress(self) -> float:
        """Share of the file that is read."""
        return self.background.share("track")

    def read(self, path: Path) -> None:
        """Read a file; what there was goes."""
        self.path, self.offer, self.trouble = path, None, ""
        current = self._rehearsal.setup.water.current
        self.background.ask("track", self._got, offer_of, path, current, told=True)
        self.changed.emit()

    def stop(self) -> None:
        """Give up reading."""
        self.background.cancel("track")
        self.trouble = "Reading was given up."
        self.changed.emit()

    def use_bottom(self) -> bool:
        """Make the track's bottom the scenario's, the boat heading along it; undoable."""
        offer, setup = self.offer, self._rehearsal.setup
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
        return self._rehearsal.edit(changed, f"bottom of {offer.log.name}")

    def close(self) -> None:
        """End the worker process."""
        self.background.close()

    def _got(self, result: Any) -> None:
        if isinstance(result, Offer):
            self.offer, self.trouble = result, ""
        else:
            self.trouble = str(result)
        self.changed.emit()
