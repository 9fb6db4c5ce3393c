"""How near the bottom lines come over ground of any shape, against every point at every wait."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from physics.answers.clearances import PLACE, clearances, may_be_lowest
from physics.answers.holds import Responses
from physics.environment.water import Bottom

SPACING, HOLDS, AFTER = 0.5, (4.0, 9.0, 10.5), 8.0


def responses(dice: np.random.Generator) -> Responses:
    """Two lines that go anywhere, alike until in gear, three times."""
    time = np.arange(0.0, HOLDS[-1] + AFTER + 1e-9, SPACING)
    low = dice.uniform((-40.0, -40.0, -20.0), (40.0, 40.0, 0.0), (3, 2, len(time), 3))
    for k, hold in enumerate(HOLDS):
        low[k, :, time <= hold] = low[-1, :, time <= hold]
        low[k, :, time > hold + AFTER] = np.nan
    return Responses(np.array(HOLDS), time, low, low, np.array(dice.uniform(-2.0, 2.0, 2)))


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(2, 6))
def test_the_least_height_is_that_of_every_point_at_every_wait(seed, count):
    dice = np.random.default_rng(seed)
    found, waits = responses(dice), np.array([0.0, 1.0, 4.5])
    along = np.cumsum(dice.uniform(1.0, 30.0, count)) - 60.0
    bottom = Bottom(
        tuple(zip(along.tolist(), dice.uniform(5.0, 25.0, count).tolist(), strict=True)),
        dice.uniform(0.0, 6.0),
    )
    steepest = max(
        abs(b - d) / (a - c)
        for (c, d), (a, b) in zip(bottom.points, bottom.points[1:], strict=False)
    )
    assert_allclose(bottom.steepest, steepest)
    got = clearances(found, waits.tolist(), bottom)
    for w, wait in enumerate(waits):
        way = found.boat_velocity * wait
        ground = bottom.depth_at(found.low[..., 0] + way[0], found.low[..., 1] + way[1])
        least = np.nanmin(ground + found.low[..., 2], axis=2)
        assert (got[w] >= least - 1e-9).all()
        # of two points as near as that only the lower one is looked at
        assert (got[w] <= least + PLACE * steepest + 1e-9).all()


@settings(max_examples=100, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_no_point_is_left_out_that_is_nearest_anywhere(seed):
    dice = np.random.default_rng(seed)
    along = np.cumsum(dice.uniform(1.0, 6.0, 12))
    bottom = Bottom(tuple(zip(along.tolist(), dice.uniform(9.0, 11.0, 12).tolist(), strict=True)))
    at = np.sort(dice.uniform(0.0, 20.0, 40))
    z = dice.choice((-1.0, 1.0)) * bottom.steepest * at + dice.uniform(-0.5, 0.5, 40)
    z[dice.choice(40, 5)] = np.inf
    keep = may_be_lowest(at, z, bottom.steepest)
    assert keep.sum() < len(at)
    for shift in np.linspace(-30.0, 60.0, 50):
        assert_allclose(
            (bottom.depth_along(at[keep] + shift) + z[keep]).min(),
            (bottom.depth_along(at + shift) + z).min(),
            rtol=1e-12,
        )
