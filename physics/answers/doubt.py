"""How uncertain the inputs of a drop are."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from physics.checks import Limits, require_all

DOUBT = Limits(0.0, 0.5)
"""A standard deviation as a share of the value: beyond the most nothing is known."""

EIGHTY = 1.2815515655446004
"""Standard deviations either side that hold 80 % of a normal distribution."""

ROUGHNESS = (0.9, 1.6)
"""Drag across a real line over that of a smooth cylinder; taken to hold in 8 cases of 10.

Armored tow cables 1.5 as a coefficient, strumming included (Folb & Nelligan, abstract READ),
which is 1.1 to 1.4 of a smooth one here; straight ropes 1.3 (Fridman 1986, 2ND); longlines
with lead inside 1.8 to 2.0 with all that hangs on them (COMPUTED from Robertson et al. 2002).
"""

MIDDLE_ROUGHNESS = round(math.sqrt(ROUGHNESS[0] * ROUGHNESS[1]), 3)
"""The middle of a log-normal distribution with that range: what shipped braid and leadcore have
as drag multiplier. Common practice (no source) of 40 to 45 ft with ten colors at 2.25 mph,
where a smooth line would run deeper, agrees; it was not tuned to that."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Standard deviations of the inputs, as shares of their values (assumed but for the line's).

    Values are log-normal about the ones set, and so skewed: a share s stands for the factor
    1 + s either way. ``line_drag`` across the line, from ROUGHNESS; ``line_weight``,
    ``lure_weight``, ``coast_down`` of the boat's half time, ``speed`` through the water,
    ``bottom`` depth, ``lure_drag`` in all directions, ``lure_swing``: 20 degrees may be 13 to 31
    in 8 cases of 10.
    """

    line_drag: float = 0.25
    line_weight: float = 0.03
    lure_weight: float = 0.05
    coast_down: float = 0.15
    speed: float = 0.04
    bottom: float = 0.03
    lure_drag: float = 0.15
    lure_swing: float = 0.4

    def __post_init__(self) -> None:
        require_all(self, dict.fromkeys(INPUTS, DOUBT), "doubt: ")


INPUTS = tuple(part.name for part in fields(Doubt))
