"""Made-up days on the water whose truth is known."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.log.learn.factors import BY_KEY
from app.log.learn.table import Columns, Table, Value, table_of

DROP_LEVELS: dict[str, tuple[Value, ...]] = {
    "hold": (10.0, 15.0, 20.0, 25.0, 30.0),
    "speed": tuple(BY_KEY["speed"].step * k for k in (13, 14, 15)),
    "tide": ("across", "into", "with"),
    "side": ("deep", "shallow", "top"),
}
LINE_LEVELS: dict[str, tuple[Value, ...]] = {
    "lure": ("blue plug", "green plug", "red plug", "white plug"),
    "colors": tuple(BY_KEY["colors"].step * k for k in (3, 5, 7)),
}
LEVELS = DROP_LEVELS | LINE_LEVELS

FISHED = 1.0 / 6.0
"""How long a line fishes in a drop, in the mean, h."""


def expit(x):
    return 1.0 / (1.0 + np.exp(-x))


@dataclass
class World:
    """A hit's logit is ``whole``, plus the ``effect`` of every factor's level, plus normal luck
    that a ``day``, and that a ``drop``, shares (standard deviations)."""

    whole: float = -2.0
    effect: dict[str, NDArray[np.float64]] = field(default_factory=dict)
    day: float = 0.4
    drop: float = 0.5

    @classmethod
    def random(cls, rng: np.random.Generator, matters: float = 0.6) -> World:
        """One in which about half of the factors matter, each by about ``matters``."""
        effect = {
            key: rng.normal(0.0, matters, len(levels)) * (rng.random() < 0.5)
            for key, levels in LEVELS.items()
        }
        return cls(rng.normal(-2.0, 0.8), effect)

    def logit(self, chosen: dict[str, NDArray[np.int64]], size: int) -> NDArray[np.float64]:
        """Logit of a hit, without luck, of ``size`` rows at these levels."""
        out = np.full(size, self.whole)
        for key, effect in self.effect.items():
            out = out + effect[chosen[key]]
        return out

    def truth(self, key: str, rng: np.random.Generator, size: int = 4000) -> NDArray[np.float64]:
        """Share of line-drops with a hit at each level of a factor, all else at random."""
        chosen = {k: rng.integers(len(v), size=size) for k, v in LEVELS.items()}
        luck = rng.normal(0.0, np.hypot(self.day, self.drop), size)
        out = []
        for level in range(len(LEVELS[key])):
            chosen[key] = np.full(size, level)
            out.append(expit(self.logit(chosen, size) + luck).mean())
        return np.array(out)

    def fish(self, rng: np.random.Generator, days: int, drops: int, lines: int) -> Columns:
        """So many days of so many drops of so many lines, everything set at random."""
        day = np.repeat(np.arange(days), drops * lines)
        drop = np.repeat(np.arange(days * drops), lines)
        chosen = {k: rng.integers(len(v), size=days * drops)[drop] for k, v in DROP_LEVELS.items()}
        chosen |= {k: rng.integers(len(v), size=len(drop)) for k, v in LINE_LEVELS.items()}
        luck = rng.normal(0.0, self.day, days)[day]
        luck += rng.normal(0.0, self.drop, days * drops)[drop]
        hit = rng.random(len(drop)) < expit(self.logit(chosen, len(drop)) + luck)
        return Columns(
            [f"{n:04d}" for n in day],
            [f"{n:06d}" for n in drop],
            hit.astype(float),
            3600.0 * FISHED * rng.uniform(0.5, 1.5, days * drops)[drop],
            {key: [LEVELS[key][n] for n in numbers] for key, numbers in chosen.items()},
        )


def table(world: World, rng: np.random.Generator, days: int, drops: int, lines: int) -> Table:
    """The exposure table of such days."""
    return table_of(world.fish(rng, days, drops, lines))
