"""A fish on one line: where the others go, against steady tows, a run's own events and trials."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.answers.clear_speed import SLOWEST, candidates, clear_speed
from physics.answers.fights import FOLLOWED, Fight, followed, fought_scenario, line_in
from physics.answers.fought import SETTLED, fight_fish, sample_times
from physics.answers.near_lines import approaches
from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.tackle import Rod
from physics.progress import Cancelled
from physics.simulation.events import LINES_CLOSE, find_events
from physics.simulation.gaps import polyline_distance
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import LineRecord
from physics.vessel.boat import Boat, Order
from tests.physics.spreads import LEADCORE, LEADER, PLUG, drop

TWINS = Boat("twins", engines=2, one_engine=0.6)
STEADY = 0.02  # m; runs of a search are coarse
KNOT = 1852.0 / 3600.0
STEP = 0.1 * KNOT


def rod(name: str, line: float, abeam: float = 0.0, **place: float) -> Rod:
    return Rod(name, (replace(LEADCORE, length=line), LEADER), PLUG, abeam=abeam, **place)


SPREAD = (rod("hooked", 40.0, -3.0), rod("long", 50.0, 0.0), rod("short", 30.0, 3.0))


def over(depth: float, *rods: Rod, **changes) -> Scenario:
    """In gear at 5 kn over level ground."""
    water = Water(Bottom.level(depth))
    return drop(*(rods or SPREAD), boat=TWINS, orders=(), water=water, **changes)


def fight(**changes) -> Fight:
    return Fight(**{"hooked": "hooked", "rate": 0.6, "left": 10.0, **changes})


# ---- what is done


def test_that_a_line_followed_until_it_is_in_is_in_then() -> None:
    scenario, slow = over(30.0), fight(rate=0.25)
    assert followed(scenario, fight()) == FOLLOWED
    assert followed(scenario, slow) == line_in(scenario, slow) > FOLLOWED
    whole = fought_scenario(scenario, slow)
    run = simulate(whole)
    out = run.lines[0].line_out(np.array([whole.duration - 1.0, whole.duration]))
    assert out[0] > 10.01
    assert out[1] == pytest.approx(10.0, abs=1e-6)


def test_that_wheel_orders_stand_and_gear_and_mark_do_not() -> None:
    given = (Order(1.0, "out of gear"), Order(2.0, "wheel", 0.01), Order(3.0, "throttle", 5.0))
    whole = fought_scenario(replace(over(30.0), orders=given), fight())
    assert [order.action for order in whole.orders] == ["wheel", "engines"]
    assert [order.action for order in whole.line_orders] == ["fish on", "line to"]


@pytest.mark.parametrize(
    ("changes", "match"),
    [
        ({"hooked": "nobody"}, "one of hooked, long, short"),
        ({"left": 40.0}, "less than is out"),
        ({"left": 5.0, "fish_depth": 20.0}, "line left out reaches"),
    ],
)
def test_that_what_cannot_be_done_is_refused(changes: dict, match: str) -> None:
    with pytest.raises(InvalidValue, match=match):
        fought_scenario(over(30.0), fight(**changes))


def test_that_one_engine_is_no_answer_for_a_boat_that_has_one() -> None:
    scenario = replace(over(30.0), boat=Boat("single", engines=1))
    with pytest.raises(InvalidValue, match="one engine only"):
        fought_scenario(scenario, fight())
    assert fought_scenario(scenario, fight(throttle=2.0)).orders[0].action == "throttle"


# ---- where the others go


def test_that_the_others_settle_where_a_steady_tow_at_that_speed_runs() -> None:
    found = fight_fish(over(60.0), fight(follow=200.0))
    assert found.speed == pytest.approx(0.6 * 2.57, rel=1e-3)
    slow = simulate(over(60.0, *SPREAD[1:], speed=0.6 * 2.57, duration=1.0))
    fast = simulate(over(60.0, *SPREAD[1:], duration=1.0))
    for number, line in enumerate(found.others):
        assert line.settles == pytest.approx(slow.run_depth(number), abs=STEADY)
        assert line.before == pytest.approx(fast.run_depth(number), abs=STEADY)
        assert line.settles - line.before > 0.5


def test_that_a_line_is_settled_from_then_on_and_not_before() -> None:
    for line in fight_fish(over(60.0), fight(follow=200.0)).others:
        assert line.settled is not None
        away = np.abs(line.depth - line.settles)
        assert (away[line.time >= line.settled] <= SETTLED).all()
        assert away[line.time < line.settled][-1] > SETTLED


def test_that_a_line_followed_too_short_has_not_settled() -> None:
    assert fight_fish(over(60.0), fight(follow=12.0)).lines[1].settled is None


def test_that_touching_is_found_when_the_events_of_the_same_run_find_it() -> None:
    scenario = over(4.6)
    found = fight_fish(scenario, fight(needed=0.5))
    run = simulate(fought_scenario(scenario, fight()))
    touched = {}
    for event in find_events(run):
        if event.kind in ("lure touches", "line touches"):
            touched.setdefault(event.rod, event.time - fight().at)
    assert "long" in touched
    for line in found.others:
        if line.rod in touched:
            assert line.touches == pytest.approx(touched[line.rod], abs=0.15)
            assert line.near is not None
            assert line.near < line.touches
            assert line.fouls == line.near
        else:
            assert line.touches is None
    assert found.first is not None
    assert found.first.rod == "long"


def test_that_least_heights_are_those_of_the_lowest_point() -> None:
    found = fight_fish(over(30.0), fight())
    for line in found.lines:
        assert line.least == pytest.approx(30.0 - line.low.max(), abs=1e-9)
        assert line.least_at == line.time[line.low.argmax()]


def test_that_over_a_slope_the_ground_is_that_under_the_line() -> None:
    """Level as far as the boat has come, then up: the lines astern have not come there yet."""
    level, shoal = over(30.0), Bottom(((0.0, 30.0), (60.0, 30.0), (140.0, 4.0)))
    found = fight_fish(replace(level, water=Water(shoal)), fight(follow=150.0))
    deep = fight_fish(level, fight())
    ramp = found.others[0]
    assert ramp.ground[0] == pytest.approx(30.0)
    assert ramp.ground[-1] == pytest.approx(4.0)
    assert ramp.touches is not None
    assert deep.others[0].touches is None
    # over 30 m on at 2.57 to 1.54 m/s, with some 50 m of line astern
    assert ramp.touches > 30.0


def test_that_the_hooked_line_does_nothing_to_the_others() -> None:
    quick = fight_fish(over(30.0), fight(rate=2.0, left=2.0, follow=90.0))
    still = fight_fish(over(30.0), fight(rate=0.02, fish=1.0, follow=90.0))
    for one, other in zip(quick.others, still.others, strict=True):
        np.testing.assert_allclose(one.depth, other.depth, atol=1e-3)
    # else it would prove nothing: the hooked lines themselves end 0.85 m apart
    assert abs(quick.lines[0].settles - still.lines[0].settles) > 0.5


# ---- lines that come near


CROSSING = (
    rod("hooked", 45.0, 0.0, astern=0.0, height=1.0),
    rod("over", 25.0, 0.15, astern=3.0, height=4.0),
    rod("wide", 40.0, 6.0),
)
"""The hooked line runs under the shorter one, and comes up through it with its fish."""


def test_that_a_line_that_comes_up_through_another_crosses_it() -> None:
    up = fight(fish_depth=0.3, fish_rate=0.5, rate=0.05, left=44.0, follow=60.0)
    scenario = over(30.0, *CROSSING, speed=2.0)
    found = fight_fish(scenario, up)
    run = simulate(fought_scenario(scenario, up))
    first = [
        event.time - up.at
        for event in find_events(run)
        if event.kind == "lines close" and event.rod == "hooked and over"
    ]
    hooked, above, wide = found.lines
    assert above.to_hooked is not None
    assert above.to_hooked.crosses is not None
    assert above.crosses == (above.to_hooked.crosses, None)
    assert hooked.crosses == (above.to_hooked.crosses, "over")
    # seen from above they cross before they are as near as that
    assert first
    assert above.to_hooked.crosses <= first[0] + 0.6
    assert wide.crosses is None
    assert wide.to_hooked is not None
    times = sample_times(up.at, up.at + 60.0)
    gaps = [
        polyline_distance(run.lines[0].nodes(float(t)), run.lines[2].nodes(float(t)))
        for t in times[::4]
    ]
    assert wide.to_hooked.apart == pytest.approx(min(gaps), abs=0.05)


@pytest.mark.parametrize(("between", "crosses"), [(0.8, 4.0), (1.2, None), (-0.8, 4.0)])
def test_that_lines_cross_seen_from_above_only_with_little_between(
    between: float, crosses: float | None
) -> None:
    """One lies east-west; one comes from the south until, at 4 s, its end is over the other."""
    times = np.array([0.0, 10.0])

    def record(name: str, ends: np.ndarray, pace: float) -> LineRecord:
        place = np.stack([ends.T, ends.T])
        place[1, 1] += 10.0 * pace
        speed = np.zeros_like(place)
        speed[:, 1] = pace
        return LineRecord(rod(name, 10.0), times, [place, speed, np.zeros_like(speed)])

    across = record("across", np.array([[-5.0, 0.0, -3.0], [5.0, 0.0, -3.0]]), 0.0)
    high = -3.0 + between
    coming = record("coming", np.array([[0.3, -8.0, high], [0.0, -2.0, high]]), 0.5)
    found = approaches([across, coming], 0.0, 10.0, (0.3, 1.0))[0, 1]
    assert found.apart == pytest.approx(abs(between), abs=1e-6)
    assert found.crosses == (None if crosses is None else pytest.approx(crosses, abs=0.5))


def test_that_lines_side_by_side_do_not_cross_whatever_the_heading() -> None:
    north = fight_fish(over(30.0), fight())
    aslant = fight_fish(over(30.0, heading=0.8), fight())
    for one, other in zip(north.lines, aslant.lines, strict=True):
        assert one.crosses is None
        assert other.crosses is None
        for pair in ((one.to_hooked, other.to_hooked), (one.to_other, other.to_other)):
            if pair[0] is not None and pair[1] is not None:
                assert pair[0].apart == pytest.approx(pair[1].apart, abs=0.02)
                assert pair[0].apart > LINES_CLOSE


# ---- the speed that keeps them clear


@pytest.fixture(scope="module")
def cleared():
    scenario = over(8.0)
    return scenario, clear_speed(scenario, fight(needed=0.6), STEP)


def test_that_the_clear_speed_clears_and_a_fifth_of_a_knot_less_does_not(cleared) -> None:
    scenario, found = cleared
    assert found.ran is not None
    assert found.ran.clears
    assert found.speed == found.ran.fight.throttle
    assert found.ran.speed == pytest.approx(found.speed, rel=1e-3)
    assert found.fouls_at == pytest.approx(found.speed - STEP)
    slower = replace(found.ran.fight, throttle=found.speed - 0.2 * KNOT, follow=200.0)
    assert not fight_fish(scenario, slower).clears


def test_that_the_clear_speed_is_the_one_whose_steady_tow_just_clears(cleared) -> None:
    _, found = cleared
    depths = [
        simulate(over(60.0, *SPREAD[1:], speed=v, duration=1.0)).run_depth(0)
        for v in (found.speed, found.fouls_at)
    ]
    # the lure's tail hangs a little under its middle
    assert depths[0] < 8.0 - 0.6 < depths[1] + 0.1


def test_that_no_speed_is_found_where_the_trolling_speed_fouls() -> None:
    found = clear_speed(over(3.0), fight(needed=0.6), 0.25)
    assert found.speed is None
    assert found.ran is None


def test_that_in_deep_water_the_slowest_tried_clears() -> None:
    found = clear_speed(over(100.0), fight(needed=0.6), 0.25)
    assert found.speed == SLOWEST
    assert found.fouls_at is None


def test_that_speeds_tried_are_whole_steps_and_the_trolling_speed() -> None:
    assert candidates(1.1, 0.25) == [0.5, 0.75, 1.0, 1.1]
    assert candidates(1.0, 0.25) == [0.5, 0.75, 1.0]


def test_that_a_lone_rod_has_no_others_to_foul() -> None:
    alone = over(6.0, SPREAD[0])
    found = fight_fish(alone, fight(needed=0.5))
    assert found.clears
    assert found.others == ()
    assert clear_speed(alone, fight(needed=0.5), 0.5).speed == SLOWEST


def test_that_the_search_tells_how_far_it_is_and_can_be_stopped() -> None:
    shares: list[float] = []

    def progress(share: float) -> bool:
        shares.append(share)
        return False

    clear_speed(over(8.0), fight(needed=0.6), 0.25, progress)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    with pytest.raises(Cancelled):
        clear_speed(over(8.0), fight(needed=0.6), 0.25, lambda share: share > 0.2)
