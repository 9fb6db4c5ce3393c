"""Whether she heads into the light: as a person said, or as the sun stood."""

from __future__ import annotations

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
    if entry.light or entry.place is None or entry.heading is None:
        return entry.light
    return LIGHT[str(light(entry.heading, sun(entry.at.timestamp(), *entry.place)))]
