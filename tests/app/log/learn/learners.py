"""Skippers on made-up water: one who follows the suggestions, one who tries at random, and one
who repeats the first drop that hit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from app.log.learn.luck import luck_of
from app.log.learn.suggest import suggest
from app.log.learn.table import Columns, Value, table_of
from tests.app.log.learn.world import DROP_LEVELS, LEVELS, LINE_LEVELS, World, expit

LINES, PER_DAY = 3, 12

Setting = list[dict[str, Value]]
"""The levels of each line of a drop; what is the drop's is the same on all."""


@dataclass
class Log:
    """What one skipper has seen so far."""

    rows: Columns = field(
        default_factory=lambda: Columns([], [], [], [], {key: [] for key in LEVELS})
    )

    def add(self, number: int, setting: Setting, hits: list[bool]) -> None:
        for line, hit in zip(setting, hits, strict=True):
            self.rows.day.append(f"{number // PER_DAY:03d}")
            self.rows.drop.append(f"{number:05d}")
            self.rows.hits.append(float(hit))
            self.rows.seconds.append(600.0)
            for key, value in line.items():
                self.rows.values[key].append(value)


Skipper = Callable[[Log, Setting, np.random.Generator], Setting]


def at_random(log: Log, last: Setting, rng: np.random.Generator) -> Setting:
    drop = {key: levels[rng.integers(len(levels))] for key, levels in DROP_LEVELS.items()}
    return [
        drop | {key: levels[rng.integers(len(levels))] for key, levels in LINE_LEVELS.items()}
        for _ in range(LINES)
    ]


def first_that_hit(log: Log, last: Setting, rng: np.random.Generator) -> Setting:
    return last if any(log.rows.hits) else at_random(log, last, rng)


def suggested(log: Log, last: Setting, rng: np.random.Generator) -> Setting:
    table = table_of(log.rows)
    setting = [dict(line) for line in last]
    for change in suggest(table, luck_of(table), int(rng.integers(2**32))):
        # the water has no level beyond those of the world
        new = min(LEVELS[change.key], key=lambda level: (level != change.new, _far(level, change)))
        lines = setting
        if change.key in LINE_LEVELS:
            lines = [line for line in setting if line[change.key] == change.old][:1]
        for line in lines:
            line[change.key] = new
    return setting


def _far(level: Value, change) -> float:
    return abs(level - change.new) if isinstance(level, float) else 0.0


def hit_rate(world: World, skipper: Skipper, drops: int, seed: int) -> float:
    """Hits a line-drop that are to be expected of the setup after so many drops."""
    rng = np.random.default_rng(seed)
    log, setting, day = Log(), at_random(Log(), [], rng), 0.0
    for number in range(drops):
        if number % PER_DAY == 0:
            day = rng.normal(0.0, world.day)
        if number:
            setting = skipper(log, setting, rng)
        luck = day + rng.normal(0.0, world.drop)
        hits = rng.random(LINES) < expit(logit(world, setting) + luck)
        log.add(number, setting, list(hits))
    return expected(world, skipper(log, setting, rng))


def logit(world: World, setting: Setting) -> np.ndarray:
    """Each line's logit of a hit, without luck."""
    return np.array([
        world.whole + sum(world.effect[key][LEVELS[key].index(line[key])] for key in world.effect)
        for line in setting
    ])  # fmt: skip


def expected(world: World, setting: Setting) -> float:
    """Hits a line-drop over all luck."""
    luck = np.linspace(-2.4, 2.4, 49) * np.hypot(world.day, world.drop)
    weight = np.exp(-0.5 * np.linspace(-2.4, 2.4, 49) ** 2)
    share = expit(logit(world, setting)[:, None] + luck)
    return float((share @ weight).mean() / weight.sum())


def gain(other: Skipper, worlds: int, drops: int) -> tuple[float, float]:
    """How much higher the hit rate is with suggestions than another's, and its standard error."""
    won = []
    for seed in range(worlds):
        world = World.random(np.random.default_rng(seed))
        won.append(hit_rate(world, suggested, drops, seed) - hit_rate(world, other, drops, seed))
    return float(np.mean(won)), float(np.std(won) / np.sqrt(worlds))
