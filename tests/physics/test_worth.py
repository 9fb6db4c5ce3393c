"""What knowing an input buys, against cases that can be worked out."""

from __future__ import annotations

import numpy as np
import pytest

from physics.answers.doubt import INPUTS, Doubt
from physics.answers.vary import factors
from physics.answers.worth import worth_of

MATTERS = INPUTS.index("line_drag")
ALSO = INPUTS.index("coast_down")


def two_choices(rows: np.ndarray, first: float, second: float) -> np.ndarray:
    """A sure 5 s, or 5 s and as much more as two standard normal inputs add to it (S, 2)."""
    doubt = Doubt()
    normal = [np.log(rows[:, i]) / np.log1p(getattr(doubt, INPUTS[i])) for i in (MATTERS, ALSO)]
    return np.stack([np.full(len(rows), 5.0), 5.0 + first * normal[0] + second * normal[1]], 1)


@pytest.mark.parametrize("count", [64, 2000])
def test_that_of_two_choices_it_is_the_closed_form(count: int) -> None:
    rows = factors(Doubt(), count)
    found = worth_of(rows, two_choices(rows, 2.0, 0.5))
    # the mean of a normal variable where it is positive: its deviation over sqrt(2 pi)
    for name, deviation in ((INPUTS[MATTERS], 2.0), (INPUTS[ALSO], 0.5)):
        gain, error = found.of(name)
        assert gain == pytest.approx(deviation / np.sqrt(2.0 * np.pi), abs=3.0 * error + 0.02)
    assert found.evident[0] == INPUTS[MATTERS]
    assert found.window == pytest.approx(5.0, abs=0.3)


def test_that_it_finds_what_brute_force_does() -> None:
    # the best of 41 holds goes with the drag, off by something else
    rng = np.random.default_rng(2)
    holds = np.linspace(10.0, 30.0, 41)
    rows = factors(Doubt(), 4000)

    def worth(some: np.ndarray) -> np.ndarray:
        at = 20.0 * some[:, MATTERS] * some[:, ALSO]
        return np.maximum(4.0 - 0.5 * np.abs(holds - at[:, None]), 0.0)

    many = worth(rows)
    order = np.argsort(rows[:, MATTERS])
    known = np.mean([part.mean(axis=0).max() for part in np.array_split(many[order], 80)])
    brute = known - many.mean(axis=0).max()
    few = factors(Doubt(), 64, seed=int(rng.integers(1000)))
    gain, error = worth_of(few, worth(few)).of(INPUTS[MATTERS])
    assert brute > 0.5
    assert abs(gain - brute) < 3.0 * error
    assert worth_of(rows, many).of(INPUTS[MATTERS])[0] == pytest.approx(brute, rel=0.1)


def test_that_chance_is_not_taken_for_knowledge() -> None:
    # thousands of choices, alike but for noise that no input tells of
    told = 0
    for seed in range(10):
        rng = np.random.default_rng(seed)
        rows = factors(Doubt(), 64, seed=seed)
        found = worth_of(rows, 3.0 + rng.standard_normal((64, 2000)))
        told += len(found.evident)
    assert told <= 2, "of 60"


def test_that_what_does_not_vary_is_worth_nothing() -> None:
    rows = factors(Doubt(coast_down=0.0), 64)
    found = worth_of(rows, two_choices(factors(Doubt(), 64), 2.0, 2.0))
    assert found.of("coast_down") == (0.0, 0.0)


def test_that_nothing_is_worth_knowing_where_nothing_lifts() -> None:
    found = worth_of(factors(Doubt(), 8), np.zeros((8, 3, 4)))
    assert found.evident == ()
    assert found.window == 0.0
