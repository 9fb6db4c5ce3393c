"""What a person wants on the helm card beside the case on screen."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from app.common import scales
from app.common.quantities import SPEED, Quantity, optional, spell, tidy
from app.common.reading import Reader
from app.common.tables import Table, set_value
from app.common.units import FOOT, METER
from physics.checks import InvalidValue, require_number
from physics.environment.water import BOTTOM
from physics.vessel import boat

MOST_DEPTHS = 8
"""Rows of a card."""

DEPTHS = {"depths_ft": FOOT, "depths_m": METER}
SLOWER = Quantity(
    "slower", spell("slower", *SPEED), boat.SPEED, None, scales.KNOTS, "coming down to"
)


@dataclass(frozen=True, slots=True)
class CardWish:
    """``depths`` m of bottom, rising, and a second speed, ``slower`` m/s, to come down to.

    None of them: depths about the one on screen, and its speed alone. ``steady``: no hold is
    longer than keeps the chance of touching to what may be. Raises InvalidValue
    (depths, slower).
    """

    depths: tuple[float, ...] = ()
    slower: float | None = None
    steady: bool = False

    def __post_init__(self) -> None:
        if len(self.depths) > MOST_DEPTHS:
            raise InvalidValue("depths", len(self.depths), f"at most {MOST_DEPTHS}")
        for depth in self.depths:
            require_number("depths", depth, *BOTTOM)
        if any(after <= before for before, after in pairwise(self.depths)):
            raise InvalidValue("depths", self.depths, "depths that rise")
        if self.slower is not None:
            require_number("slower", self.slower, *SLOWER.limits)


def read_card(reader: Reader) -> CardWish:
    """The table of a scenario file. Raises BadInput."""
    given = [key for key in DEPTHS if reader.has(key)]
    if len(given) > 1:
        reader.refuse(given[1], f"only one of {' and '.join(given)}", "says it twice")
    depths: tuple[float, ...] = ()
    if given:
        key, unit = given[0], DEPTHS[given[0]]
        low, high = (unit.from_si(end) for end in BOTTOM[:2])
        allowed = f"1 to {MOST_DEPTHS} depths that rise, {low:.4g} to {high:.4g} {unit.symbol}"
        value = reader.raw[key]
        if not isinstance(value, list) or not 1 <= len(value) <= MOST_DEPTHS:
            reader.refuse(key, allowed)
        if any(isinstance(x, bool) or not isinstance(x, int | float) for x in value):
            reader.refuse(key, allowed)
        try:
            depths = CardWish(tuple(unit.to_si(float(x)) for x in value)).depths
        except (InvalidValue, OverflowError):
            reader.refuse(key, allowed)
    slower = optional(SLOWER, reader)
    steady = reader.flag("steady")
    reader.done()
    return CardWish(depths, slower, steady)


def write_card(table: Table, wish: CardWish) -> None:
    """Into a table of a scenario file, under the keys already there."""
    key = next((key for key in DEPTHS if key in table), next(iter(DEPTHS)))
    unit = DEPTHS[key]
    if wish.depths:
        set_value(table, key, [tidy(unit.from_si(depth)) for depth in wish.depths])
    else:
        table.pop(key, None)
    if wish.slower is not None:
        SLOWER.write(table, wish.slower)
    else:
        for name in SLOWER.keys:
            table.pop(name, None)
    if wish.steady:
        set_value(table, "steady", True)
    else:
        table.pop("steady", None)
