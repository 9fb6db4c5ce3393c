"""What the trips of a recorded track have to offer: their bottoms, and where the boat coasted down.

No Qt: it is worked out in a worker process.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from app.common.bad_input import BadInput
from app.ground.tracks.coast import slowings
from app.ground.tracks.log import GroundLog
from app.ground.tracks.profile import Ground, ground_under
from app.ground.tracks.read import read_ground
from app.ground.tracks.reduced import reduced
from app.scenario.soundings import Soundings
from physics.calibration.slowings import Coast
from physics.progress import ProgressCallback

READING = 0.9
"""Share of the work that reading the file is."""


@dataclass(frozen=True, slots=True)
class Offer:
    """What a trip has to offer: its bottom, or why it has ``none``, and the coast-downs.

    ``too_fast`` is how many more there would be, had they not begun too fast to measure by.
    """

    log: GroundLog
    ground: Ground | None
    none: str
    coasts: tuple[Coast, ...]
    too_fast: int = 0


def offers_of(
    path: Path, current: tuple[float, float], progress: ProgressCallback | None = None
) -> tuple[Offer, ...]:
    """Read a track and work out what each trip in it offers, in order of time.

    ``current`` m/s is taken off its speeds. Raises BadInput, Cancelled.
    """

    def first(share: float) -> bool:
        return progress is not None and progress(READING * share)

    return tuple(_offer(trip, current) for trip in read_ground(path, first).trips())


def with_soundings(offer: Offer, soundings: Soundings) -> Offer:
    """The offer of a file with its depths made ready: transducer and tide."""
    try:
        log = reduced(offer.log, soundings)
    except BadInput as error:
        return replace(offer, ground=None, none=str(error))
    ground, none = _ground(log)
    return replace(offer, log=log, ground=ground, none=none)


def _ground(log: GroundLog) -> tuple[Ground | None, str]:
    """Its bottom, or why there is none."""
    try:
        return ground_under(log), ""
    except BadInput as error:
        return None, str(error)


def _offer(log: GroundLog, current: tuple[float, float]) -> Offer:
    ground, none = _ground(log)
    found = slowings(log, current)
    usable = tuple(coast for coast in found if not coast.too_fast)
    return Offer(log, ground, none, usable, len(found) - len(usable))


def fullest(offers: Sequence[Offer]) -> int:
    """Which trip has most depths, or most places where none has depths."""
    sounded = [(int(np.isfinite(o.log.depth).sum()), len(o.log)) for o in offers]
    return sounded.index(max(sounded))
