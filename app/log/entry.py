"""One drop or pass as it is kept: what was done, in what water, and what came of it line by line.

SI inside; angles in radians, bearings clockwise from north; places in degrees. What is not known
is None, or an empty text where a word of ``log.words`` is kept.
"""

from __future__ import annotations

import math
import uuid
from dataclasses import MISSING, dataclass, field, fields
from datetime import UTC, datetime, timedelta

from physics.checks import InvalidValue, Limits
from physics.environment import water
from physics.vessel import boat

SIDES = ("deep", "shallow", "top")
"""Sides of the rip she was on."""

TIDES = ("into", "with", "across")
"""How she headed against the tide."""

STAGES = ("flood", "ebb", "slack")
PARTS = ("early", "middle", "late")
"""The tide's stage, and how far along it was."""

LIGHTS = ("into", "out", "flat")
"""Heading into the light, out of it, or with light from no side."""

OUTCOMES = ("nothing", "drop", "lift", "troll", "turn", "slowing")
"""What came of a line: nothing, or a hit on the drop, the lift, the troll, the turn, slowing
for a fish."""

PHASES = ("falling", "lifting", "running")
"""What a lure does at an instant."""

LONGEST_TEXT = 4000
"""Most characters of a note; other texts are one line of at most LONGEST_NAME."""

LONGEST_NAME = 120
MOST_LINES = 12
MOST_TAGS = 20

WAITS = Limits(0.0, 3600.0, "s")
HOLDS = Limits(0.0, 600.0, "s")
LASTS = Limits(0.0, 86400.0, "s")
SPEEDS = Limits(0.0, boat.SPEED.high, "m/s")
WINDS = water.WIND
BEARINGS = Limits(0.0, 2.0 * math.pi, "rad")
LATITUDES = Limits(-90.0, 90.0, "degrees")
LONGITUDES = Limits(-180.0, 180.0, "degrees")
OUTS = Limits(0.0, 400.0, "m")
SAYINGS = Limits(-1e6, 1e6, "in SI units")
AFTERS = Limits(-86400.0, 86400.0, "s")

EARLIEST = datetime(1950, 1, 1, tzinfo=UTC)
"""An entry before this is taken for a slip of the pen."""

LATEST = datetime(9999, 12, 31, tzinfo=UTC)
"""Later than any entry."""

CLOCKS_DIFFER = timedelta(minutes=1)
"""An entry of another computer may be so much ahead of this one's clock."""


@dataclass(frozen=True, slots=True)
class Said:
    """What the model says of one line of a drop, and by what it was worked out.

    ``depth`` m, ``off_bottom`` m (both of the middle of the lure), ``speed`` m/s of the lure
    through the water and ``phase``, of PHASES, are those at the hit; without a hit, or where
    its instant is not known, at the lure's deepest. ``least_off`` m is how near the bottom lure
    or line came meanwhile, ``fell``, ``lifted`` and ``ran`` s how long the lure did each since
    the entry before; ``ran`` is 0 where nobody knows how long the lines fished. ``version`` is
    the program's, ``tackle`` a fingerprint of spread and boat. ``lift_off_bottom`` m and
    ``lift_speed`` m/s are those when the lure starts to lift after the drop, hit or not; both
    None where it never does.
    """

    depth: float
    off_bottom: float
    speed: float
    phase: str
    least_off: float
    fell: float
    lifted: float
    ran: float
    version: str
    tackle: str
    lift_off_bottom: float | None = None
    lift_speed: float | None = None


@dataclass(frozen=True, slots=True)
class LineEntry:
    """One line of a drop or pass. ``out`` is the line out, m; ``outcome`` is of OUTCOMES.

    ``after`` is when the hit came, s after out of gear (before it negative), if that is known.
    ``landed`` tells whether the fish came aboard, None where that is not known or there was
    none; ``fish`` is its kind. ``said`` is what the model said of it, if it was asked.
    """

    rod: str
    lure: str = ""
    out: float | None = None
    outcome: str = "nothing"
    after: float | None = None
    landed: bool | None = None
    fish: str = ""
    fouled: bool = False
    weed: bool = False
    touched: bool = False
    said: Said | None = None

    @property
    def hit(self) -> bool:
        """Whether anything took the lure."""
        return self.outcome != "nothing"


def in_utc(at: datetime) -> datetime:
    """An aware time in UTC. Raises ValueError for one that is beyond the calendar there."""
    try:
        return at.astimezone(UTC)
    except OverflowError as error:
        raise ValueError("is beyond the calendar") from error


def new_id() -> str:
    """An identity nobody else gives away."""
    return str(uuid.uuid4())


