"""What the helm of a run says at an instant, whatever is ordered for later."""

from dataclasses import replace

import pytest

from app.common.units import KNOT
from app.gear.catalog import Catalog
from app.scenario.setup import Setup
from app.session.helm_reading import HelmReading
from physics.simulation.run import Run
from physics.vessel.boat import Order
from physics.vessel.motion import PrescribedMotion

ORDERS = (
    Order(2.0, "mark", 9.0),
    Order(6.0, "out of gear"),
    Order(11.0, "in gear"),
    Order(12.0, "throttle", KNOT.to_si(5.0)),
    Order(13.0, "engines", 1),
    Order(14.0, "wheel", -0.02),
    Order(20.0, "out of gear"),
)


@pytest.fixture(scope="module")
def run(demo: Setup, catalog: Catalog) -> Run:
    run = Run([replace(demo, mark=None, orders=ORDERS).scenario(catalog)])
    # the boat obeys no order before she has come to it
    run.boat(25.0)
    return run


def test_that_orders_for_later_do_not_count_yet(run: Run) -> None:
    early = HelmReading(run, 1.0)
    assert early.in_gear
    assert early.mark is None
    assert early.spells == []
    assert early.hold_so_far is None
    assert early.last_hold is None
    assert early.throttle[1] == 2
    assert early.wheel == 0.0


def test_that_a_hold_is_counted_from_out_of_gear(run: Run) -> None:
    out = HelmReading(run, 8.5)
    assert not out.in_gear
    assert out.hold_so_far == pytest.approx(2.5)
    assert out.last_hold is None
    back = HelmReading(run, 15.0)
    assert back.hold_so_far is None
    assert back.last_hold == pytest.approx(5.0)


def test_that_lever_throttle_engines_and_wheel_are_those_last_ordered(run: Run) -> None:
    late = HelmReading(run, 15.0)
    assert late.in_gear
    assert late.throttle == (pytest.approx(KNOT.to_si(5.0)), 1)
    assert late.wheel == pytest.approx(-0.02)


def test_that_a_mark_lies_where_the_boat_was(run: Run) -> None:
    mark, boat = HelmReading(run, 15.0).mark, run.boat(2.0)
    assert mark is not None
    assert (mark.time, mark.x, mark.y, mark.depth) == (2.0, boat.x, boat.y, 9.0)


def test_that_a_wait_ends_once_for_each_mark(run: Run) -> None:
    assert HelmReading(run, 1.0).wait_ends(7.0) is None
    alone = Run([replace(run.scenarios[0], orders=(ORDERS[0],))])
    alone.boat(5.0)
    assert HelmReading(alone, 3.0).wait_ends(7.0) == pytest.approx(9.0)
    assert HelmReading(run, 15.0).wait_ends(7.0) is None


def test_that_a_hold_ends_by_itself_only_without_an_order_to_go_back(run: Run) -> None:
    assert HelmReading(run, 8.5).hold_ends(7.0) is None
    assert HelmReading(run, 21.0).hold_ends(7.0) == pytest.approx(27.0)
    assert HelmReading(run, 15.0).hold_ends(7.0) is None


def test_that_a_prescribed_motion_answers_no_helm(run: Run) -> None:
    motion = PrescribedMotion(((0.0, 3.0, 0.0),))
    reading = HelmReading(Run([replace(run.scenarios[0], orders=(), motion=motion)]), 5.0)
    assert not reading.under_orders
    assert reading.throttle == (pytest.approx(3.0), 1)
    assert reading.wheel == 0.0
    assert reading.wait_ends(1.0) is None
