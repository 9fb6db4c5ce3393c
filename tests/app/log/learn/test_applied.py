from dataclasses import replace

from app.common.units import COLOR, KNOT
from app.gear.catalog import Catalog
from app.log.learn.applied import applied
from app.log.learn.suggest import Change
from app.scenario.setup import RodSetup, Setup
from physics.environment.water import Bottom, Water

CATALOG = Catalog.load(None)
LURES = list(CATALOG.lures)[:2]
SETUP = Setup(
    "two rods", Water(Bottom.level(15.0)), next(iter(CATALOG.boats)),
    (RodSetup("port", lure=LURES[0]), RodSetup("starboard", lure=LURES[0], abeam=1.0)),
)  # fmt: skip


def do(*changes: Change):
    return applied(SETUP, changes, CATALOG)


def test_that_hold_and_speed_are_the_setups() -> None:
    done = do(Change("hold", 15.0, 20.0), Change("speed", KNOT.to_si(7.5), KNOT.to_si(7.0)))
    assert (done.setup.hold, done.setup.speed) == (20.0, KNOT.to_si(7.0))
    assert done.left == ()


def test_that_a_lure_goes_on_one_of_the_rods_that_had_the_old_one() -> None:
    done = do(Change("lure", LURES[0], LURES[1]))
    assert [rod.lure for rod in done.setup.rods] == [LURES[1], LURES[0]]


def test_that_one_line_gets_the_colors() -> None:
    done = do(Change("colors", 5 * COLOR.size, 7 * COLOR.size))
    assert [rod.line_out for rod in done.setup.rods] == [7 * COLOR.size, 5 * COLOR.size]


def test_that_what_a_setup_has_not_is_left_to_the_skipper() -> None:
    left = (Change("tide", "with", "into"), Change("lure", LURES[0], "no such lure"))
    assert do(*left).left == left
    assert do(*left).setup == SETUP


def test_that_a_setup_that_is_there_already_stays_as_it_is() -> None:
    there = replace(SETUP, hold=20.0)
    assert applied(there, [Change("hold", 15.0, 20.0)], CATALOG).setup == there


def test_that_doubt_is_that_of_the_tackle_set_up() -> None:
    measured = replace(CATALOG, spreads={LURES[1]: {"mass": 0.01}})
    one = replace(SETUP, rods=SETUP.rods[:1])
    there = applied(one, [Change("lure", LURES[0], LURES[1])], measured).setup
    assert there.doubt == replace(SETUP.doubt, lure_weight=0.01)
    assert applied(there, [Change("lure", LURES[1], LURES[0])], measured).setup == one
