"""Figures of one line in a mate's words, for cards, hover and screen readers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.common.units import COLOR
from app.session.look_ahead import LineAhead, LookAhead
from app.session.picture import Picture
from app.ui.preferences import Preferences
from physics.simulation.drop_facts import TOUCHING, heights

STEADY = 0.015
"""A lure rising or falling slower than this is holding its depth, m/s (0.05 ft/s)."""

AT_ONCE = 1.0
"""A lure that lifts within this, s, lifts at once: no boat is back in gear sooner."""

NEAR = 0.6
"""Closer to bottom than this is worth a word, m (2 ft)."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One line's figures as text. ``status`` is calm, near, or touch; a line that would part
    is told as one that touches.

    ``handled``: its line is coming in or going out, or a fish is on.
    """

    name: str
    depth: str
    depth_unit: str
    off_bottom: str
    rate: str
    rate_word: str
    astern: str
    mark: str
    out: str
    handled: bool
    pull: str
    status: str
    status_text: str
    ahead: str


def read_line(
    picture: Picture,
    number: int,
    pull: float,
    ahead: LookAhead | None,
    preferences: Preferences,
) -> Reading:
    """The figures of one rod's line now; ``pull`` in N."""
    unit = preferences.length
    place = picture.lure[number]
    depth = -float(place[2])
    off = depth_off_bottom(picture, number)
    rise = float(picture.lure_velocity[number][2])
    along = float(picture.along(place[:1], place[1:2])[0])
    status, text = _status(picture, number, ahead, preferences)
    return Reading(
        name=picture.rods[number].name,
        depth=f"{unit.from_si(depth):z.1f}",
        depth_unit=unit.symbol,
        off_bottom=f"{unit.from_si(off):z.1f}",
        rate=f"{abs(preferences.rate.from_si(rise)):.1f}",
        rate_word=f"{preferences.rate.symbol} {moving(rise)}",
        astern=f"{unit.from_si(-along):z.0f} {unit.symbol} astern",
        mark=against_mark(picture, number, preferences),
        out=line_words(picture, number),
        handled=bool(picture.going[number]) or bool(picture.fish[number]),
        pull=f"{preferences.pull.from_si(pull):.1f} {preferences.pull.symbol} pull",
        status=status,
        status_text=text,
        ahead=_over_text(picture, number) or ahead_words(ahead, number, picture.time, preferences),
    )


def lures_now(picture: Picture, preferences: Preferences) -> str:
    """Every lure's depth, height and what it does, a sentence each."""
    unit = preferences.length
    out = []
    for number, rod in enumerate(picture.rods):
        deep = unit.text(-float(picture.lure[number][2]))
        off = unit.text(depth_off_bottom(picture, number))
        rise = float(picture.lure_velocity[number][2])
        out.append(f"{rod.name}: {deep} down, {off} off bottom, {moving(rise)}.")
    return " ".join(out)


def moving(rise: float) -> str:
    """What a lure does that rises so fast, m/s."""
    return "holding" if abs(rise) < STEADY else ("lifting" if rise > 0 else "falling")


def out_words(picture: Picture, number: int) -> str:
    """How much line is out, and which way it goes."""
    going = float(picture.going[number])
    words = COLOR.text(float(picture.out[number]))
    return words + (", coming in" if going < 0.0 else ", going out" if going > 0.0 else " out")


def line_words(picture: Picture, number: int) -> str:
    """How much line is out, which way it goes, and whether a fish is on."""
    words = out_words(picture, number)
    return f"fish on, {words}" if picture.fish[number] else words


def depth_off_bottom(picture: Picture, number: int) -> float:
    """Height of the middle of one rod's lure over the bottom, m."""
    return float(picture.ground[number] + picture.lure[number][2])


def against_mark(picture: Picture, number: int, preferences: Preferences) -> str:
    """How far the lure still has to go to the mark, or has gone past it."""
    if picture.mark is None:
        return "no mark yet"
    unit = preferences.length
    place = picture.lure[number]
    here = float(picture.along(place[:1], place[1:2])[0])
    there = float(picture.along(np.array([picture.mark.x]), np.array([picture.mark.y]))[0])
    gap = there - here
    if abs(gap) < 1.0:
        return "at the mark"
    if gap > 0:
        return f"mark {unit.from_si(gap):.0f} {unit.symbol} ahead"
    return f"{unit.from_si(-gap):.0f} {unit.symbol} past the mark"


def _status(
    picture: Picture, number: int, ahead: LookAhead | None, preferences: Preferences
) -> tuple[str, str]:
    if picture.over[number]:
        return "touch", "line would part"
    of_lure, of_line = heights(picture.nodes[number][None], picture.bottom)
    low = float(of_lure[0])
    if low < TOUCHING:
        return "touch", "lure on bottom"
    if of_line[0] < TOUCHING:
        return "touch", "line on bottom"
    line = _line_ahead(ahead, number)
    if line is not None and line.touches_at is not None:
        wait = line.touches_at - picture.time
        return "touch", f"touches in {max(wait, 0.0):.0f} s"
    if low < NEAR:
        unit = preferences.length
        return "near", f"{unit.from_si(low):z.1f} {unit.symbol} to bottom"
    # what a shortened look-ahead leaves out may be a touch
    return "calm", "clear" if ahead is not None and ahead.whole else "clear now"


def _over_text(picture: Picture, number: int) -> str:
    """What of a line carries too much; it comes before what is foreseen of the lure."""
    over = picture.over[number]
    return f"the {over} is pulled beyond its strength" if over else ""


def _line_ahead(ahead: LookAhead | None, number: int) -> LineAhead | None:
    if ahead is None or number >= len(ahead.lines):
        return None
    return ahead.lines[number]


def ahead_words(ahead: LookAhead | None, number: int, now: float, preferences: Preferences) -> str:
    """What is foreseen of a lure; empty while nothing is."""
    line = _line_ahead(ahead, number)
    if ahead is None or line is None:
        return ""
    unit = preferences.length
    lead = "if in gear now: " if ahead.in_gear else "if nothing changes: "
    if line.turn is not None and line.turn[0] - now > 0.5:
        at, deep = line.turn
        text = f"{lead}{unit.from_si(deep):z.0f} {unit.symbol} deep in {at - now:.0f} s"
    elif ahead.in_gear and line.lifts_at is not None:
        after = line.lifts_at - now
        text = f"{lead}lifts at once" if after < AT_ONCE else f"{lead}lifts in {after:.0f} s"
    elif ahead.in_gear and ahead.whole:
        text = f"{lead}holds its depth"
    else:
        text = ""
    if line.at_mark is not None:
        _, height, _ = line.at_mark
        passing = f"{unit.from_si(height):z.0f} {unit.symbol} off bottom at the mark"
        text = f"{text}; {passing}" if text else f"{lead}{passing}"
    return text
