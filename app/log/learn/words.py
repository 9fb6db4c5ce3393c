"""What was learned, in a mate's words: of these drops, never of fish in general."""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.common.units import COLOR, FOOT, KNOT, Unit
from app.log.learn.factors import BY_KEY, Factor
from app.log.learn.findings import Finding, Learned
from app.log.learn.suggest import Change
from app.log.learn.table import Value
from app.log.words import LIGHT, SIDE, TIDE, counted

CHOICES = {"tide": TIDE | {"across": "across the tide"}, "light": LIGHT, "side": SIDE}

FAR = 1000
"""From so many drops more on the number is not told."""

FEW = 6
"""A level on no more line-drops than this is hardly tried."""


@dataclass(frozen=True, slots=True)
class Saying:
    """Tells levels and findings in the units in use."""

    length: Unit = FOOT
    speed: Unit = KNOT

    def unit(self, factor: Factor) -> Unit | None:
        """What a factor's numbers are told in."""
        return {FOOT: self.length, KNOT: self.speed}.get(factor.unit, factor.unit)  # type: ignore[arg-type]

    def level(self, factor: Factor, value: Value) -> str:
        """One level, like ``20 s`` or ``into the tide``."""
        if isinstance(value, str):
            return CHOICES.get(factor.key, {}).get(value, value)
        unit = self.unit(factor)
        assert unit is not None
        number = f"{unit.from_si(value):.1f}".removesuffix(".0")
        if unit is COLOR:
            return f"{number} color" if number == "1" else f"{number} colors"
        return f"{number} {unit.symbol}"

    # ---- one factor

    def sentence(self, found: Finding) -> str:
        """What differs and how sure, or that nothing can be told yet."""
        if len(found.levels) == 1:
            only = self.level(found.factor, found.levels[0])
            return f"{counted(found.drops, 'drop')}, all at {only}: nothing to compare yet."
        if found.told:
            return " ".join([self._told(found), *self._together(found)])
        return self._not_told(found)

    def _told(self, found: Finding) -> str:
        level, rates = found.told[0], found.rates
        others = [k for k in range(len(found.levels)) if k != level]
        rest = rates.hits[others].sum() / max(rates.exposure[others].sum(), 1e-9)
        way = "more hits than the rest" if found.more[0] else "fewer hits than the rest"
        rate, low, high, rest = (
            _rate(value, found.hourly)
            for value in (rates.rate[level], rates.low[level], rates.high[level], rest)
        )
        among = "a line-hour" if found.hourly else "100 line-drops"
        words = [
            f"In your drops {self.level(found.factor, found.levels[level])} had {way}, more than "
            f"luck would give: about {rate} in {among}"
            f" (80 % range {low} to {high}) against {rest}."
        ]
        also = [
            f"{self.level(found.factor, found.levels[k])} ({'more' if more else 'fewer'})"
            for k, more in zip(found.told[1:], found.more[1:], strict=True)
        ]
        if also:
            words.append(f"Also {', '.join(also)}.")
        return " ".join(words)

    def _together(self, found: Finding) -> list[str]:
        if not found.together:
            return []
        names = " and ".join(self.level(BY_KEY[key], value) for key, value in found.together)
        return [f"It nearly always came with {names}: which of them it was, they cannot tell."]

    def _not_told(self, found: Finding) -> str:
        start = f"{counted(found.drops, 'drop')}: no difference shown yet"
        if not math.isfinite(found.wanted):
            return f"{start}; too few hits to say how many more it takes."
        rates, level = found.rates, found.hint
        hits, fished = rates.hits[level], rates.exposure[level]
        rest, fished_rest = rates.hits.sum() - hits, rates.exposure.sum() - fished
        name = self.level(found.factor, found.levels[level])
        if found.hourly:
            seen = (
                f"{name}: {hits:.0f} in {fished:.1f} h, the rest: {rest:.0f} in {fished_rest:.1f} h"
            )
        else:
            others = f"{rest:,.0f} of {fished_rest:,.0f}"
            seen = f"{name}: {hits:,.0f} of {fished:,.0f}, the rest: {others}"
        if found.wanted >= FAR:
            return f"{start}; it would take more than {FAR:,} more for one of this size ({seen})."
        return f"{start}; about {_rough(found.wanted)} more would show one of this size ({seen})."

    # ---- what to try

    def change(self, change: Change) -> str:
        """One change, as an order."""
        factor = BY_KEY[change.key]
        old, new = (self.level(factor, value) for value in (change.old, change.new))
        if change.key == "lure":
            return f"swap one {old} for {new}"
        if change.key == "colors":
            return f"one line from {old} to {new}"
        if change.key in CHOICES:
            return f"fish {new} instead of {old}" if change.key == "side" else f"head {new}"
        return f"{factor.title.lower()} {new} instead of {old}"

    def next(self, learned: Learned) -> str:
        """What to try next, as an order."""
        if not learned.drops:
            return "Nothing to go by yet: log a few drops, with and without hits."
        if not learned.changes:
            return "Do the same again."
        text = ", and ".join(self.change(change) for change in learned.changes)
        return f"{text[0].upper()}{text[1:]}."

    def why(self, learned: Learned) -> str:
        """The reasons for it, from what was fished."""
        if learned.drops and not learned.changes:
            return "Nothing near it looks better in your drops so far."
        return " ".join(self._reason(learned, change) for change in learned.changes)

    def _reason(self, learned: Learned, change: Change) -> str:
        found = learned.of(change.key)
        assert found is not None
        new, old = (self.level(found.factor, value) for value in (change.new, change.old))
        counts = {
            value: (low, high, rate, hits, lines)
            for value, low, high, rate, hits, lines in zip(
                found.levels, found.by_drop.low, found.by_drop.high, found.by_drop.rate,
                found.by_drop.hits, found.by_drop.exposure, strict=True,
            )
        }  # fmt: skip
        if change.new not in counts:
            return f"So far {new} was never tried; it is next to what was."
        low, _, rate, hits, lines = counts[change.new]
        seen = f"So far {new} had {hits:,.0f} of {lines:,.0f} line-drops"
        if lines <= FEW:
            return f"{seen}: hardly tried, so worth finding out."
        _, most, before, old_hits, old_lines = counts[change.old]
        than = f"{old} {old_hits:,.0f} of {old_lines:,.0f}"
        if low > most:
            return f"{seen}, {than}: likely better."
        if rate >= before:
            return f"{seen}, {than}: better so far, which may be luck."
        return f"{seen}, {than}: it may still be better, and that is not sure yet."


def _rate(rate: float, hourly: bool) -> str:
    """Hits in a line-hour, or in 100 line-drops."""
    number = rate if hourly else 100.0 * rate
    return f"{number:.1f}".removesuffix(".0") if number < 10.0 else f"{number:.0f}"


def _rough(count: float) -> int:
    """A number of drops to a figure or two, never less than it is."""
    step = 1 if count < 10 else 5 if count < 50 else 10 if count < 200 else 50
    return max(step * math.ceil(count / step), 1)
