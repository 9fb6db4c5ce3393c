"""How near the bottom lines come over ground of any shape, against every point at every wait."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from physics.answers.clearances import PLACE, _finer, clearances, may_be_lowest
from physics.answers.holds import ALONG, EVERY, Responses
from physics.environment.water import Bottom

SPACING, HOLDS, AFTER = 0.5, (4.0, 10.0, 12.0), 8.0

WAITS = (0.0, 1.0, 4.5)


def anywhere(dice: np.random.Generator, time: np.ndarray, *points: int) -> np.ndarray:
    """Points (K, R, ..., n, 3) that go anywhere, alike until in gear with each of HOLDS."""
    size = (len(HOLDS), 2, *points, len(time), 3)
    out: np.ndarray = dice.uniform((-40.0, -40.0, -20.0), (40.0, 40.0, 0.0), size)
    for k, hold in enumerate(HOLDS):
        out[k, ..., time <= hold, :] = out[-1, ..., time <= hold, :]
        out[k, ..., time > hold + AFTER, :] = np.nan
    return out


def any_ground(dice: np.random.Generator, count: int) -> Bottom:
    along = np.cumsum(dice.uniform(1.0, 30.0, count)) - 60.0
    depths = dice.uniform(5.0, 25.0, count)
    points = tuple(zip(along.tolist(), depths.tolist(), strict=True))
    return Bottom(points, dice.uniform(0.0, 6.0))


def least(found: Responses, points: np.ndarray, bottom: Bottom) -> np.ndarray:
    """The least height (W, K, R) of points (K, R, P, n, 3) at every wait, m."""
    out = []
    for wait in WAITS:
        way = found.boat_velocity * wait
        ground = bottom.depth_at(points[..., 0] + way[0], points[..., 1] + way[1])
        out.append(np.nanmin(ground + points[..., 2], axis=(2, 3)))
    return np.array(out)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(2, 6))
def test_that_the_least_height_is_that_of_every_point_at_every_wait(seed: int, count: int) -> None:
    dice = np.random.default_rng(seed)
    time = np.arange(0.0, HOLDS[-1] + AFTER + 1e-9, SPACING)
    low, velocity = anywhere(dice, time), dice.uniform(-2.0, 2.0, 2)
    bottom = any_ground(dice, count)
    steepest = max(abs(b - d) / (a - c) for (c, d), (a, b) in pairwise(bottom.points))
    assert_allclose(bottom.steepest, steepest)
    found = Responses(np.array(HOLDS), time, low, low, velocity)
    own = least(found, low[:, :, None], bottom)
    assert_allclose(clearances(found, WAITS, bottom), own, atol=1e-9)
    # with points all along the lines, of two in one place only the lower is looked at
    along = anywhere(dice, time[::EVERY], ALONG)
    along[..., 2] -= 5.0
    whole = Responses(np.array(HOLDS), time, low, low, velocity, along)
    finer = np.einsum("qp,krpnx->krqnx", _finer(ALONG), along)
    own = np.minimum(own, least(whole, finer, bottom))
    got = clearances(whole, WAITS, bottom)
    assert (got >= own - 1e-9).all()
    assert (got <= own + PLACE * steepest + 1e-9).all()


@settings(max_examples=100, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_that_no_point_is_left_out_that_is_nearest_anywhere(seed: int) -> None:
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
