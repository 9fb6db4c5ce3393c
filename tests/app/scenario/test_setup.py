"""From the user's terms to physics: sections, holds, and what is refused."""

from dataclasses import replace

import pytest

from app.common.units import COLOR, FOOT
from app.gear.catalog import Catalog
from app.scenario.file import loads
from app.scenario.setup import RodSetup, Setup
from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.tackle import LineSection
from physics.simulation.scenario import Mark
from physics.vessel.boat import Boat, Order
from physics.vessel.motion import PrescribedMotion
from tests.app.scenario.malformed import GOOD

CATALOG = Catalog.load(None)
ROD = RodSetup("port")
SETUP = Setup("A drop", Water(Bottom.level(9.0)), "skiff, 18 ft, one engine", (ROD,))


def parts(rod: RodSetup) -> list[tuple[str, float]]:
    return [(section.name, section.length) for section in rod.rod(CATALOG).sections]


@pytest.mark.parametrize(("told", "most"), [("kn", "4.9 kn"), ("mph", "5.7 mph")])
def test_that_a_speed_beyond_the_boat_is_refused_in_the_unit_of_the_drop(
    told: str, most: str
) -> None:
    short = Boat("stops short", trolling_speed=0.5, half_time=1.0, exponent=3.0)
    setup = replace(SETUP, boat=short, speed=2.0, speed_in=told)
    for field, wrong in (
        ("speed", replace(setup, speed=3.0)),
        ("orders", replace(setup, orders=(Order(1.0, "throttle", 3.0),))),
    ):
        with pytest.raises(InvalidValue, match=f"no more than {most} for a boat") as refused:
            wrong.scenario(CATALOG)
        assert refused.value.field == field


def test_that_backing_goes_out_only_when_the_leadcore_is_all_out() -> None:
    reel = COLOR.to_si(10.0)
    assert parts(replace(ROD, line_out=COLOR.to_si(5.0), on_reel=reel)) == [
        ("27 lb leadcore", COLOR.to_si(5.0)),
        ("50 lb mono leader", FOOT.to_si(20.0)),
    ]
    (backing, out), (core, all_of_it), _ = parts(
        replace(ROD, line_out=COLOR.to_si(12.0), on_reel=reel)
    )
    assert (backing, core) == ("50 lb braid backing", "27 lb leadcore")
    assert out == pytest.approx(COLOR.to_si(2.0), rel=1e-12)
    assert all_of_it == reel


def test_that_no_line_length_is_lost_between_leadcore_and_backing() -> None:
    for line_out in (0.95, 1.0, 1.02, 1.049, 1.051, 5.0, 300.0):
        for on_reel in (0.0, 0.03, 1.0, 100.0):
            rod = replace(ROD, line_out=line_out, on_reel=on_reel).rod(CATALOG)
            assert rod.line_out == pytest.approx(line_out + ROD.leader_length, rel=1e-12)


def test_that_a_rod_without_leadcore_fishes_its_backing() -> None:
    assert [name for name, _ in parts(replace(ROD, line=None))] == [
        "50 lb braid backing",
        "50 lb mono leader",
    ]


def test_that_own_sections_replace_line_and_leader() -> None:
    own = LineSection("wire", 60.0, 8e-4, 3e-3, 4e4)
    assert replace(ROD, sections=(own,)).rod(CATALOG).sections == (own,)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"line_out": COLOR.to_si(40.1)}, "rod 2, line_out"),
        ({"line_out": COLOR.to_si(1e9)}, "rod 2, line_out"),
        ({"line_out": -1.0}, "rod 2, line_out"),
        ({"line_out": float("nan")}, "rod 2, line_out"),
        ({"on_reel": -1.0}, "rod 2, on_reel"),
        ({"leader_length": 0.0}, "rod 2, leader_length"),
        ({"line": "27 lb"}, "rod 2, line"),
        ({"leader": "27 lb leadcore"}, "rod 2, leader"),
        ({"lure": "sinking plug"}, "rod 2, lure"),
        ({"height": -3.0}, "rod 2, height"),
        ({"name": ""}, "rod 2, name"),
        ({"name": "port"}, "rod 2, name"),
    ],
)
def test_that_a_rod_no_one_can_fish_is_refused_by_number(
    change: dict[str, object], field: str
) -> None:
    rod = replace(replace(ROD, name="starboard"), **change)  # type: ignore[arg-type]
    with pytest.raises(InvalidValue) as refused:
        replace(SETUP, rods=(ROD, rod)).scenario(CATALOG)
    assert refused.value.field == field


