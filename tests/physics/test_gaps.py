"""How near lines are: the compiled library, numpy, points along them, and every instant looked at.

Lines are drawn on a coarse grid as often as not, so that they touch, lie on each other, run
parallel, and have elements of no length.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import physics.simulation.gaps
from physics.answers.near_lines import ALIKE, OVER, SPACING, approaches, crossing_pair
from physics.answers.near_lines import _box_gaps as along_boxes
from physics.line.tackle import Rod
from physics.simulation.core import compiled
from physics.simulation.events import LINES_CLOSE
from physics.simulation.gaps import (
    Moving,
    box_gaps,
    crossing,
    moving,
    nearer,
    polyline_distance,
)
from physics.simulation.trajectory import LineRecord
from tests.physics.spreads import LEADCORE, LEADER, PLUG

SEEDS = st.integers(0, 2**32 - 1)

needs_library = pytest.mark.skipif(compiled.LIBRARY is None, reason="no library was built")


def line(dice: np.random.Generator) -> np.ndarray:
    """Any line (3, n), m: on a grid or not, slack or drawn out, some elements of no length."""
    n = int(dice.integers(2, 40))
    step = dice.normal(size=(3, n)) * dice.uniform(0.0, 2.0)
    step += dice.uniform(0.0, 2.0) * np.array([[0.0], [-1.0], [-0.2]])
    step[:, dice.random(n) < 0.1] = 0.0
    out = dice.normal(size=(3, 1)) * dice.choice([0.0, 1.0, 30.0]) + np.cumsum(step, axis=1)
    return np.round(out) if dice.random() < 0.5 else out


def pair(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Any two lines, some of them parallel to each other, or one and the same."""
    dice = np.random.default_rng(seed)
    one = line(dice)
    if dice.random() < 0.3:
        return one, one + dice.choice([0.0, 1.0]) * dice.normal(size=(3, 1))
    return one, line(dice)


def with_numpy(function, *args):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compiled, "LIBRARY", None)
        return function(*args)


@needs_library
@settings(max_examples=80, deadline=None)
@given(seed=SEEDS)
def test_that_the_compiled_library_finds_the_gap_and_crossing_that_numpy_finds(seed: int) -> None:
    one, other = pair(seed)
    for a, b in ((one, other), (other, one)):
        ours, theirs = polyline_distance(a, b), with_numpy(polyline_distance, a, b)
        assert abs(ours - theirs) <= 1e-12 * max(theirs, 1.0)
        for within in (1.0, np.inf):
            ours, theirs = crossing(a, b, within), with_numpy(crossing, a, b, within)
            assert (ours is None) == (theirs is None)
            assert ours is None or ours == pytest.approx(theirs, rel=0.0, abs=1e-12)


def along(a: np.ndarray, parts: int) -> np.ndarray:
    """Points (3, m) all along a line."""
    share = np.linspace(0.0, 1.0, parts + 1)
    whole = a[:, :-1, None] + np.diff(a, axis=1)[:, :, None] * share
    return whole.reshape(3, -1)


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_that_no_points_of_two_lines_are_nearer_than_their_gap_and_some_are_about(seed) -> None:
    one, other = pair(seed)
    parts = 16
    p, q = along(one, parts), along(other, parts)
    points = np.sqrt(((p[:, :, None] - q[:, None]) ** 2).sum(axis=0).min())
    apart = polyline_distance(one, other)
    longest = max(np.linalg.norm(np.diff(a, axis=1), axis=0).max() for a in (one, other))
    assert apart <= points + 1e-12
    assert points <= apart + longest / parts + 1e-12


def together(seed: int, instants: int = 40) -> list[np.ndarray]:
    """Two or three lines (n, 3, K) as they turn with a boat, drift, swing, stand still and jump."""
    dice = np.random.default_rng(seed)
    time = np.arange(instants)[:, None, None]
    heading = dice.choice([0.0, 0.05, -0.3]) * time[:, 0]
    c, s = np.cos(heading), np.sin(heading)
    way = np.cumsum(np.stack([s, c], axis=1), axis=0) * dice.choice([0.0, 2.5])
    out = []
    for abeam in np.arange(int(dice.integers(2, 4))) * dice.uniform(0.0, 1.5):
        shape = line(dice)[None] * dice.choice([0.0, 0.02, 1.0]) + np.zeros_like(time)
        shape = shape + np.sin(dice.uniform(0.0, 0.5) * time) * dice.choice([0.0, 0.1, 2.0])
        shape[:, 0] += abeam
        shape[:, 1] -= np.linspace(0.0, 30.0, shape.shape[2])
        if dice.random() < 0.3:
            shape[instants // 2 :] += dice.normal(size=(3, 1)) * 2.0
        x, y = shape[:, 0].copy(), shape[:, 1].copy()
        shape[:, 0], shape[:, 1] = x * c + y * s, y * c - x * s
        shape[:, :2] += way
        out.append(shape)
    return out


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, within=st.sampled_from([0.1, 0.5, 1.0, 5.0]))
def test_that_lines_are_nearer_at_the_instants_at_which_they_measure_nearer(seed, within) -> None:
    shapes = together(seed)
    seen = moving(shapes)
    for i, j in combinations(range(len(shapes)), 2):
        apart = np.array(
            [polyline_distance(*both) for both in zip(shapes[i], shapes[j], strict=True)]
        )
        sure = np.abs(apart - within) > 1e-9
        assert (nearer(seen[i], seen[j], within) == (apart < within))[sure].all()
        assert (box_gaps(seen[i], seen[j]) <= apart + 1e-9).all()
        gone = seen[i].gone + seen[j].gone
        most = np.abs(gone[:, None] - gone) + 1e-9
        assert (np.abs(apart[:, None] - apart) <= most).all()


