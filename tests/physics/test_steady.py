"""What is expected of every wait and hold, against drops run one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.answers.chances import chances, gathered, sample
from physics.answers.doubt import INPUTS, Doubt
from physics.answers.holds import bare, respond, respond_each
from physics.answers.steady import (
    Drops,
    Expected,
    SteadySearch,
    all_drops,
    drop_samples,
    steadiest,
)
from physics.answers.timing import Aim, best, timing_map
from physics.answers.touch_limits import touch_limits
from physics.answers.vary import factors, varied
from physics.environment.water import Bottom
from physics.line.contact import REACH
from physics.line.mesh import Resolution
from physics.progress import Cancelled
from physics.simulation.drop_facts import TOUCHING
from physics.simulation.scenario import Mark
from tests.physics.spreads import JIG, PLUG, drop, leadcore_rod

COARSE = Resolution(line_elements=8, leader_elements=2, grading=1.0)
DEEP = bare(
    drop(leadcore_rod("plug", PLUG, abeam=-3.0), leadcore_rod("jig", JIG, abeam=3.0)),
    bottom=Bottom.level(90.0),
)
SPREAD = replace(DEEP, resolution=COARSE)
BOTTOM = Bottom.level(5.8)
AIM = Aim(Mark(4.3, band=0.5), clearance=0.3)
WAITS = tuple(2.0 * n for n in range(21))
HOLDS = tuple(1.0 * n for n in range(25))
SEARCH = SteadySearch(SPREAD, BOTTOM, AIM, WAITS, HOLDS)
SAMPLES = 32

SURE = Doubt(**dict.fromkeys(INPUTS, 0.0))


def drawn(count: int, seed: int) -> np.ndarray:
    """Rows drawn one by one."""
    spread = np.log1p([getattr(Doubt(), name) for name in INPUTS])
    return np.exp(spread * np.random.default_rng(seed).standard_normal((count, len(INPUTS))))


@pytest.fixture(scope="module")
def drops() -> Drops:
    return drop_samples(SEARCH, factors(Doubt(), SAMPLES))


@pytest.fixture(scope="module")
def expected(drops: Drops) -> Expected:
    return Expected.of(drops)


def test_that_scenarios_side_by_side_do_what_each_does_alone() -> None:
    many = [varied(SPREAD, row) for row in factors(Doubt(), 3)]
    holds = (2.0, 9.5, 20.0)
    for one, scenario in zip(
        respond_each(many, holds, after=8.0, tolerance=0.05), many, strict=True
    ):
        alone = respond(scenario, holds, after=8.0, tolerance=0.05)
        assert_allclose(one.boat_velocity, alone.boat_velocity, rtol=1e-12)
        assert_allclose(one.lure, alone.lure, rtol=0.0, atol=1e-6)
        assert_allclose(one.low, alone.low, rtol=0.0, atol=1e-6)


def test_that_the_table_has_the_very_samples_of_the_bands(drops: Drops) -> None:
    k, w = 20, 6
    there = replace(SPREAD, water=SPREAD.water.over(BOTTOM))
    seen = sample(there, HOLDS[k], drops.rows, after=30.0, windows=(WAITS[w], AIM))
    own = seen.clearance.min(axis=1)
    high = own > REACH
    assert high.sum() > 5
    assert_allclose(drops.clearance[high, w, k], own[high], rtol=0.0, atol=0.05)
    assert ((drops.clearance[:, w, k] < TOUCHING) >= (own < TOUCHING)).all()
    clear = ~drops.touches[:, w, k]
    assert seen.windows[clear].sum() > 10.0
    assert_allclose(drops.window[clear, w, k], seen.windows[clear].sum(axis=1), rtol=0.0, atol=0.65)
    whole = gathered([seen], drops.rows)
    table = Expected.of(drops)
    assert whole.expected == pytest.approx(table.window[w, k], abs=0.25)
    assert whole.any_touch == pytest.approx(table.touch[w, k], abs=2.5 / SAMPLES)


@pytest.mark.parametrize(
    ("count", "holds"),
    [(120, (18.0,)), pytest.param(2000, (14.0, 18.0, 21.0), marks=pytest.mark.long)],
)
def test_that_expected_windows_are_those_of_plain_drops(
    drops: Drops, expected: Expected, count: int, holds: tuple[float, ...]
) -> None:
    there = replace(SPREAD, water=SPREAD.water.over(BOTTOM))
    rows = drawn(count, 3)
    for hold in holds:
        k = HOLDS.index(hold)
        w = int(expected.window[:, k].argmax())
        part = sample(there, hold, rows, after=30.0, windows=(WAITS[w], AIM))
        plain = gathered([part], rows)
        told = expected.at(WAITS[w], hold)
        error = np.hypot(told.window_error, plain.expected_error)
        assert plain.expected > 0.5
        assert abs(told.window - plain.expected) < 3.0 * error
        error = np.hypot(max(told.touch_error, 1.0 / SAMPLES), plain.any_touch_error)
        assert abs(told.touch - plain.any_touch) < 3.0 * error


def test_that_more_touching_allowed_never_gives_a_shorter_window(expected: Expected) -> None:
    found = [steadiest(expected, allowed) for allowed in np.linspace(0.0, 1.0, 41)]
    windows = [0.0 if one is None else one.window for one in found]
    assert windows == sorted(windows)
    assert windows[0] < windows[-1]
    for allowed, one in zip(np.linspace(0.0, 1.0, 41), found, strict=True):
        assert one is None or one.touch <= allowed + 1e-9


def test_that_nothing_better_is_allowed_than_the_steady_answer(expected: Expected) -> None:
    clear = np.ones_like(expected.touch, dtype=bool)
    clear[:, 18:] = False
    found = steadiest(expected, 0.1, clear)
    assert found is not None
    rivals = expected.window[clear & (expected.touch <= 0.1)]
    assert found.window == rivals.max()
    assert found.hold < 18.0


def test_that_a_drop_that_touches_is_worth_nothing(drops: Drops, expected: Expected) -> None:
    w, k = np.unravel_index(expected.touch.argmax(), expected.touch.shape)
    assert expected.touch[w, k] > 0.5
    worth = drops.worth[:, w, k]
    assert (worth[drops.touches[:, w, k]] == 0.0).all()
    assert expected.window[w, k] == pytest.approx(worth.mean())


def test_that_a_spread_in_the_mirror_is_told_the_same(drops: Drops) -> None:
    rods = tuple(replace(rod, abeam=-rod.abeam) for rod in SPREAD.rods)
    search = replace(SEARCH, scenario=replace(SPREAD, rods=rods))
    other = drop_samples(search, drops.rows[:6])
    assert_allclose(other.window, drops.window[:6], rtol=0.0, atol=0.21)
    assert_allclose(other.clearance, drops.clearance[:6], rtol=0.0, atol=1e-4)
    aside = replace(SPREAD.rods[0], abeam=9.5), SPREAD.rods[1]
    farther = replace(SEARCH, scenario=replace(SPREAD, rods=aside))
    assert np.abs(drop_samples(farther, drops.rows[:6]).window - drops.window[:6]).max() > 1.0


def test_that_parts_make_the_whole(drops: Drops) -> None:
    halves = [drop_samples(SEARCH, drops.rows[:5]), drop_samples(SEARCH, drops.rows[5:9])]
    whole = all_drops(halves)
    assert_allclose(whole.rows, drops.rows[:9], rtol=0.0)
    assert_allclose(whole.clearance, drops.clearance[:9], rtol=0.0, atol=1e-4)


def test_that_without_doubt_the_steady_answer_is_the_exact_one() -> None:
    run = tuple(float(hold) for hold in range(0, 25, 2))
    fine = timing_map(respond(SPREAD, run, after=30.0), WAITS, AIM, BOTTOM)
    exact = best(fine, AIM.clearance)
    found = Expected.of(drop_samples(replace(SEARCH, holds=run), factors(SURE, 2)))
    assert exact is not None
    assert exact.window > 2.0
    steady = steadiest(found, 0.1, fine.allowed(AIM.clearance))
    assert steady is not None
    assert steady.touch == 0.0
    assert steady.window_error == 0.0
    assert steady.window == pytest.approx(exact.window, abs=0.4)
    assert steady.hold == pytest.approx(exact.hold, abs=2.0)
    assert steady.wait == pytest.approx(exact.wait, abs=2.0)


def test_that_over_uneven_ground_each_sample_meets_its_own() -> None:
    bank = Bottom(((-500.0, 9.0), (20.0, 9.0), (60.0, 5.0), (500.0, 5.0)), 0.0)
    rows, holds = factors(Doubt(), 3), (0.0, 6.0, 12.0)
    search = replace(SEARCH, bottom=bank, waits=(0.0, 20.0, 60.0), holds=holds)
    found = drop_samples(search, rows)
    for s, row in enumerate(rows):
        scenario = varied(SPREAD, row)
        ground = varied(replace(SPREAD, water=SPREAD.water.over(bank)), row).water.bottom
        alone = timing_map(respond(scenario, holds), search.waits, AIM, ground)
        own = alone.clearance.min(axis=2)
        # the shortest hold that is run is longer than the first
        assert_allclose(found.clearance[s], own, rtol=0.0, atol=0.4)
        assert_allclose(found.clearance[s][own < 3.0], own[own < 3.0], rtol=0.0, atol=0.03)
    assert np.ptp(found.clearance[:, :, 2], axis=1).min() > 0.5


def test_that_over_uneven_ground_holds_close_together_are_as_each_by_itself() -> None:
    bank = Bottom(((-500.0, 9.0), (20.0, 9.0), (60.0, 5.0), (500.0, 5.0)), 0.0)
    rows, holds = factors(Doubt(), 2), (5.0, 5.5, 6.0, 7.0, 8.0, 8.5)
    search = replace(SEARCH, bottom=bank, waits=(0.0, 20.0, 60.0), holds=holds)
    found = drop_samples(search, rows)
    for k, hold in enumerate(holds):
        alone = drop_samples(replace(search, holds=(hold,)), rows)
        assert_allclose(found.clearance[:, :, [k]], alone.clearance, rtol=0.0, atol=0.06)


def test_that_limits_let_each_line_touch_as_often_as_may_be() -> None:
    rows = factors(Doubt(), 20)
    limits = touch_limits(SPREAD, [5.0, 5.8, 60.0], rows, 0.1, 24.0)
    assert limits.shape == (3, 2)
    assert (limits[2] == 24.0).all()
    assert (limits[0] < limits[1]).all()
    there = replace(SPREAD, water=SPREAD.water.over(BOTTOM))
    for r, hold in enumerate(limits[1]):
        often = [
            (sample(there, h, rows, after=30.0).clearance[:, r] < TOUCHING).mean()
            for h in (float(hold) - 0.3, float(hold) + 0.8)
        ]
        assert often[0] <= 0.1 < often[1]
    assert np.isnan(touch_limits(SPREAD, [2.5], rows, 0.1, 24.0)).all()


def test_that_the_work_tells_how_far_it_is_and_stops_when_told() -> None:
    heard: list[float] = []
    rows = factors(Doubt(), 2)
    search = replace(SEARCH, holds=(0.0, 5.0))
    drop_samples(search, rows, lambda share: bool(heard.append(share)))
    assert heard == sorted(heard)
    assert heard[-1] > 0.8
    with pytest.raises(Cancelled):
        drop_samples(search, rows, lambda share: share > 0.3)


def test_that_bands_tell_the_windows_only_where_they_are_asked_for() -> None:
    there = replace(SPREAD, water=SPREAD.water.over(BOTTOM))
    found = chances(there, 10.0, Doubt(), count=2, after=10.0)
    assert np.isnan(found.expected)
