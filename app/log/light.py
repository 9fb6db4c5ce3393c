"""Whether she heads into the light: as a person said, or as the sun stood."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.log.entry import Entry
from physics.environment.sun import FLAT, INTO, OUT_OF, light, sun

LIGHT = {INTO: "into", OUT_OF: "out", FLAT: "flat"}


def sun_of(entry: Entry) -> tuple[float, float] | None:
    """The sun's bearing and height, rad, seen from the place of an entry at its time."""
    if entry.place is None:
        return None
    seen = sun(entry.at.timestamp(), *entry.place)
    return float(seen.bearing), float(seen.height)


def light_of(entry: Entry) -> str:
    """Of LIGHTS, or empty where nobody can tell: what a person said comes first."""
    return lights_of([entry])[0]


def lights_of(entries: Sequence[Entry]) -> list[str]:
    """``light_of`` of many at once."""
    out = [entry.light for entry in entries]
    asked = [
        (number, entry.at.timestamp(), *entry.place, entry.heading)
        for number, entry in enumerate(entries)
        if not entry.light and entry.place is not None and entry.heading is not None
    ]
    if asked:
        number, at, latitude, longitude, heading = np.array(asked).T
        found = np.atleast_1d(light(heading, sun(at, latitude, longitude)))
        for which, word in zip(number.astype(int), found, strict=True):
            out[which] = LIGHT[str(word)]
    return out