def test_that_boxes_tell_lines_towed_side_by_side_apart_on_any_heading() -> None:
    along = np.linspace(0.0, 100.0, 30)
    for heading in np.linspace(0.0, 6.0, 13):
        s, c = np.sin(heading), np.cos(heading)
        shapes = [
            np.array([[s * along + c * abeam, c * along - s * abeam, -0.1 * along]])
            for abeam in (0.0, 1.2)
        ]
        assert box_gaps(*moving(shapes))[0] == pytest.approx(1.2)


def measured(monkeypatch: pytest.MonkeyPatch, seen: list[Moving]) -> int:
    """How often two lines are measured to know when they are close."""
    count = [0]

    def counted(a: np.ndarray, b: np.ndarray) -> float:
        count[0] += 1
        return polyline_distance(a, b)

    monkeypatch.setattr(physics.simulation.gaps, "polyline_distance", counted)
    nearer(seen[0], seen[1], LINES_CLOSE)
    return count[0]


def test_that_lines_that_turn_with_the_boat_are_measured_once(monkeypatch) -> None:
    s = np.linspace(0.0, 60.0, 60)
    heading = 0.03 * np.arange(400)[:, None]
    c, sn = np.cos(heading), np.sin(heading)
    shapes = []
    for abeam in (0.0, 0.7):
        x, y = 20.0 + abeam - 0.004 * s * s, -s
        shapes.append(np.stack([x * c + y * sn, y * c - x * sn, 0.0 * c - 0.1 * s], axis=1))
    assert measured(monkeypatch, moving(shapes)) == 1


def test_that_a_line_that_hangs_straight_down_is_as_far_as_it_is() -> None:
    down = np.zeros((3, 3, 5))
    down[:, 2] = -np.arange(5.0)
    beside = down + np.array([0.3, 0.4, 0.0])[:, None]
    beside[1, 0] += 1.0
    assert nearer(*moving([down, beside]), 0.51).tolist() == [True, False, True]


def records(seed: int) -> list[LineRecord]:
    """Runs of the lines of ``together``, 1 s a step."""
    out = []
    for shape in together(seed, 12):
        time = np.arange(len(shape), dtype=float)
        speed = np.gradient(shape, axis=0)
        rod = Rod("rod", (LEADCORE, LEADER), PLUG)
        out.append(LineRecord(rod, time, [shape, speed, np.zeros_like(shape)]))
    return out


@settings(max_examples=12, deadline=None)
@given(seed=SEEDS)
def test_that_how_near_lines_come_is_what_every_instant_looked_at_tells(seed: int) -> None:
    lines = records(seed)
    time = np.linspace(0.0, 11.0, int(11.0 / SPACING) + 1)
    found = approaches(lines, 0.0, 11.0, (0.0, 1.0))
    first = None
    for (i, j), told in found.items():
        a, b = lines[i].nodes(time), lines[j].nodes(time)
        apart = np.array([polyline_distance(*both) for both in zip(a, b, strict=True)])
        order = np.argsort(np.floor(along_boxes(a, b) / ALIKE), kind="stable")
        least, at = np.inf, 0
        for k in order:
            if apart[k] < least - ALIKE:
                least, at = apart[k], k
        assert told.apart == pytest.approx(least, abs=1e-9)
        assert told.time == time[at]
        crosses = [
            k for k in range(len(time))
            if apart[k] < LINES_CLOSE or crossing(a[k], b[k], OVER) is not None
        ]  # fmt: skip
        assert told.crosses == (time[crosses[0]] if crosses else None)
        first = (i, j) if crosses and first is None else first
    assert crossing_pair(lines, 0.0, 11.0) == first
