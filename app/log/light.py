"""Whether she heads into the light: as a person said, or as the sun stood."""

from __future__ import annotations

from app.log.entry import Entry


def light_of(entry: Entry) -> str:
    """Of LIGHTS, or empty where nobody can tell: what a person said comes first."""
    return entry.light
