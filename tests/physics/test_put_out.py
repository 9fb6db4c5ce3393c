"""The choice out of what every rod may have out, against every combination there is."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest

from physics.answers.put_out import Pick, Tried, choose
from physics.answers.timing import FINE

NEEDED = 0.6


def any_tried(seed: int, options: tuple[int, ...] = (3, 4, 2)) -> Tried:
    """Windows in tenths, clearances about what is needed, moments of which some are missing."""
    rng = np.random.default_rng(seed)
    shape = 4, 3
    lifting = tuple(
        np.round(np.maximum(rng.normal(1.0, 2.0, (*shape, n)), 0.0), 1) for n in options
    )
    clearance = tuple(rng.uniform(0.3, 1.8, (*shape, n)) for n in options)
    moments = tuple(
        np.where(rng.random((shape[1], n)) < 0.15, np.nan, rng.uniform(20.0, 30.0, (shape[1], n)))
        for n in options
    )
    deepest = tuple(np.ones((shape[1], n)) for n in options)
    change = tuple(rng.random(n) for n in options)
    return Tried(3.0, np.arange(4.0), np.arange(3.0), lifting, clearance, moments, deepest, change)


def longest(tried: Tried, within: float | None) -> float:
    """The longest window of all combinations, s; 0 where there is none."""
    best = 0.0
    for w, k in product(range(len(tried.waits)), range(len(tried.holds))):
        for chosen in product(*(range(len(change)) for change in tried.change)):
            rods = list(enumerate(chosen))
            if any(tried.clearance[r][w, k, o] < NEEDED for r, o in rods):
                continue
            each = [tried.lifting[r][w, k, o] for r, o in rods]
            moments = np.array([tried.moments[r][k, o] for r, o in rods])
            apart = np.ptp(moments) if np.isfinite(moments).all() else np.inf
            if within is not None and (apart > within or min(each) <= 0.0):
                continue
            best = max(best, sum(each))
    return best


def fits(tried: Tried, pick: Pick, within: float | None) -> bool:
    """Whether a choice keeps every wish."""
    w, k = int(pick.wait), int(pick.hold)
    clear = all(tried.clearance[r][w, k, o] >= NEEDED for r, o in enumerate(pick.options))
    moments = [tried.moments[r][k, o] for r, o in enumerate(pick.options)]
    return clear and (within is None or (np.ptp(moments) <= within and min(pick.each_line) > 0.0))


@pytest.mark.parametrize("within", [None, 6.0, 3.0, 1.0])
@pytest.mark.parametrize("seed", range(8))
def test_that_no_combination_has_a_longer_window_than_the_one_chosen(
    seed: int, within: float | None
) -> None:
    tried = any_tried(seed)
    pick, best = choose(tried, NEEDED, within), longest(tried, within)
    if best <= 0.0:
        assert pick is None
        return
    assert pick is not None
    assert pick.window >= best - FINE - 1e-6
    assert fits(tried, pick, within)


@pytest.mark.parametrize("seed", range(8))
def test_that_more_options_or_a_looser_unison_never_give_a_shorter_window(seed: int) -> None:
    tried = any_tried(seed)
    few = [np.arange(len(change)) < 2 for change in tried.change]
    picks = [
        choose(tried, NEEDED, 2.0, few), choose(tried, NEEDED, 2.0), choose(tried, NEEDED, 4.0),
        choose(tried, NEEDED),
    ]  # fmt: skip
    windows = [0.0 if pick is None else pick.window for pick in picks]
    # among windows as good as equal the shortest hold is taken
    assert all(b >= a - FINE - 1e-6 for a, b in pairwise(windows)), windows


def test_that_of_options_as_good_the_one_nearest_to_what_is_out_is_taken() -> None:
    tried = any_tried(1, (3,))
    alike = Tried(
        3.0, tried.waits, tried.holds, (np.ones((4, 3, 3)),), (np.ones((4, 3, 3)),),
        tried.moments, tried.deepest, (np.array([0.5, 0.1, 0.9]),),
    )  # fmt: skip
    pick = choose(alike, NEEDED)
    assert pick is not None
    assert pick.options == (1,)
