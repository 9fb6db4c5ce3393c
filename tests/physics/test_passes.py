"""A pass over a rip: clearances against a steady tow, foul times, and either way over."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.answers.passes import Pass, passes
from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.tackle import Rod
from physics.progress import Cancelled
from physics.simulation.run import simulate
from tests.physics.spreads import JIG, LEADCORE, LEADER, PLUG, drop, leadcore_rod

STEADY = 0.02  # m; a slope so gentle that the tow hardly knows it


def rip(crest: float, flank: float = 60.0, deep: float = 20.0) -> Bottom:
    """Level water and a crest 100 m on."""
    return Bottom(((0.0, deep), (100.0 - flank, deep), (100.0, crest), (100.0 + flank, deep)))


def over(bottom: Bottom, *rods, heading: float = 0.0, **more):
    scenario = drop(*(rods or (leadcore_rod("rod"),)), heading=heading, orders=())
    return replace(scenario, water=Water(bottom, **more))


def running_low(scenario) -> float:
    """Depth of the lowest point in steady tow over deep water, m."""
    deep = replace(scenario, water=Water(Bottom.level(100.0)), duration=2.0)
    return -float(simulate(deep).lines[0].nodes(0.0)[2].min())


def test_that_clearance_over_a_crest_is_its_depth_less_the_running_depth() -> None:
    scenario = over(rip(15.0))
    (line,) = passes([scenario])[0].lines
    assert_allclose(line.clearance, 15.0 - running_low(scenario), atol=STEADY)
    assert_allclose(line.along, 100.0, atol=1.0)
    assert line.astern > 10.0
    # the boat made good what the line is behind before the line came there
    assert_allclose(line.time * scenario.speed, line.along + line.astern, atol=0.1)
    assert line.fouls is None


@pytest.mark.parametrize("crest", [9.0, 4.0])
def test_that_a_crest_narrower_than_the_way_between_two_looks_is_not_missed(crest: float) -> None:
    # 0.4 m wide, 0.64 m a look: nodes may straddle it, and an element between them span it
    scenario = over(rip(crest, 0.2))
    (line,) = passes([scenario])[0].lines
    low = running_low(scenario)
    assert crest - low <= line.clearance < crest - low + 0.4
    assert_allclose(line.along, 100.0, atol=0.2)
    assert passes([scenario], crest - low + 0.5)[0].first is not None


def test_that_the_line_that_runs_deepest_fouls_first_and_where_the_slope_meets_it() -> None:
    low = running_low(over(rip(15.0)))
    # a flank gentler than the line's own slope, so that the lure meets it and not the line
    crest, flank, sea = low - 0.4, 95.0, low + 1.0
    deep, high = leadcore_rod("deep"), Rod("high", (replace(LEADCORE, length=20.0), LEADER), PLUG)
    found = passes([over(rip(crest, flank, sea), deep, high)])[0]
    assert found.first is not None
    assert found.first.rod == "deep"
    assert not found.clears
    assert found.lines[1].fouls is None
    meets = 100.0 - flank * (low - crest) / (sea - crest)
    assert_allclose(found.first.fouls_along, meets, atol=2.0)
    assert 0.0 < found.first.fouls <= found.first.time
    # the boat is as far ahead as over the crest when the lure comes to the slope
    ahead = found.first.fouls * over(rip(crest)).speed - meets
    assert_allclose(ahead, found.first.astern, atol=3.0)


def test_that_the_first_line_to_foul_is_the_first_in_time() -> None:
    (line,) = passes([over(rip(15.0))])[0].lines
    late, early = replace(line, rod="late", fouls=9.0), replace(line, rod="early", fouls=0.0)
    for order in ((late, line, early), (early, late, line)):
        assert Pass(order).first == early
    assert Pass((line,)).clears


def test_that_a_clearance_asked_for_is_missed_before_the_ground_is_touched() -> None:
    scenario = over(rip(running_low(over(rip(15.0))) - 1.0))
    touch, early = (passes([scenario], needed)[0].first for needed in (0.0, 2.0))
    assert touch is not None
    assert early is not None
    assert early.fouls < touch.fouls
    assert passes([over(rip(15.0))], 15.0 - running_low(scenario) + 0.1)[0].first is not None


def test_that_either_way_over_an_even_rip_is_the_same_pass() -> None:
    bottom = Bottom(((-80.0, 20.0), (0.0, 14.0), (80.0, 20.0)), bearing=0.7)
    (one,) = passes([over(bottom, heading=0.7)])[0].lines
    (back,) = passes([over(bottom, heading=0.7 + np.pi)])[0].lines
    for name in ("clearance", "time", "astern"):
        assert_allclose(getattr(back, name), getattr(one, name), atol=1e-3)
    assert_allclose(back.along, -one.along, atol=1e-3)


def test_that_a_tide_along_the_track_changes_when_and_not_how_near() -> None:
    still = passes([over(rip(14.0))])[0].lines[0]
    tide = passes([over(rip(14.0), current=(0.0, 0.8))])[0].lines[0]
    assert_allclose(tide.clearance, still.clearance, atol=STEADY)
    assert tide.time < 0.85 * still.time


@pytest.mark.parametrize("lines", [1, 2, 16])
def test_that_many_passes_at_once_are_each_as_alone(lines: int, monkeypatch) -> None:
    monkeypatch.setattr("physics.answers.passes.BATCH_LINES", lines)
    told: list[float] = []
    many = [over(rip(crest), leadcore_rod("rod", lure)) for crest, lure in
            ((14.0, JIG), (9.0, JIG), (15.0, JIG))]  # fmt: skip
    found = passes(many, progress=lambda share: bool(told.append(share)))
    assert told == sorted(told)
    assert told[-1] == 1.0
    for together, scenario in zip(found, many, strict=True):
        (alone,) = passes([scenario])[0].lines
        assert_allclose(together.lines[0].clearance, alone.clearance, atol=1e-3)


def test_that_no_pass_is_refused_and_long_work_can_be_stopped() -> None:
    with pytest.raises(InvalidValue, match="a profile to pass over"):
        passes([over(Bottom.level(20.0))])
    with pytest.raises(InvalidValue, match="not along its slopes"):
        passes([over(rip(14.0), heading=np.pi / 2)])
    with pytest.raises(InvalidValue, match="passed within two hours"):
        passes([over(Bottom(((0.0, 20.0), (10_000.0, 14.0), (20_000.0, 20.0))))])
    with pytest.raises(Cancelled):
        passes([over(rip(14.0))], progress=lambda share: share > 0.2)