@dataclass(frozen=True, slots=True)
class Entry:
    """One drop, or one pass without a drop.

    ``at`` is when, with the place's offset from UTC; ``rehearsal`` whether it was done on the
    screen alone, and so teaches nothing about fish. ``setup`` is the scenario as TOML text, or
    empty. ``wait`` and ``hold`` s; a hold of 0 is a pass without a drop. ``lasted`` s is how
    long the lines fished for this entry. ``speed`` m/s through the water before the drop,
    ``heading`` rad. ``side``, ``tide``, ``stage``, ``part`` and ``light`` are of SIDES, TIDES,
    STAGES, PARTS and LIGHTS or empty; ``light`` is as a person said it (``log.light.light_of``
    gives that, or what the sun says). ``wind_speed`` m/s, ``wind_from`` rad. ``place`` is
    latitude and longitude in degrees, north and east positive. ``changed`` is when the entry
    was last changed, in UTC.
    """

    id: str
    at: datetime
    rehearsal: bool = False
    setup: str = ""
    wait: float | None = None
    hold: float | None = None
    lasted: float | None = None
    speed: float | None = None
    heading: float | None = None
    side: str = ""
    tide: str = ""
    stage: str = ""
    part: str = ""
    wind_speed: float | None = None
    wind_from: float | None = None
    place: tuple[float, float] | None = None
    light: str = ""
    note: str = ""
    tags: tuple[str, ...] = ()
    lines: tuple[LineEntry, ...] = ()
    changed: datetime = field(default=EARLIEST)

    @property
    def hits(self) -> int:
        """How many lines had a hit."""
        return sum(line.hit for line in self.lines)

    @property
    def landed(self) -> int:
        """How many fish came aboard."""
        return sum(line.landed is True for line in self.lines)


def same_but_changed(a: Entry, b: Entry) -> bool:
    """Whether two entries say the same, whenever they were last changed."""
    return all(
        getattr(a, each.name) == getattr(b, each.name)
        for each in fields(Entry)
        if each.name != "changed"
    )


NUMBERS = {
    "wait": WAITS, "hold": HOLDS, "lasted": LASTS, "speed": SPEEDS, "heading": BEARINGS,
    "wind_speed": WINDS, "wind_from": BEARINGS,
}  # fmt: skip
"""Numbers of an entry and what they may be."""

SAID_NUMBERS = (
    "depth", "off_bottom", "speed", "least_off", "fell", "lifted", "ran", "lift_off_bottom",
    "lift_speed",
)  # fmt: skip
"""Numbers of what the model says."""

SAID_ALWAYS = {each.name for each in fields(Said) if each.default is MISSING}
"""What the model never leaves unsaid."""

CHOICES = {"side": SIDES, "tide": TIDES, "stage": STAGES, "part": PARTS, "light": LIGHTS}
"""Words of an entry and what they may be, beside nothing."""


def check(entry: Entry, now: datetime) -> None:
    """Raise InvalidValue for what no entry may be; ``now`` is aware, nothing is later."""
    if entry.at.tzinfo is None:
        raise InvalidValue("time", entry.at, "a time with its offset from UTC")
    if not EARLIEST <= entry.at <= now:
        raise InvalidValue("time", entry.at.isoformat(" ", "minutes"), "from 1950 to now")
    if entry.changed > LATEST:
        raise InvalidValue("changed", entry.changed.isoformat(), "a time before the year 10000")
    for name, limits in NUMBERS.items():
        _within(name, getattr(entry, name), limits)
    for name, words in CHOICES.items():
        _one_of(name, getattr(entry, name), ("", *words))
    if entry.place is not None:
        _within("latitude", entry.place[0], LATITUDES)
        _within("longitude", entry.place[1], LONGITUDES)
    if len(entry.note) > LONGEST_TEXT:
        raise InvalidValue("note", f"{len(entry.note)} characters", f"at most {LONGEST_TEXT}")
    _readable("note", entry.note)
    _readable("setup", entry.setup)
    if len(entry.tags) > MOST_TAGS:
        raise InvalidValue("tags", f"{len(entry.tags)} tags", f"at most {MOST_TAGS}")
    if len(entry.lines) > MOST_LINES:
        raise InvalidValue("lines", f"{len(entry.lines)} lines", f"at most {MOST_LINES}")
    for tag in entry.tags:
        _short("tag", tag)
    names = [line.rod for line in entry.lines]
    for number, line in enumerate(entry.lines, 1):
        where = f"line {number}, "
        if not line.rod:
            raise InvalidValue(f"{where}rod", line.rod, "a name")
        if line.rod in names[: number - 1]:
            raise InvalidValue(f"{where}rod", line.rod, "another name for every line")
        for name in ("rod", "lure", "fish"):
            _short(where + name, getattr(line, name))
        _within(f"{where}line out", line.out, OUTS)
        _within(f"{where}seconds after out of gear", line.after, AFTERS)
        _one_of(f"{where}outcome", line.outcome, OUTCOMES)
        if line.said is not None:
            _one_of(f"{where}phase", line.said.phase, PHASES)
            for name in SAID_NUMBERS:
                _within(where + name, getattr(line.said, name), SAYINGS)
            if (line.said.lift_off_bottom is None) != (line.said.lift_speed is None):
                raise InvalidValue(f"{where}lift", None, "both off bottom and speed, or neither")


def _within(name: str, value: float | None, limits: Limits) -> None:
    if value is not None and not (math.isfinite(value) and limits.low <= value <= limits.high):
        raise InvalidValue(
            name.replace("_", " "), value, f"{limits.low:g} to {limits.high:g} {limits.unit}"
        )


def _one_of(name: str, value: str, words: tuple[str, ...]) -> None:
    if value not in words:
        raise InvalidValue(name, value, "one of " + ", ".join(word or "nothing" for word in words))


def _short(name: str, text: str) -> None:
    if len(text) > LONGEST_NAME or any(mark in text for mark in "\r\n"):
        raise InvalidValue(name, text[:60], f"one line of at most {LONGEST_NAME} characters")
    _readable(name, text)


def _readable(name: str, text: str) -> None:
    """Half a character is no text: no file could hold it."""
    if not text.isascii() and any("\ud800" <= mark <= "\udfff" for mark in text):
        raise InvalidValue(name, ascii(text)[:60], "whole characters")
