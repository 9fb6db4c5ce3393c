"""The card's numbers, run again one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.common.units import COLOR, FOOT, KNOT, METER, MILE_PER_HOUR
from app.gear.catalog import Catalog
from app.planning import card_table
from app.planning.card_table import CardNumbers, Times, card_numbers
from app.planning.situation import PlanRequest
from app.scenario.card_wish import CardWish
from app.scenario.setup import RodSetup, Setup
from physics.environment.water import Bottom
from physics.line.mesh import Resolution
from physics.line.tackle import LineSection
from physics.progress import Cancelled
from physics.simulation.events import LIFTING
from physics.simulation.run import simulate
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Order

TENTH_SECOND = 0.1
TENTH_FOOT = FOOT.to_si(0.1)

OWN_LINE = (LineSection("own", 70.0, 9e-4, 2.4e-3, 800.0), LineSection("end", 5.0, 5e-4, 2e-4, 900))


@pytest.fixture(scope="module")
def numbers(demo: Setup, catalog: Catalog) -> CardNumbers:
    """Of the demo's jig alone, and of a rod of the user's own line."""
    jig = demo.rods[1]
    own = RodSetup("own", lure="heavy jig, 3 oz", sections=OWN_LINE)
    rods = (jig, own, replace(jig, name="other side", abeam=-jig.abeam))
    coarse = Resolution(16, 2)
    return card_numbers(PlanRequest(replace(demo, rods=rods, resolution=coarse)), catalog)


def run(numbers: CardNumbers, catalog: Catalog, out: float, hold: float) -> Trajectory:
    """The jig's drop on its own, over the deepest bottom of the card and then some."""
    setup = numbers.request.setup
    rod = replace(setup.rods[0], line_out=out)
    water = replace(setup.water, bottom=Bottom.level(200.0))
    orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
    alone = replace(
        setup, rods=(rod,), water=water, mark=None, orders=orders, hold=None, duration=hold + 40.0
    )
    return simulate(alone.scenario(catalog))


@pytest.mark.parametrize(("i", "j"), [(1, 0), (2, 2), (4, 3)])
def test_that_holds_and_sinking_on_are_what_a_drop_gives(
    numbers: CardNumbers, catalog: Catalog, i: int, j: int
) -> None:
    table = numbers.tackles[0]
    hold, depth, clear = table.hold[i, j], table.depths[i], numbers.request.clearance
    least = []
    for wrong in (-TENTH_SECOND, 0.0, TENTH_SECOND):
        trajectory = run(numbers, catalog, float(table.line_out[j]), hold + wrong)
        times = np.arange(0.0, hold + 30.0, 0.02)
        nodes = trajectory.lines[0].nodes(times)
        least.append(depth + float(nodes[:, 2].min()))
        if wrong == 0.0:
            deep = times[trajectory.depth(0, times).argmax()]
            assert table.times[0].sinks_on[i, j] == pytest.approx(deep - hold, abs=TENTH_SECOND)
    assert least[1] == pytest.approx(clear, abs=TENTH_FOOT)
    assert least[0] > clear > least[2]


def test_that_the_wait_gives_the_longest_window(numbers: CardNumbers, catalog: Catalog) -> None:
    table, aim = numbers.tackles[0], numbers.found.aim
    i, j = 2, 2
    hold, mark = table.hold[i, j], table.depths[i] - numbers.mark_height
    trajectory = run(numbers, catalog, float(table.line_out[j]), hold)
    times = np.arange(0.0, hold + 35.0, 0.02)
    line = trajectory.lines[0]
    place, rate = line.lure(times), line.lure_velocity(times)[:, 2]
    way = np.array(trajectory.track.at(0.0).velocity)
    good = (np.abs(-place[:, 2] - mark) <= aim.mark.band) & (rate > LIFTING)

    def window(wait: float) -> float:
        there = place[:, :2] + wait * way
        return 0.02 * float((good & (np.hypot(*there.T) <= aim.radius)).sum())

    longest = max(window(0.5 * n) for n in range(120))
    assert longest > 1.0
    assert window(float(table.times[0].wait[i, j])) == pytest.approx(longest, abs=0.3)


def test_that_running_depths_are_those_of_the_steady_tow(
    numbers: CardNumbers, catalog: Catalog
) -> None:
    table = numbers.tackles[0]
    setup = numbers.request.setup
    for i, j in ((0, 4), (3, 2), (5, 0)):
        rod = replace(setup.rods[0], line_out=float(table.line_out[j]))
        tow = replace(setup, rods=(rod,), speed=float(table.speeds[i]), mark=None, duration=1.0)
        trajectory = simulate(tow.scenario(catalog))
        assert table.run_depth[i, j] == pytest.approx(trajectory.run_depth(0), abs=TENTH_FOOT)


def test_that_rows_and_columns_lie_round_about_the_setup(numbers: CardNumbers) -> None:
    table = numbers.tackles[0]
    assert FOOT.from_si(table.depths) == pytest.approx([20, 25, 30, 35, 40, 45])
    assert COLOR.from_si(table.line_out) == pytest.approx([6, 7, 8, 9, 10])
    assert KNOT.from_si(table.speeds) == pytest.approx([6, 6.5, 7, 7.5, 8, 8.5])


