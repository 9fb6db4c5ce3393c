import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.log.learn.findings import Learned, learn
from app.log.learn.luck import luck_of
from app.log.learn.rates import per_drop, per_hour
from app.log.learn.table import Columns, table_of
from tests.app.log.learn.coverage import SIZES, count
from tests.app.log.learn.world import LEVELS, World, table

NONE = Columns([], [], [], [], {})


@pytest.mark.parametrize("nothing", [True, False])
def test_that_intervals_hold_the_truth_about_8_times_in_10(nothing) -> None:
    held = np.mean(count(14, SIZES[1], nothing).held)
    # a world's intervals stand and fall together: so few tell no more than this
    assert 0.62 < held < 0.95


@pytest.mark.long
@pytest.mark.parametrize("nothing", [True, False])
def test_that_over_many_worlds_intervals_hold_the_truth_in_75_to_85_of_100(nothing) -> None:
    held = np.concatenate([count(250, size, nothing).held for size in SIZES])
    assert 0.75 <= np.mean(held) <= 0.85


@pytest.mark.long
def test_that_intervals_of_hits_an_hour_hold_the_truth_too() -> None:
    held = np.concatenate([count(250, size, nothing=False).held_hourly for size in SIZES])
    assert 0.75 <= np.mean(held) <= 0.85


def test_that_an_hourly_rate_is_near_the_hits_an_hour_of_many_days() -> None:
    rng = np.random.default_rng(4)
    rows = table(World(), rng, 40, 15, 5)
    found = per_hour(rows, "hold", luck_of(rows))
    plain = found.hits / found.exposure
    assert np.all((found.low < plain.mean()) & (plain.mean() < found.high))
    assert found.exposure.sum() == pytest.approx(rows.hours.sum())


def test_that_a_rate_lies_between_what_was_seen_there_and_the_whole() -> None:
    rng = np.random.default_rng(5)
    rows = table(World(whole=-1.0, day=0.01, drop=0.01), rng, 6, 12, 4)
    found = per_drop(rows, "side", luck_of(rows))
    seen, whole = found.hits / found.exposure, rows.hit.mean()
    far = np.abs(seen - whole)
    assert np.all(np.abs(found.rate - whole) < far + 0.02)
    assert np.all(np.sign(found.rate - whole)[far > 0.03] == np.sign(seen - whole)[far > 0.03])


def test_that_more_drops_make_intervals_narrower() -> None:
    rng = np.random.default_rng(6)
    world = World.random(rng)
    widths = []
    for days in (2, 8, 32):
        rows = table(world, rng, days, 12, 4)
        found = per_drop(rows, "hold", luck_of(rows))
        widths.append(float(np.mean(found.high - found.low)))
    assert widths[0] > widths[1] > widths[2]


def test_that_lines_of_one_drop_that_hit_together_count_as_fewer() -> None:
    """Five lines that always do the same know less than five that do as they like."""
    rng = np.random.default_rng(7)
    hit = (rng.random(120) < 0.3).astype(float)
    day = [f"{n // 120}" for n in range(600)]
    hold = [10.0 if n % 2 else 20.0 for n in np.repeat(np.arange(120), 5)]

    def width(hits) -> float:
        drop = [f"{n:03d}" for n in np.repeat(np.arange(120), 5)]
        rows = table_of(Columns(day, drop, list(hits), [60.0] * 600, {"hold": hold}))
        found = per_drop(rows, "hold", luck_of(rows))
        return float(np.mean(found.high - found.low))

    together = np.repeat(hit, 5)
    assert width(together) > 1.4 * width(rng.permutation(together))


@settings(max_examples=4, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_that_the_order_of_rows_changes_nothing(seed) -> None:
    rng = np.random.default_rng(seed)
    rows = World.random(rng).fish(rng, 2, 5, 3)
    order = rng.permutation(len(rows.hits))
    mixed = Columns(
        *([column[n] for n in order] for column in (rows.day, rows.drop, rows.hits, rows.seconds)),
        {key: [column[n] for n in order] for key, column in rows.values.items()},
    )
    same(learn(rows, NONE), learn(mixed, NONE))


def same(a: Learned, b: Learned) -> None:
    """Fail unless both say the same but for rounding."""
    assert a.changes == b.changes
    for one, other in zip(a.findings, b.findings, strict=True):
        assert (one.factor, one.levels, one.told) == (other.factor, other.levels, other.told)
        for rates, others in ((one.by_drop, other.by_drop), (one.by_hour, other.by_hour)):
            for field in dataclasses.fields(rates):
                np.testing.assert_allclose(
                    getattr(rates, field.name), getattr(others, field.name), rtol=1e-6
                )


@pytest.mark.parametrize("hit", [0.0, 1.0])
@pytest.mark.parametrize("size", [(1, 1, 1), (1, 9, 3), (6, 10, 4)])
def test_that_no_hits_at_all_and_nothing_but_hits_break_nothing(hit, size) -> None:
    rng = np.random.default_rng(8)
    rows = World().fish(rng, *size)
    learned = learn(dataclasses.replace(rows, hits=[hit] * len(rows.hits)), NONE)
    assert {found.factor.key for found in learned.findings} == set(LEVELS)
    for found in learned.findings:
        for rates in (found.by_drop, found.by_hour):
            assert np.all((rates.low > 0.0) & (rates.low < rates.rate) & (rates.rate < rates.high))
            assert np.all(np.isfinite(rates.high))
        assert np.all(found.by_drop.high < 1.0)
        assert not found.told


def test_that_one_entry_with_one_line_is_learned_from_as_little_as_it_tells() -> None:
    rows = Columns(["a"], ["a"], [1.0], [300.0], {"lure": ["red plug"], "hold": [20.0]})
    learned = learn(rows, NONE)
    assert (learned.days, learned.drops, learned.lines, learned.hits) == (1, 1, 1, 1)
    lure = learned.of("lure")
    assert lure is not None
    assert lure.by_drop.low[0] < 0.3
    assert lure.by_drop.high[0] > 0.3


def test_that_nothing_is_learned_from_nothing() -> None:
    assert learn(NONE, NONE) == Learned()
