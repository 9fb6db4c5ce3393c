"""What a setup on screen says of an entry that is made with it."""

from __future__ import annotations

import math
from typing import Any

from app.log.entry import LineEntry
from app.scenario import file as scenario_file
from app.scenario.setup import Setup

AHEAD = 0.25 * math.pi
"""A current within this of her heading, rad, is with her, or against her; others run across."""


def from_setup(setup: Setup) -> dict[str, Any]:
    """What a setup says of an entry that is made with it."""
    heading = setup.heading % (2.0 * math.pi)
    lines = tuple(
        LineEntry(rod.name, rod.lure if isinstance(rod.lure, str) else rod.lure.name, rod.line_out)
        for rod in setup.rods
    )
    return {
        "setup": scenario_file.plain_text(setup), "hold": setup.hold, "speed": setup.speed,
        "lines": lines, **weather_of(setup, heading),
    }  # fmt: skip


def weather_of(setup: Setup, heading: float) -> dict[str, Any]:
    """Heading, rad, the wind of a setup, and how she heads against its tide."""
    out: dict[str, Any] = {"heading": heading}
    east, north = setup.water.wind
    if east or north:
        out["wind_speed"] = math.hypot(east, north)
        # where it comes from, not where it goes
        out["wind_from"] = math.atan2(-east, -north) % (2.0 * math.pi)
    east, north = setup.water.current
    if east or north:
        off = abs((math.atan2(east, north) - heading + math.pi) % (2.0 * math.pi) - math.pi)
        out["tide"] = "with" if off < AHEAD else "into" if off > math.pi - AHEAD else "across"
    return out