def test_that_rods_rigged_alike_share_a_table_and_own_lines_stay_as_they_are(
    numbers: CardNumbers,
) -> None:
    assert [table.rods for table in numbers.tackles] == [("starboard", "other side"), ("own",)]
    assert numbers.tackles[1].line_out.tolist() == [75.0]
    assert numbers.tackles[1].hold.shape == (6, 1)


def test_that_holds_grow_with_depth_and_shrink_with_line(numbers: CardNumbers) -> None:
    hold = numbers.tackles[0].hold
    assert np.nanmin(np.diff(hold, axis=0)) > 0.0
    assert np.nanmax(np.diff(hold, axis=1)) < 0.0


def test_that_what_is_out_of_reach_has_no_number(demo: Setup, catalog: Catalog) -> None:
    deep = replace(
        demo,
        rods=(replace(demo.rods[0], line_out=COLOR.to_si(1.0)),),
        water=replace(demo.water, bottom=Bottom.level(40.0)),
        mark=None,
        resolution=Resolution(8, 2),
    )
    numbers = card_numbers(PlanRequest(deep), catalog, METER)
    table = numbers.tackles[0]
    assert COLOR.from_si(table.line_out) == pytest.approx([1, 2, 3, 4, 5])
    assert table.depths == pytest.approx([30, 35, 40, 45, 50, 55])
    for values in (table.hold, table.times[0].sinks_on, table.times[0].wait):
        assert np.isnan(values[-1, 0])
    assert np.isfinite(table.run_depth).all()


def rows_and_columns(
    setup: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> CardNumbers:
    """A card without its runs: where its numbers stand."""
    monkeypatch.setattr(
        card_table, "_times",
        lambda scenario, *rest: Times(scenario.speed, *np.zeros((3, len(rest[1]), 1))),
    )  # fmt: skip
    monkeypatch.setattr(card_table, "_run_depths", lambda *_: np.zeros((1, 1)))
    return card_numbers(PlanRequest(setup), catalog)


def test_that_the_case_asked_about_has_its_row_and_its_column(
    demo: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    rods = (
        replace(demo.rods[0], line_out=COLOR.to_si(8.0)),
        replace(demo.rods[0], name="short", line_out=COLOR.to_si(4.5)),
    )
    water = replace(demo.water, bottom=Bottom.level(FOOT.to_si(38.0)))
    setup = replace(demo, rods=rods, water=water, speed=MILE_PER_HOUR.to_si(8.3), speed_in="mph")
    (table,) = rows_and_columns(setup, catalog, monkeypatch).tackles
    assert FOOT.from_si(table.depths) == pytest.approx([30, 35, 38, 40, 45, 50, 55])
    assert COLOR.from_si(table.line_out) == pytest.approx([4, 4.5, 5, 7, 8])
    speeds = MILE_PER_HOUR.from_si(table.speeds)
    assert speeds == pytest.approx([7, 7.5, 8, 8.3, 8.5, 9, 9.5])


def test_that_a_reel_has_no_columns_for_leadcore_it_does_not_hold(
    demo: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    def columns(out: float, on_reel: float) -> list[float]:
        rod = replace(demo.rods[0], line_out=COLOR.to_si(out), on_reel=COLOR.to_si(on_reel))
        numbers = rows_and_columns(replace(demo, rods=(rod,)), catalog, monkeypatch)
        found: list[float] = COLOR.from_si(numbers.tackles[0].line_out).round(6).tolist()
        return found

    assert columns(8.0, 8.0) == [4, 5, 6, 7, 8]
    assert columns(3.0, 3.0) == [1, 2, 3]
    assert columns(10.5, 10.0) == [7, 8, 9, 10, 10.5]
    assert columns(3.0, 10.0) == [1, 2, 3, 4, 5]


def test_that_a_card_has_the_depths_and_the_second_speed_wished_for(
    demo: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    wish = CardWish((FOOT.to_si(22.0), FOOT.to_si(41.0)), KNOT.to_si(5.2))
    numbers = rows_and_columns(replace(demo, card=wish), catalog, monkeypatch)
    table = numbers.tackles[0]
    assert FOOT.from_si(table.depths) == pytest.approx([22, 30, 41]), "the one asked about too"
    assert KNOT.from_si(np.array([t.speed for t in table.times])) == pytest.approx([7.5, 5.2])
    assert 5.2 in KNOT.from_si(table.speeds).round(6)
    alike = replace(demo, card=CardWish(slower=demo.speed))
    assert len(rows_and_columns(alike, catalog, monkeypatch).tackles[0].times) == 1


def test_that_holds_at_the_second_speed_are_those_of_a_card_at_that_speed(
    demo: Setup, catalog: Catalog
) -> None:
    quick = replace(demo, rods=demo.rods[1:], resolution=Resolution(8, 2))
    slow = replace(quick, speed=KNOT.to_si(5.0), mark=None)
    both = replace(quick, mark=None, card=CardWish(slower=slow.speed))
    two, one = (card_numbers(PlanRequest(s), catalog).tackles[0] for s in (both, slow))
    assert two.times[1].hold == pytest.approx(one.hold, abs=TENTH_SECOND, nan_ok=True)
    assert np.nanmax(np.abs(two.hold - one.hold)) > 1.0


def test_that_the_work_on_a_card_can_be_stopped(demo: Setup, catalog: Catalog) -> None:
    with pytest.raises(Cancelled):
        card_numbers(PlanRequest(demo), catalog, progress=lambda share: share > 0.01)
