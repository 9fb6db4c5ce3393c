"""What may be ordered of a line while it is out: to come in, to go out, to hold a fish."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from physics.checks import InvalidValue, Limits, require_number

LineAction = Literal["line to", "fish on", "fish end to", "fish off"]
LINE_ACTIONS: tuple[LineAction, ...] = ("line to", "fish on", "fish end to", "fish off")

LINE_OUT = Limits(0.5, 400.0, "m")
"""No more line comes in than to the least, above the leader."""

LINE_RATE = Limits(0.02, 5.0, "m/s")
"""How fast line may come in or go out."""

FISH = Limits(0.1, 500.0, "kg")
FISH_DEPTH = Limits(0.0, 2000.0, "m")
FISH_RATE = Limits(0.02, 3.0, "m/s")
"""How fast a hooked fish may swim up or down."""

TIME = Limits(0.0, 36000.0, "s")


@dataclass(frozen=True, slots=True)
class LineOrder:
    """One order about the line of one ``rod``, by name, at ``time`` s.

    "line to": the line between rod tip and leader goes to ``value`` m, at ``rate`` m/s.
    "fish on": a fish of ``value`` kg is hooked. "fish end to": it swims to the depth
    ``value`` m, up or down at ``rate`` m/s, and keeps there; until told so it lets itself
    be pulled. "fish off": it is gone.
    """

    time: float
    rod: str
    action: LineAction
    value: float = 0.0
    rate: float = 0.5

    def __post_init__(self) -> None:
        require_number("order time", self.time, *TIME)
        if self.action not in LINE_ACTIONS:
            raise InvalidValue("line order", self.action, "one of " + ", ".join(LINE_ACTIONS))
        if self.action == "line to":
            require_number("line out", self.value, *LINE_OUT)
            require_number("rate", self.rate, *LINE_RATE)
        elif self.action == "fish on":
            require_number("fish", self.value, *FISH)
        elif self.action == "fish end to":
            require_number("fish depth", self.value, *FISH_DEPTH)
            require_number("rate", self.rate, *FISH_RATE)
