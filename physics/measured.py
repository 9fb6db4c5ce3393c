"""What a mate measures: falls at the dock, depths under way, touches in a drop, coast-downs.

Depends on: checks, tackle.

Every kind of row has one measured number, in ``unit``, that the model predicts from the
row's other inputs. Those inputs are uncertain too: ``nudged`` gives the row again with each
of them off by its own error, and how much the prediction then moves is part of the row's
error. All errors are standard deviations, assumed, and the user's to edit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from physics.checks import Unusable, require_number
from physics.tackle import Rod

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

MOST_SECONDS = 600.0


@dataclass(frozen=True, slots=True)
class DockFall:
    """Seconds a lure took to fall ``depth`` m in still water, let go level on a slack line.

    For a lure that rises, ``depth`` is how far it rose.
    """

    depth: float
    seconds: float
    depth_error: float = MARKED
    seconds_error: float = HAND
    kind: ClassVar[str] = "dock"
    unit: ClassVar[str] = "s"

    def __post_init__(self) -> None:
        require_number("dock: depth", self.depth, 0.2, 100.0, "m")
        require_number("dock: seconds", self.seconds, 0.1, MOST_SECONDS, "s")
        require_number("dock: depth_error", self.depth_error, 0.0, 10.0, "m")
        require_number("dock: seconds_error", self.seconds_error, 1e-3, 60.0, "s")

    @property
    def measured(self) -> float:
        return self.seconds

    @property
    def own_error(self) -> float:
        return self.seconds_error

    def nudged(self) -> tuple[DockFall, ...]:
        return (replace(self, depth=self.depth + self.depth_error),)


@dataclass(frozen=True, slots=True)
class TowDepth:
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

    def __post_init__(self) -> None:
        require_number("tow: speed", self.speed, 0.2, 12.0, "m/s")
        require_number("tow: depth", self.depth, 0.1, 500.0, "m")
        require_number("tow: depth_error", self.depth_error, 1e-3, 50.0, "m")
        require_number("tow: speed_error", self.speed_error, 0.0, 2.0, "m/s")

    @property
    def measured(self) -> float:
        return self.depth

    @property
    def own_error(self) -> float:
        return self.depth_error

    def nudged(self) -> tuple[TowDepth, ...]:
        return (replace(self, speed=self.speed + self.speed_error),)


@dataclass(frozen=True, slots=True)
class DropTouch:
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

    def __post_init__(self) -> None:
        require_number("drop: speed", self.speed, 0.2, 12.0, "m/s")
        require_number("drop: hold", self.hold, 0.0, MOST_SECONDS, "s")
        require_number("drop: seconds", self.seconds, 0.1, MOST_SECONDS, "s")
        require_number("drop: depth", self.depth, 0.1, 500.0, "m")
        require_number("drop: seconds_error", self.seconds_error, 0.0, 60.0, "s")
        require_number("drop: depth_error", self.depth_error, 1e-3, 50.0, "m")
        require_number("drop: speed_error", self.speed_error, 0.0, 2.0, "m/s")

    @property
    def measured(self) -> float:
        return self.depth

    @property
    def own_error(self) -> float:
        return self.depth_error

    def nudged(self) -> tuple[DropTouch, ...]:
        return (
            replace(self, seconds=self.seconds + self.seconds_error),
            replace(self, speed=self.speed + self.speed_error),
        )


@dataclass(frozen=True, slots=True)
class CoastDown:
    """Speed left, m/s, ``seconds`` after going out of gear at ``start`` m/s."""

    start: float
    seconds: float
    speed: float
    speed_error: float = LOGGED
    seconds_error: float = READ_OFF
    start_error: float = LOGGED
    kind: ClassVar[str] = "coast"
    unit: ClassVar[str] = "m/s"

    def __post_init__(self) -> None:
        require_number("coast: start", self.start, 0.3, 12.0, "m/s")
        require_number("coast: seconds", self.seconds, 0.1, MOST_SECONDS, "s")
        require_number("coast: speed", self.speed, 0.0, 12.0, "m/s")
        require_number("coast: speed_error", self.speed_error, 1e-3, 2.0, "m/s")
        require_number("coast: seconds_error", self.seconds_error, 0.0, 60.0, "s")
        require_number("coast: start_error", self.start_error, 0.0, 2.0, "m/s")
        if self.speed >= self.start:
            raise Unusable("coast: speed", self.speed, f"less than the {self.start:g} m/s before")

    @property
    def measured(self) -> float:
        return self.speed

    @property
    def own_error(self) -> float:
        return self.speed_error

    def nudged(self) -> tuple[CoastDown, ...]:
        return (
            replace(self, seconds=self.seconds + self.seconds_error),
            replace(self, start=self.start + self.start_error),
        )


Row = DockFall | TowDepth | DropTouch | CoastDown


def coast_to_share(start: float, share: float, seconds: float) -> CoastDown:
    """The row of 'from ``start`` m/s to a ``share`` of it in ``seconds``'. Raises Unusable."""
    require_number("coast: share", share, 0.02, 0.98)
    return CoastDown(start, seconds, share * start)


def coast_table(times: Sequence[float], speeds: Sequence[float]) -> tuple[CoastDown, ...]:
    """Rows of a table of times, s, and speeds, m/s; out of gear at its first line.

    All rows share the error of the first speed; they are taken as independent all the same.
    Raises Unusable.
    """
    if len(times) != len(speeds) or len(times) < 2:
        raise Unusable("coast: table", len(times), "at least two times, each with its speed")
    first, start = times[0], speeds[0]
    return tuple(
        CoastDown(start, time - first, speed)
        for time, speed in zip(times[1:], speeds[1:], strict=True)
    )
