import numpy as np
import pytest

from app.log.learn.factors import BY_KEY
from app.log.learn.luck import luck_of
from app.log.learn.suggest import MOST_CHANGES, NEAR, suggest
from app.log.learn.table import Columns, table_of
from tests.app.log.learn.learners import (
    at_random,
    first_that_hit,
    gain,
    hit_rate,
    suggested,
)
from tests.app.log.learn.world import World, table


def one_factor(key: str, values: list, hits: list[float]) -> Columns:
    rows = len(values)
    drop = [f"{n:04d}" for n in range(rows)]
    return Columns(["a"] * rows, drop, hits, [60.0] * rows, {key: values})


def test_that_the_level_that_hit_far_more_is_mostly_suggested() -> None:
    values = ["top", "deep"] * 60
    hits = [float(side == "deep" and n % 3 == 0) for n, side in enumerate(values[:-1])] + [0.0]
    rows = table_of(one_factor("side", [*values[:-1], "top"], hits))
    new = [change.new for seed in range(40) for change in suggest(rows, luck_of(rows), seed)]
    assert new.count("deep") >= 36
    # and the table itself gives one answer, however often it is asked
    assert suggest(rows, luck_of(rows)) == suggest(rows, luck_of(rows))


def test_that_a_level_next_to_those_tried_is_tried_now_and_then() -> None:
    rows = table_of(one_factor("hold", [20.0] * 12, [0.0] * 12))
    new = {change.new for seed in range(60) for change in suggest(rows, luck_of(rows), seed)}
    assert new == {15.0, 25.0}


def test_that_few_things_change_at_once_and_numbers_by_few_steps() -> None:
    rng = np.random.default_rng(1)
    rows = table(World.random(rng), rng, 4, 10, 4)
    for seed in range(40):
        changes = suggest(rows, luck_of(rows), seed)
        assert len(changes) <= MOST_CHANGES
        assert len({change.key for change in changes}) == len(changes)
        for change in changes:
            factor = BY_KEY[change.key]
            assert factor.settable
            assert change.new != change.old
            if factor.number:
                assert abs(change.new - change.old) <= (NEAR + 0.5) * factor.step


def test_that_one_course_is_not_asked_for_the_tide_and_another_for_the_light() -> None:
    tide, light = ["into", "with", "across"] * 20, ["into", "out"] * 30
    rows = table_of(
        Columns(
            ["a"] * 60,
            [f"{n:03d}" for n in range(60)],
            [0.0] * 60,
            [60.0] * 60,
            {"tide": tide, "light": light},
        )
    )
    for seed in range(40):
        assert len(suggest(rows, luck_of(rows), seed)) <= 1


def test_that_nothing_is_suggested_of_nothing() -> None:
    rows = table_of(Columns([], [], [], [], {}))
    assert suggest(rows, luck_of(rows)) == ()


def test_that_suggestions_beat_trying_at_random() -> None:
    """Worlds in which much can be won; the large run has worlds as they come."""
    won = []
    for seed in range(8):
        world = World.random(np.random.default_rng(seed), matters=1.2)
        rates = [hit_rate(world, skipper, 36, seed) for skipper in (suggested, at_random)]
        won.append(rates[0] - rates[1])
    assert np.mean(won) > 0.05


@pytest.mark.long
def test_that_after_60_drops_suggestions_beat_random_and_repeating_the_first_that_hit() -> None:
    for other in (at_random, first_that_hit):
        mean, error = gain(other, 500, 60)
        assert mean > 3.0 * error
