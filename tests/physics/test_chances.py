"""Bands and chances against cases whose answer is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import ndtr, ndtri
from scipy.stats import qmc

from physics.answers.chances import LINES, chances, gathered, sample
from physics.answers.doubt import EIGHTY, INPUTS, MIDDLE_ROUGHNESS, ROUGHNESS, Doubt
from physics.answers.hold_times import HoldSearch, quantiles, shortest_holds
from physics.answers.holds import bare, respond
from physics.answers.timing import shortest_hold
from physics.answers.vary import FIRST, factors, standard_error, varied
from physics.environment.water import Bottom
from physics.line.mesh import Resolution
from physics.line.tackle import LURE_LIMITS
from physics.progress import Cancelled
from physics.simulation import advance
from physics.simulation.run import Run, simulate
from physics.vessel.boat import SPEED, Boat, Order
from tests.physics.spreads import DEEP_SEA, JIG, PLUG, drop, leadcore_rod

SURE = Doubt(**dict.fromkeys(INPUTS, 0.0))

SPREAD = drop(leadcore_rod("plug", PLUG))


def over(depth: float):
    return replace(SPREAD, water=replace(DEEP_SEA, bottom=Bottom.level(depth)))


def test_that_factors_spread_as_asked_about_one() -> None:
    rows = factors(Doubt(), 4000)
    for number, name in enumerate(INPUTS):
        spread = np.log1p(getattr(Doubt(), name))
        assert_allclose(np.log(rows[:, number]).std(), spread, rtol=0.02)
        assert_allclose(np.median(rows[:, number]), 1.0, rtol=0.0, atol=1e-3)


@pytest.mark.parametrize("count", [1, 2, 64])
def test_that_samples_are_spread_as_by_the_librarys_latin_hypercube(count: int) -> None:
    rng = np.random.default_rng(3)
    cube = np.hstack(
        [qmc.LatinHypercube(size, rng=rng).random(count) for size in (FIRST, len(INPUTS) - FIRST)]
    )
    sigma = [np.log1p(getattr(Doubt(), name)) for name in INPUTS]
    assert_allclose(factors(Doubt(), count, seed=3), np.exp(sigma * ndtri(cube)), rtol=1e-14)


@pytest.mark.parametrize(
    ("boat", "speed"),
    [
        (Boat("slow to stop", half_time=119.0), SPEED.high - 0.1),
        (Boat("stops short", trolling_speed=0.5, half_time=1.0, exponent=3.0), 2.5),
    ],
)
def test_that_no_sample_is_beyond_what_a_boat_can_do(boat: Boat, speed: float) -> None:
    spread = replace(SPREAD, boat=boat, speed=speed)
    for row in factors(Doubt(), 16):
        sample_ = varied(spread, row)
        assert sample_.speed <= min(SPEED.high, sample_.boat.fastest)


def test_that_a_sample_has_lures_of_other_drag_and_swing_within_their_limits() -> None:
    wide = replace(JIG, swing=LURE_LIMITS["swing"].high, lip_area=1e-4)
    spread = replace(SPREAD, rods=(replace(SPREAD.rods[0], lure=wide),))
    row = dict.fromkeys(INPUTS, 1.0) | {"lure_drag": 1.2, "lure_swing": 1.5}
    more = varied(spread, np.array(list(row.values()))).rods[0].lure
    row["lure_swing"] = 0.5
    less = varied(spread, np.array(list(row.values()))).rods[0].lure
    for area in ("end_area", "broadside_area", "lip_area"):
        assert getattr(more, area) == pytest.approx(1.2 * getattr(wide, area))
    assert (more.swing, less.swing) == (wide.swing, pytest.approx(0.5 * wide.swing))
    assert more.mass == wide.mass


def test_that_doubt_of_a_shipped_lines_drag_is_the_published_range() -> None:
    drag = MIDDLE_ROUGHNESS * factors(Doubt(), 4000)[:, INPUTS.index("line_drag")]
    assert_allclose(np.quantile(drag, (0.1, 0.9)), ROUGHNESS, rtol=0.01)
    assert drag.mean() > np.median(drag) + 0.02, "skewed"


def test_that_bands_hold_a_drop_on_a_line_of_the_published_range_eight_times_in_ten() -> None:
    rod = leadcore_rod("plug", PLUG)

    def rough(drag: float):
        sections = tuple(replace(part, drag_multiplier=drag) for part in rod.sections)
        return drop(replace(rod, sections=sections))

    only = replace(SURE, line_drag=Doubt().line_drag)
    found = chances(rough(MIDDLE_ROUGHNESS), 10.0, only, count=40, after=10.0)
    # the truth in units of its own: a smooth line, times what was published
    low, high = np.log(ROUGHNESS)
    rng = np.random.default_rng(5)
    seas = np.exp(0.5 * (low + high) + 0.5 * (high - low) / EIGHTY * rng.normal(size=100))
    rows = np.ones((len(seas), len(INPUTS)))
    rows[:, INPUTS.index("line_drag")] = seas
    depth = sample(rough(1.0), 10.0, rows, after=10.0).depth[:, 0]
    held = (depth > found.bands[0, 0]) & (depth < found.bands[2, 0])
    assert 0.7 < held[:, [0, 20, 30]].mean() < 0.9


def test_that_the_same_seed_gives_the_same_samples() -> None:
    assert np.array_equal(factors(Doubt(), 16, seed=3), factors(Doubt(), 16, seed=3))
    assert not np.array_equal(factors(Doubt(), 16, seed=3), factors(Doubt(), 16, seed=4))


def test_that_without_doubt_every_sample_is_the_run_itself() -> None:
    found = chances(SPREAD, 12.0, SURE, count=4, after=20.0)
    orders = (Order(0.0, "out of gear"), Order(12.0, "in gear"))
    alone = simulate(replace(bare(SPREAD), orders=orders, duration=32.0))
    for band in found.bands[:, 0]:
        assert_allclose(band, alone.depth(0, found.time), rtol=0.0, atol=0.01)


def test_that_the_lowest_of_a_line_is_that_of_all_its_nodes() -> None:
    run = Run([replace(bare(SPREAD), rods=(*SPREAD.rods, leadcore_rod("jig", JIG)))] * 2)
    assert run.lowest_at(np.array([0.0, 3.0])).shape == (2, 2), "of the steady tow alone too"
    run.advance(20.0)
    run.order(Order(9.0, "out of gear"), 1)
    run.advance(20.0)
    times = np.linspace(0.0, 19.9, 61)
    for scenario in (0, 1):
        lines = run.trajectory(scenario).lines
        assert_allclose(
            run.lowest_at(times, scenario),
            [line.nodes(times)[:, 2].min(axis=1) for line in lines], rtol=0.0, atol=1e-12,
        )  # fmt: skip
        last = [line.position[-1, 2].min() for line in lines]
        assert np.array_equal(run.lowest()[2 * scenario : 2 * scenario + 2], last)
        assert_allclose(run.lowest_at(np.array([1e3]), scenario)[:, 0], last, rtol=0.0, atol=1e-12)


def test_that_a_doubtful_depth_moves_the_bottom_and_nothing_else() -> None:
    sure = chances(over(13.0), 14.0, SURE, count=1, after=25.0)
    deepest = 13.0 - float(sure.clearance[0, 0])
    doubt = replace(SURE, bottom=0.08)
    found = chances(over(13.0), 14.0, doubt, count=64, after=25.0)
    # until it touches, the lure knows nothing of the bottom: clearance is depth less deepest
    rows = factors(doubt, 64)[:, INPUTS.index("bottom")]
    free = 13.0 * rows - deepest > 0.3
    assert free.sum() > 20
    assert_allclose(found.clearance[free, 0], 13.0 * rows[free] - deepest, rtol=0.0, atol=0.02)
    assert found.driver == "bottom"
    assert_allclose(found.correlation[INPUTS.index("bottom")], 1.0, rtol=0.0, atol=0.01)


def test_that_the_chance_to_touch_is_the_chance_of_a_bottom_that_shallow() -> None:
    deepest = 13.0 - float(chances(over(13.0), 14.0, SURE, count=1, after=25.0).clearance[0, 0])
    depth = deepest * 1.05
    found = chances(over(depth), 14.0, replace(SURE, bottom=0.08), count=64, after=25.0)
    exact = ndtr(np.log(deepest / depth) / np.log1p(0.08))
    # a Latin hypercube of 64 places its samples to a 64th; one more for the contact's 2 cm
    assert_allclose(found.touch[0], exact, rtol=0.0, atol=2.0 / 64.0)


@pytest.mark.parametrize(
    "clearance",
    [
        # of lines that get 12 m deep, of which their drag takes its share, over 12.5 to 14.5 m
        lambda drag, bottom, *_: 12.5 * bottom - 12.0 / drag**0.3,
        lambda drag, bottom, half_time, speed: (
            13.0 * bottom - 12.0 / (drag * half_time) ** 0.3 / speed**0.5
        ),
        lambda drag, bottom, half_time, speed: np.minimum(
            12.6 * bottom - 12.0 / drag**0.3, 12.6 * bottom - 12.0 * half_time**0.3 / speed
        ),
    ],
)
def test_that_chances_to_touch_differ_from_seed_to_seed_by_the_error_they_are_told_with(
    clearance,
) -> None:
    doubt, many, told = Doubt(), [], []
    some = chances(over(13.0), 14.0, SURE, count=1, after=5.0)
    names = ("line_drag", "bottom", "coast_down", "speed")
    for seed in range(200):
        rows = factors(doubt, 64, seed)
        low = clearance(*(rows[:, INPUTS.index(name)] for name in names))
        one = replace(some, rows=rows, clearance=low[:, None])
        many.append(one.any_touch)
        told.append(one.any_touch_error)
        assert one.touch_error[0] == pytest.approx(told[-1])
    spread = np.std(many)
    assert 0.9 * spread < np.mean(told) < 1.35 * spread
    assert np.std(told) < 0.2 * spread


def test_that_of_few_draws_or_without_doubt_the_error_is_that_of_chance() -> None:
    rows, drawn = factors(Doubt(), 8), np.array([1.0, 1.0, 0.0, 0.0, 1.0, 0.0, 1.0, 0.0])
    assert_allclose(standard_error(drawn, rows), np.sqrt(0.25 / 7.0))
    assert_allclose(
        standard_error(np.tile(drawn, 8), np.ones((64, len(INPUTS)))), np.sqrt(0.25 / 63.0)
    )


def test_that_bands_are_in_order_and_widen_with_doubt() -> None:
    little = chances(
        SPREAD, 12.0, Doubt(0.02, 0.01, 0.01, 0.02, 0.01, 0.0, 0.01, 0.02), count=24, after=20.0
    )
    much = chances(
        SPREAD, 12.0, Doubt(0.2, 0.05, 0.05, 0.2, 0.08, 0.0, 0.1, 0.2), count=24, after=20.0
    )
    for found in (little, much):
        assert (np.diff(found.bands, axis=0) >= 0.0).all()
    width = [float((found.bands[2] - found.bands[0]).max()) for found in (little, much)]
    assert width[1] > 3.0 * width[0] > 0.0


def test_that_a_varied_scenario_changes_what_its_row_says() -> None:
    spread = drop(leadcore_rod("plug", PLUG), leadcore_rod("jig", JIG))
    row = np.array([1.5, 1.1, 0.9, 1.2, 0.95, 1.05, 1.3, 1.4])
    new = varied(spread, row)
    old_line, new_line = spread.rods[0].sections[0], new.rods[0].sections[0]
    assert_allclose(new_line.drag_multiplier, 1.5 * old_line.drag_multiplier, rtol=1e-12)
    assert_allclose(new_line.mass_per_length, 1.1 * old_line.mass_per_length, rtol=1e-12)
    assert_allclose(new.rods[1].lure.mass, 0.9 * JIG.mass, rtol=1e-12)
    assert_allclose(new.boat.half_time, 1.2 * spread.boat.half_time, rtol=1e-12)
    assert_allclose(new.speed, 0.95 * spread.speed, rtol=1e-12)
    assert_allclose(new.water.bottom.deepest, 1.05 * spread.water.bottom.deepest, rtol=1e-12)
    assert_allclose(new.rods[1].lure.end_area, 1.3 * JIG.end_area, rtol=1e-12)


TWO = drop(leadcore_rod("plug", PLUG, abeam=-2.0), leadcore_rod("jig", JIG, abeam=2.0))

HOLD_ERROR = 0.3
"""Of a shortest hold against running the sample itself at many holds, s; most are within 0.1 s."""


def test_that_samples_run_in_parts_are_the_same_as_all_at_once() -> None:
    rows = factors(Doubt(), 6)
    whole = sample(TWO, 10.0, rows, after=15.0)
    parts = [sample(TWO, 10.0, some, after=15.0) for some in (rows[:2], rows[2:])]
    apart = gathered(parts, rows)
    together = gathered([whole], rows)
    for name in ("bands", "clearance", "correlation", "touch"):
        # steps of a line do not depend on its neighbors, only Newton's last one does
        assert_allclose(getattr(apart, name), getattr(together, name), rtol=0.0, atol=1e-3)
    assert np.isnan(together.holds).all()


def test_that_the_shortest_holds_are_those_of_the_samples_themselves() -> None:
    deep = replace(bare(TWO), resolution=Resolution(12, 2))
    rows = factors(Doubt(), 8)
    search = HoldSearch(deep, 9.0, 1.0, 0.0, 60.0)
    found = shortest_holds(search, rows, LINES)
    tried, off = np.arange(0.0, 61.0, 5.0), []
    for row, ours in zip(rows, found, strict=True):
        alone = respond(varied(deep, row), tried, after=20.0)
        bottom = 9.0 * row[INPUTS.index("bottom")]
        for rod in (0, 1):
            least = bottom + np.nanmin(alone.low[:, rod, :, 2], axis=1)
            exact = shortest_hold(alone.holds, least, 1.0)
            assert exact is not None
            off.append(abs(ours[rod] - exact))
    assert max(off) < HOLD_ERROR
    assert np.median(off) < 0.1
    assert np.ptp(found[:, 0]) > 3.0


def test_that_a_bottom_out_of_reach_has_no_hold_and_one_within_it_takes_none() -> None:
    rows = factors(Doubt(), 4)
    for depth, expected in ((50.0, np.inf), (3.0, 0.0)):
        search = HoldSearch(bare(TWO), depth, 1.5, 0.0, 20.0)
        found = shortest_holds(search, rows, LINES)
        assert (found == expected).all()


def test_that_no_hold_is_shorter_than_the_shortest_asked_for() -> None:
    rows = factors(Doubt(), 4)
    free, held, at_once = (
        shortest_holds(HoldSearch(bare(TWO), depth, 1.0, shortest, 60.0), rows, LINES)
        for depth, shortest in ((9.0, 0.0), (9.0, 35.0), (3.0, 35.0))
    )
    assert free.min() < 30.0 < 40.0 < free.max()
    assert_allclose(held, np.maximum(free, 35.0), rtol=1e-5)
    assert (at_once == 35.0).all()


def test_that_quantiles_of_holds_are_samples_and_pass_on_what_is_beyond_the_longest() -> None:
    holds = np.array([[3.0, 1.0], [np.inf, 2.0], [5.0, np.inf], [4.0, np.inf], [1.0, np.inf]])
    low, middle, high = quantiles(holds, (0.1, 0.5, 0.9))
    assert low.tolist() == [1.0, 1.0]
    assert middle.tolist() == [4.0, np.inf]
    assert high.tolist() == [np.inf, np.inf]


def test_that_holds_are_found_with_the_bands_and_the_work_tells_its_share(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # so little is done before anything is told otherwise
    monkeypatch.setattr(advance, "BURST", 6)
    rows = factors(Doubt(), 5)
    heard: list[float] = []
    search = HoldSearch(bare(SPREAD), 12.0, 1.0, 0.0, 60.0)
    found = sample(
        SPREAD,
        10.0,
        rows,
        after=15.0,
        search=search,
        progress=lambda share: bool(heard.append(share)),
    )
    assert (found.holds > 0.0).all()
    assert found.longest == 60.0
    assert heard == sorted(heard)
    assert heard[-1] == 1.0
    # never far from one pulse to the next
    assert np.diff(heard).max() < 0.2
    with pytest.raises(Cancelled):
        sample(SPREAD, 10.0, rows, after=15.0, search=search, progress=lambda share: share > 0.6)
