"""How uncertain the inputs of a drop are."""

from __future__ import annotations

from dataclasses import dataclass, fields

from physics.checks import Limits, require_all

DOUBT = Limits(0.0, 0.5)
"""A standard deviation as a share of the value: beyond the most nothing is known."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Standard deviations of the inputs, as shares of their values (all assumed).

    ``line_drag`` across the line (strumming and fuzz; the honest band is about
    -10 to +60 %), ``line_weight``, ``lure_weight``, ``coast_down`` of the
    boat's half time, ``speed`` through the water, ``bottom`` depth.
    """

    line_drag: float = 0.15
    line_weight: float = 0.03
    lure_weight: float = 0.05
    coast_down: float = 0.15
    speed: float = 0.04
    bottom: float = 0.03

    def __post_init__(self) -> None:
        require_all(self, dict.fromkeys(INPUTS, DOUBT), "doubt: ")


INPUTS = tuple(part.name for part in fields(Doubt))