def test_that_water_too_shallow_for_the_lure_is_refused() -> None:
    long = replace(CATALOG.lures["sinking plug, 5 in"], length=0.5)
    shallow = replace(SETUP, water=Water(Bottom.level(0.4)), rods=(replace(ROD, lure=long),))
    with pytest.raises(
        InvalidValue, match=r"bottom is 0\.4; allowed: deeper than the lure of rod 1"
    ):
        shallow.scenario(CATALOG)


def test_that_an_unknown_boat_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(InvalidValue, match="did you mean 'skiff, 18 ft, one engine'"):
        replace(SETUP, boat="skiff, 18 ft").scenario(CATALOG)


def test_that_a_hold_goes_out_of_gear_at_the_mark_and_in_gear_after_it() -> None:
    setup = replace(SETUP, hold=15.0, mark=Mark(6.0, 12.0))
    assert setup.dropped().orders == (Order(12.0, "out of gear"), Order(27.0, "in gear"))


def test_that_a_hold_without_a_mark_starts_after_10_s() -> None:
    assert [order.time for order in replace(SETUP, hold=15.0).dropped().orders] == [10.0, 25.0]


def test_that_a_wait_puts_off_the_drop_and_without_a_hold_the_boat_stays_out() -> None:
    setup = replace(SETUP, wait=4.5, hold=15.0, mark=Mark(6.0, 12.0))
    assert setup.dropped().orders == (Order(16.5, "out of gear"), Order(31.5, "in gear"))
    assert replace(setup, hold=None).dropped().orders == (Order(16.5, "out of gear"),)
    unmarked = replace(SETUP, wait=4.5)
    assert unmarked.dropped() is unmarked
    assert [o.time for o in replace(unmarked, hold=15.0).dropped().orders] == [10.0, 25.0]


def test_that_a_hold_gives_way_to_gear_orders_and_to_prescribed_motion() -> None:
    ordered = replace(SETUP, hold=15.0, orders=(Order(3.0, "out of gear"),))
    assert ordered.dropped() is ordered
    moved = replace(SETUP, motion=PrescribedMotion(((0.0, 2.0, 0.0),)))
    assert moved.dropped() is moved
    with pytest.raises(InvalidValue, match="no hold with a prescribed motion"):
        replace(moved, hold=5.0).scenario(CATALOG)
    with pytest.raises(InvalidValue, match="no wait with a prescribed motion"):
        replace(moved, wait=5.0).scenario(CATALOG)


def test_that_a_hold_keeps_other_orders_in_time() -> None:
    orders = (Order(30.0, "wheel", 0.01),)
    times = [order.time for order in replace(SETUP, hold=15.0, orders=orders).dropped().orders]
    assert times == [10.0, 25.0, 30.0]


def test_that_the_scenario_carries_everything_over() -> None:
    setup = loads(GOOD, "my.toml", CATALOG)
    scenario = setup.scenario(CATALOG)
    assert (scenario.name, scenario.water, scenario.mark) == (setup.name, setup.water, setup.mark)
    assert scenario.boat == CATALOG.boats["skiff, 18 ft, one engine"]
    assert [rod.lure.name for rod in scenario.rods] == ["sinking plug, 5 in", "heavy jig, 3 oz"]
    assert scenario.speed == pytest.approx(2.5722222222, rel=1e-9)
