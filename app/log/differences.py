"""Two entries side by side: what differed, in the words of the form."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from app.common.units import COLOR, DEGREE, SECOND, Unit
from app.log import words
from app.log.as_typed import clock_text, day_text, degrees_text, number_text, tags_text
from app.log.columns import wind_text
from app.log.entry import Entry, LineEntry, Said
from app.log.light import light_of


@dataclass(frozen=True, slots=True)
class Difference:
    """What differed, and what stands in the first and the second entry."""

    what: str
    first: str
    second: str


def differences(first: Entry, second: Entry, speed: Unit, length: Unit) -> tuple[Difference, ...]:
    """What differed between two entries, in the order of the form; ``length`` for depths."""
    out = []
    for what, text in _texts(speed):
        one, other = text(first), text(second)
        if one != other:
            out.append(Difference(what, one or "not said", other or "not said"))
    by_rod = [{line.rod: line for line in entry.lines} for entry in (first, second)]
    for rod in dict.fromkeys([*by_rod[0], *by_rod[1]]):
        out += _of_line(rod, by_rod[0].get(rod), by_rod[1].get(rod), length)
    return tuple(out)


Text = Callable[[Entry], str]


def _texts(speed: Unit) -> tuple[tuple[str, Text], ...]:
    return (
        ("Day", lambda e: day_text(e.at)),
        ("Time", lambda e: clock_text(e.at)),
        ("Kind", lambda e: words.KIND[e.rehearsal]),
        ("Wait", lambda e: _told(e.wait, SECOND, 1)),
        ("Hold", lambda e: _told(e.hold, SECOND, 1)),
        ("Side of the rip", lambda e: words.SIDE[e.side]),
        ("Heading", lambda e: words.TIDE[e.tide]),
        ("Tide", words.stage_of),
        ("Speed", lambda e: _told(e.speed, speed, 2)),
        ("Course", lambda e: _told(e.heading, DEGREE, 0)),
        ("Light", lambda e: words.LIGHT[light_of(e)]),
        ("Wind", lambda e: wind_text(e.wind_speed, e.wind_from, speed)),
        ("Place", lambda e: ", ".join(degrees_text(each) for each in e.place or ())),
        ("Tags", lambda e: tags_text(e.tags)),
        ("Note", lambda e: " ".join(e.note.split())),
        ("Setup", lambda e: "kept" if e.setup else "none"),
    )


def _told(value: float | None, unit: Unit, digits: int) -> str:
    between = "" if unit is DEGREE else " "
    return "" if value is None else f"{number_text(value, unit, digits)}{between}{unit.symbol}"


def _of_line(
    rod: str, first: LineEntry | None, second: LineEntry | None, length: Unit
) -> list[Difference]:
    if first is None or second is None:
        there = [("not out" if line is None else "out") for line in (first, second)]
        return [Difference(rod, *there)]
    out = []
    for what, text in _LINE:
        one, other = text(first), text(second)
        if one != other:
            out.append(Difference(f"{rod}, {what}", one or "not said", other or "not said"))
    one, other = (said_in_words(line.said, length) for line in (first, second))
    if one != other and first.said is not None and second.said is not None:
        out.append(Difference(f"{rod}, the model", one, other))
    return out


_LINE: tuple[tuple[str, Callable[[LineEntry], str]], ...] = (
    ("lure", lambda line: line.lure),
    ("colors out", lambda line: number_text(line.out, COLOR, 2)),
    ("what came", words.line_in_words),
)


def said_in_words(said: Said | None, length: Unit) -> str:
    """What the model said of a line: how deep, how far off bottom, and doing what."""
    if said is None:
        return ""
    return (
        f"{length.text(said.depth, 0)} down, {length.text(said.off_bottom, 0)} off bottom, "
        f"{words.PHASE[said.phase]}"
    )


def lift_in_words(said: Said, length: Unit, speed: Unit) -> str:
    """Where a lure was when it started to lift, and how fast; nothing where it did not."""
    if said.lift_off_bottom is None or said.lift_speed is None:
        return ""
    off, fast = length.text(said.lift_off_bottom, 1), speed.text(said.lift_speed, 1)
    return f" It started to lift {off} off bottom at {fast}."
