"""Holds that were not run, and parts computed apart."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from physics.answers.between import between, joined
from physics.answers.holds import Responses, respond
from physics.checks import InvalidValue
from tests.physics.spreads import JIG, PLUG, drop, leadcore_rod

LOW = 0.02
"""How low a line ever gets, m: found between holds it is off by up to 1.6 cm."""

SPREAD = drop(leadcore_rod("plug", PLUG, abeam=-2.0), leadcore_rod("jig", JIG, abeam=2.0))
RUN = (0.0, 2.0, 4.0, 8.0, 12.0, 18.0, 24.0)


@pytest.fixture(scope="module")
def found() -> Responses:
    return respond(SPREAD, RUN)


def test_that_a_hold_between_is_what_it_is_when_run(found: Responses) -> None:
    holds = (1.0, 6.0, 15.1, 21.0)
    run, ours = respond(SPREAD, holds), between(found, holds)
    count = min(len(run.time), len(ours.time))
    for k, hold in enumerate(holds):
        # the shortest hold changes fastest with the hold
        near = 0.1 if hold < 2.0 else 0.01
        gap = ours.lure[k, :, :count] - run.lure[k, :, :count]
        assert np.nanmax(np.abs(gap[..., 2])) < near
        assert np.nanmax(np.abs(gap[..., :2])) < (0.4 if hold < 2.0 else 0.05)
        # which point of the line is lowest changes at once: only how low it ever gets is smooth
        low = [np.nanmin(one.low[k, :, :count, 2], axis=1) for one in (ours, run)]
        assert_allclose(*low, rtol=0.0, atol=max(near, LOW))


def test_that_holds_on_samples_are_as_those_beside_them(found: Responses) -> None:
    for hold in (6.0, 15.0, 21.0):
        on, *beside = (between(found, (h,)) for h in (hold, hold - 1e-5, hold + 1e-5))
        for other in beside:
            # the last sample of one may just be beyond the other's
            count = min(int(np.isfinite(one.lure[0, 0, :, 2]).sum()) for one in (on, other))
            assert count > 250
            assert_allclose(on.lure[:, :, :count], other.lure[:, :, :count], rtol=0.0, atol=1e-3)
            assert_allclose(on.low[:, :, :count], other.low[:, :, :count], rtol=0.0, atol=1e-3)


def test_that_a_hold_that_was_run_is_itself(found: Responses) -> None:
    same = between(found, RUN)
    assert_array_equal(same.lure, found.lure)
    assert_array_equal(same.low, found.low)


def test_that_all_holds_are_one_drop_until_in_gear(found: Responses) -> None:
    one = between(found, (20.0,))
    out = found.time <= 20.0
    assert_allclose(one.lure[0][:, out], found.lure[-1][:, out], rtol=0.0, atol=0.0)


def test_that_parts_computed_apart_are_the_whole() -> None:
    whole = respond(SPREAD, (4.0, 8.0, 12.0), after=20.0)
    parts = [respond(SPREAD, (12.0,), after=20.0), respond(SPREAD, (4.0, 8.0), after=20.0)]
    ours = joined(parts)
    assert_array_equal(ours.holds, whole.holds)
    assert_array_equal(ours.time, whole.time)
    assert_array_equal(np.isnan(ours.lure), np.isnan(whole.lure))
    assert_allclose(ours.lure, whole.lure, rtol=0.0, atol=0.01)
    assert_array_equal(joined([whole]).lure, whole.lure)


def test_that_a_hold_longer_than_any_run_is_refused(found: Responses) -> None:
    with pytest.raises(InvalidValue, match=r"hold is 24\.5"):
        between(found, (24.5,))
