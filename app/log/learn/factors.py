"""What a drop is looked at by, each factor declared once; numbers in steps, SI inside."""

from __future__ import annotations

from dataclasses import dataclass

from app.common.units import COLOR, FOOT, KNOT, SECOND, Unit


@dataclass(frozen=True, slots=True)
class Factor:
    """One thing that may matter.

    ``title`` is what a screen calls it. A number has a ``unit`` and its levels are ``step`` (SI)
    apart, each holding what is nearest to it; a word has neither. ``settable`` tells whether a
    skipper sets it before the drop, and ``by_line`` whether each line has its own.
    """

    key: str
    title: str
    unit: Unit | None = None
    step: float = 0.0
    settable: bool = False
    by_line: bool = False

    @property
    def number(self) -> bool:
        """Whether its levels are numbers, which have neighbors."""
        return self.unit is not None


FACTORS = (
    Factor("hold", "Hold", SECOND, 5.0, settable=True),
    Factor("off_bottom", "Off bottom at the lift", FOOT, FOOT.to_si(2.0), by_line=True),
    Factor("lure_speed", "Lure speed at the lift", KNOT, KNOT.to_si(0.5), by_line=True),
    Factor("phase", "What the lure did", by_line=True),
    Factor("speed", "Boat speed", KNOT, KNOT.to_si(0.5), settable=True),
    Factor("tide", "Heading to the tide", settable=True),
    Factor("light", "Heading to the light", settable=True),
    Factor("side", "Side of the rip", settable=True),
    Factor("lure", "Lure", settable=True, by_line=True),
    Factor("colors", "Line out", COLOR, COLOR.size, settable=True, by_line=True),
)
"""All factors, in the order a screen tells them."""

BY_KEY = {factor.key: factor for factor in FACTORS}
