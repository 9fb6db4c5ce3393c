"""What a mate measures: falls at the dock, depths under way, touches in a drop, coast-downs.

Every kind of row has one measured number, in ``unit``, that the model predicts from the
row's other inputs. Those inputs are uncertain too: ``nudged`` gives the row again with each
of them off by its own error, and how much the prediction then moves is part of the row's
error. All errors are standard deviations, assumed, and the user's to edit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Self

from physics.checks import InvalidValue, require_number
from physics.line.tackle import Rod

HAND = 0.3
"""A stopwatch by hand, start and stop together, s."""

FELT = 1.0
"""When a touch is felt and called out, s."""

READ_OFF = 0.5
"""When a speed is read off a screen that lags, s."""

MARKED = 0.05
"""A depth at the dock, off a marked line, m."""

SOUNDED = 0.3
"""A depth off the sounder, tide and swell included, m."""

LOGGED = 0.1
"""Speed through the water, from the log or from both ways over ground, m/s."""

UNKNOWN_CURRENT = 0.25
"""How far a speed over ground may be from that through the water, m/s: half a knot (assumed)."""

MOST_SECONDS = 600.0


Limits = dict[str, tuple[float, float, str]]
"""Least, greatest and unit of each number of a row."""

LOG_SPEED = (0.2, 12.0, "m/s")
CLOCK = (0.1, MOST_SECONDS, "s")
UNDER_WAY = (0.1, 500.0, "m")
SPEED_ERROR = (0.0, 2.0, "m/s")


@dataclass(frozen=True, slots=True)
class _Measured:
    """What kinds of rows have in common.

    ``number`` is the field that was measured and is predicted, in ``unit``; ``inputs`` are
    those the prediction is made from and that have an error of their own; ``late`` is the one
    whose error has a part that is the same in all rows. ``tells`` are the
    factors it can say anything about, ``usual`` those fitted to it when nothing is said, and
    ``cost`` what its prediction costs, next to a tow's.
    """

    kind: ClassVar[str]
    unit: ClassVar[str]
    number: ClassVar[str]
    inputs: ClassVar[tuple[str, ...]]
    late: ClassVar[tuple[str, ...]] = ()
    tells: ClassVar[tuple[str, ...]]
    usual: ClassVar[tuple[str, ...]]
    cost: ClassVar[float]
    limits: ClassVar[Limits]

    def __post_init__(self) -> None:
        for name, limits in self.limits.items():
            require_number(f"{self.kind}: {name}", getattr(self, name), *limits)

    @property
    def measured(self) -> float:
        return float(getattr(self, self.number))

    @property
    def own_error(self) -> float:
        return float(getattr(self, f"{self.number}_error"))

    def nudged(self) -> tuple[Self, ...]:
        """The row with each of its inputs off by its error: up, or down where up is too much."""
        return tuple(self._off(name) for name in self.inputs)

    def _off(self, name: str) -> Self:
        value, error, most = (
            getattr(self, name),
            getattr(self, f"{name}_error"),
            self.limits[name][1],
        )
        return replace(self, **{name: value + error if value + error <= most else value - error})


@dataclass(frozen=True, slots=True)
class DockFall(_Measured):
    """Seconds a lure took to fall ``depth`` m in still water, let go level on a slack line.

    For a lure that rises, ``depth`` is how far it rose.
    """

    depth: float
    seconds: float
    depth_error: float = MARKED
    seconds_error: float = HAND
    kind: ClassVar[str] = "dock"
    unit: ClassVar[str] = "s"
    number: ClassVar[str] = "seconds"
    inputs: ClassVar[tuple[str, ...]] = ("depth",)
    late: ClassVar[tuple[str, ...]] = ("seconds",)
    tells: ClassVar[tuple[str, ...]] = ("lure_drag", "lure_weight")
    usual: ClassVar[tuple[str, ...]] = ("lure_drag",)
    cost: ClassVar[float] = 0.2
    limits: ClassVar[Limits] = {
        "depth": (0.2, 100.0, "m"),
        "seconds": CLOCK,
        "depth_error": (0.0, 10.0, "m"),
        "seconds_error": (1e-3, 60.0, "s"),
    }


@dataclass(frozen=True, slots=True)
class TowDepth(_Measured):
    """Depth, m, of the lowest point of line and lure in steady tow at ``speed`` m/s.

    A lure that just ticks a bottom of known depth is such a row. ``rod`` is the line as it
    was out; None is the one being calibrated. How much line is out is taken as exact.
    """

    speed: float
    depth: float
    rod: Rod | None = None
    depth_error: float = SOUNDED
    speed_error: float = LOGGED
    kind: ClassVar[str] = "tow"
    unit: ClassVar[str] = "m"
    number: ClassVar[str] = "depth"
    inputs: ClassVar[tuple[str, ...]] = ("speed",)
    tells: ClassVar[tuple[str, ...]] = ("line_drag", "lure_drag", "lure_weight")
    usual: ClassVar[tuple[str, ...]] = ("line_drag", "lure_drag")
    cost: ClassVar[float] = 1.0
    limits: ClassVar[Limits] = {
        "speed": LOG_SPEED,
        "depth": UNDER_WAY,
        "depth_error": (1e-3, 50.0, "m"),
        "speed_error": SPEED_ERROR,
    }


@dataclass(frozen=True, slots=True)
class DropTouch(_Measured):
    """Seconds from out of gear until line or lure first touched a bottom ``depth`` m down.

    The boat made ``speed`` m/s before and went back in gear after ``hold`` s, which may be
    before or after the touch. What is predicted is the depth of the lowest point at that
    second: unlike the second it exists even where the model would not touch at all.
    """

    speed: float
    hold: float
    seconds: float
    depth: float
    rod: Rod | None = None
    seconds_error: float = FELT
    depth_error: float = SOUNDED
    speed_error: float = LOGGED
    kind: ClassVar[str] = "drop"
    unit: ClassVar[str] = "m"
    number: ClassVar[str] = "depth"
    inputs: ClassVar[tuple[str, ...]] = ("seconds", "speed")
    late: ClassVar[tuple[str, ...]] = ("seconds",)
    tells: ClassVar[tuple[str, ...]] = (
        "line_drag", "lure_drag", "lure_weight", "coast_down", "exponent",
    )  # fmt: skip
    usual: ClassVar[tuple[str, ...]] = ("line_drag", "lure_drag", "coast_down")
    cost: ClassVar[float] = 3.0
    limits: ClassVar[Limits] = {
        "speed": LOG_SPEED,
        "hold": (0.0, MOST_SECONDS, "s"),
        "seconds": CLOCK,
        "depth": UNDER_WAY,
        "seconds_error": (0.0, 60.0, "s"),
        "depth_error": (1e-3, 50.0, "m"),
        "speed_error": SPEED_ERROR,
    }


@dataclass(frozen=True, slots=True)
class CoastDown(_Measured):
    """Speed left, m/s, ``seconds`` after going out of gear at ``start`` m/s."""

    start: float
    seconds: float
    speed: float
    speed_error: float = LOGGED
    seconds_error: float = READ_OFF
    start_error: float = LOGGED
    kind: ClassVar[str] = "coast"
    unit: ClassVar[str] = "m/s"
    number: ClassVar[str] = "speed"
    inputs: ClassVar[tuple[str, ...]] = ("seconds", "start")
    tells: ClassVar[tuple[str, ...]] = ("coast_down", "exponent")
    usual: ClassVar[tuple[str, ...]] = ("coast_down", "exponent")
    cost: ClassVar[float] = 0.01
    limits: ClassVar[Limits] = {
        "start": (0.3, 12.0, "m/s"),
        "seconds": CLOCK,
        "speed": (0.0, 12.0, "m/s"),
        "speed_error": (1e-3, 2.0, "m/s"),
        "seconds_error": (0.0, 60.0, "s"),
        "start_error": SPEED_ERROR,
    }

    def __post_init__(self) -> None:
        _Measured.__post_init__(self)
        if self.speed >= self.start:
            raise InvalidValue(
                "coast: speed", self.speed, f"less than the {self.start:g} m/s before"
            )

    def _off(self, name: str) -> CoastDown:
        # what was left is to be predicted, and must not stand in the way of a lower start
        return _Measured._off(replace(self, speed=0.0), name)


Row = DockFall | TowDepth | DropTouch | CoastDown

KINDS = (DockFall, TowDepth, DropTouch, CoastDown)


def coast_to_share(start: float, share: float, seconds: float) -> CoastDown:
    """The row of 'from ``start`` m/s to a ``share`` of it in ``seconds``'. Raises InvalidValue."""
    require_number("coast: share", share, 0.02, 0.98)
    return CoastDown(start, seconds, share * start)


def coast_table(times: Sequence[float], speeds: Sequence[float]) -> tuple[CoastDown, ...]:
    """Rows of a table of times, s, and speeds, m/s; out of gear at its first line.

    All rows share the error of the first speed; they are taken as independent all the same.
    Raises InvalidValue.
    """
    if len(times) != len(speeds) or len(times) < 2:
        raise InvalidValue("coast: table", len(times), "at least two times, each with its speed")
    first, start = times[0], speeds[0]
    return tuple(
        CoastDown(start, time - first, speed)
        for time, speed in zip(times[1:], speeds[1:], strict=True)
    )
