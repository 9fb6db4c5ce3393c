"""Orders as rows in time: what may be typed, what is refused, what is obeyed now, what is kept."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from app.common.units import (
    COLOR,
    FOOT,
    FOOT_PER_SECOND,
    KILOGRAM,
    KNOT,
    METER,
    METER_PER_SECOND,
    POUND,
)
from app.gear.catalog import Catalog
from app.ground.orders.now import also_told, given_to_lines, in_force, kept, not_listed
from app.ground.orders.rows import (
    HELM_ACTIONS,
    Refused,
    choices,
    doubled,
    new_order,
    new_time,
    out_before,
    removed,
    replaced,
    rows,
    shifted,
    task_words,
    with_action,
    with_rate,
    with_rows,
    with_time,
    with_value,
)
from app.scenario import file as scenario_file
from app.scenario.order_tables import MOST_ORDERS
from app.scenario.order_words import (
    HELM,
    WHAT,
    AnyOrder,
    OrderUnits,
    course_words,
    rate_words,
    seconds,
    sentence,
    value_words,
)
from app.scenario.setup import Setup
from physics.line.line_orders import LINE_ACTIONS, LineOrder
from physics.simulation.run import Run
from physics.simulation.scenario import Mark
from physics.vessel.boat import ACTIONS, Leg, Order
from physics.vessel.motion import PrescribedMotion

FEET = OrderUnits()
METERS = OrderUnits(METER, METER_PER_SECOND, KILOGRAM)


@pytest.fixture
def setup(demo: Setup) -> Setup:
    """The first demo with orders of both kinds, given out of their order in time."""
    one, two = (rod.name for rod in demo.rods)
    return replace(
        demo,
        orders=(Order(40.0, "engines", 2.0), Order(20.0, "engines", 1.0)),
        line_orders=(
            LineOrder(20.0, one, "fish on", 9.0),
            LineOrder(30.0, two, "line to", COLOR.to_si(1.0), 1.0),
        ),
    )


def test_that_rows_are_in_time_and_the_helm_comes_first(setup: Setup) -> None:
    assert [(order.time, order.action) for order in rows(setup)] == [
        (20.0, "engines"),
        (20.0, "fish on"),
        (30.0, "line to"),
        (40.0, "engines"),
    ]


def test_that_rows_taken_back_into_a_setup_are_the_same_rows(setup: Setup) -> None:
    again = with_rows(setup, tuple(reversed(rows(setup))))
    assert rows(again) == rows(setup)
    assert [order.time for order in again.orders] == [20.0, 40.0]


def test_that_rows_are_replaced_removed_and_doubled_where_they_stand(setup: Setup) -> None:
    every = rows(setup)
    later = replace(every[0], time=35.0)
    assert rows(replaced(setup, 0, later)) == (every[1], every[2], later, every[3])
    assert rows(removed(setup, {1, 3})) == (every[0], every[2])
    assert rows(doubled(setup, {2})) == (*every[:3], every[2], every[3])


def test_that_all_orders_shift_together_and_none_before_the_start(setup: Setup) -> None:
    assert [order.time for order in rows(shifted(setup, -20.0))] == [0.0, 0.0, 10.0, 20.0]
    assert shifted(shifted(setup, 0.1), 0.2) == shifted(setup, 0.3)
    with pytest.raises(Refused, match=r"order at 20\.0 s would come before the start"):
        shifted(setup, -20.1)
    with pytest.raises(Refused, match=r"order at 40\.0 s would come after 36,000 s"):
        shifted(setup, 35965.0)


def test_that_there_are_never_more_orders_than_a_file_may_hold(setup: Setup) -> None:
    most = with_rows(setup, [Order(1.0, "in gear")] * MOST_ORDERS)
    with pytest.raises(Refused, match="No more than 1000"):
        with_rows(most, [*rows(most), Order(2.0, "in gear")])


@pytest.mark.parametrize("action", HELM_ACTIONS)
def test_that_every_new_order_to_the_helm_can_be_obeyed_and_saved(
    setup: Setup, catalog: Catalog, action: str
) -> None:
    order = new_order(setup, HELM, action, new_time(setup), 6.0)
    check(with_rows(setup, [*rows(setup), order]), order, catalog)


@pytest.mark.parametrize("action", LINE_ACTIONS)
def test_that_every_new_order_about_a_line_can_be_obeyed_and_saved(
    setup: Setup, catalog: Catalog, action: str
) -> None:
    order = new_order(setup, setup.rods[1].name, action, new_time(setup), 6.0)
    check(with_rows(setup, [*rows(setup), order]), order, catalog)


def check(new: Setup, order: AnyOrder, catalog: Catalog) -> None:
    assert order.time == 45.0
    assert order in (*new.scenario(catalog).orders, *new.scenario(catalog).line_orders)
    back = scenario_file.loads(scenario_file.dumps(new), "my.toml", catalog)
    assert scenario_file.nearly_equal(back, new)


def test_that_the_first_order_of_all_has_a_time_of_its_own(demo: Setup) -> None:
    assert new_time(demo) == 10.0


def test_that_line_comes_in_or_goes_out_from_what_was_ordered_before(setup: Setup) -> None:
    two = setup.rods[1].name
    assert out_before(setup, two, 30.0) == setup.rods[1].line_out
    assert out_before(setup, two, 30.1) == COLOR.to_si(1.0)
    more = LineOrder(50.0, two, "line to", COLOR.to_si(2.0))
    assert task_words(setup, setup.line_orders[1]) == "reel in to"
    assert task_words(setup, more) == "let out to"


def test_that_every_action_has_words_and_a_phrase() -> None:
    assert set(WHAT) == {*ACTIONS, *LINE_ACTIONS}
    phrases = {
        sentence(Order(1.0, "throttle", KNOT.to_si(5.0)), FEET): "throttle to 5.0 kn",
        sentence(Order(1.0, "engines", 1.0), FEET): "one engine",
        sentence(Order(1.0, "engines", 2.0), FEET): "two engines",
        sentence(Order(1.0, "mark", FOOT.to_si(20.0)), FEET): "mark 20.0 ft deep",
        sentence(Order(1.0, "wheel", -0.01), METERS): "wheel 100 m to port",
        sentence(Order(1.0, "wheel"), FEET): "wheel amidships",
        sentence(Order(1.0, "in gear"), FEET): "in gear",
        sentence(Order(1.0, "course", legs=(Leg(30.0),)), METERS): "course of 1 leg, 30 m",
        sentence(LineOrder(1.0, "a", "fish off"), FEET): "fish off",
        sentence(LineOrder(1.0, "a", "fish on", 9.0), METERS): "fish of 9.0 kg on",
        sentence(LineOrder(1.0, "a", "line to", 18.288, 0.6096), FEET):
            "line to 2.0 colors (2.00 ft/s)",
        sentence(LineOrder(1.0, "a", "fish end to", 4.0, 0.5), METERS):
            "fish to 4.0 m deep (0.50 m/s)",
    }  # fmt: skip
    assert all(said == meant for said, meant in phrases.items())


def test_that_a_circle_is_told_from_other_courses() -> None:
    around = 2.0 * math.pi * 30.0
    half = Leg(around / 2.0, -1.0 / 30.0)
    assert course_words((half, half), METER) == "circle to port, 60 m across"
    assert course_words((half,) * 4, METER) == "circle to port, 60 m across, 2.0 times round"
    assert course_words((half,), METER) == "1 leg, 94 m"
    assert course_words((half, Leg(10.0), half), METER) == "3 legs, 198 m"


def test_that_times_show_hundredths_only_where_there_are_any() -> None:
    assert [seconds(t) for t in (40.0, 40.5, 40.25, 0.0)] == ["40.0", "40.5", "40.25", "0.0"]


def edited(order: AnyOrder, text: str, units: OrderUnits = FEET) -> float:
    return with_value(order, text, units).value


THROTTLE, WHEEL, MARK = Order(9.0, "throttle", 3.0), Order(9.0, "wheel"), Order(9.0, "mark", 3.0)
ENGINES, HAUL = Order(9.0, "engines", 1.0), LineOrder(9.0, "a", "line to", 20.0)
HOOKED, SWIMS = LineOrder(9.0, "a", "fish on", 9.0), LineOrder(9.0, "a", "fish end to", 3.0)


@pytest.mark.parametrize(
    ("order", "text", "value"),
    [
        (THROTTLE, "5", KNOT.to_si(5.0)),
        (THROTTLE, "5,5 kn", KNOT.to_si(5.5)),
        (THROTTLE, "3 m/s", 3.0),
        (THROTTLE, "5mph", 5 * 0.44704),
        (ENGINES, "two", 2.0),
        (ENGINES, "1 engine", 1.0),
        (MARK, "20.0 ft deep", FOOT.to_si(20.0)),
        (MARK, "6 m", 6.0),
        (WHEEL, "amidships", 0.0),
        (WHEEL, "300 ft to port", -1.0 / FOOT.to_si(300.0)),
        (WHEEL, "-300", -1.0 / FOOT.to_si(300.0)),
        (WHEEL, "100m starboard", 0.01),
        (HAUL, "2", COLOR.to_si(2.0)),
        (HAUL, "60 ft", FOOT.to_si(60.0)),
        (HAUL, "1 color", COLOR.to_si(1.0)),
        (HOOKED, "22", POUND.to_si(22.0)),
        (HOOKED, "8 kg", 8.0),
        (SWIMS, "0", 0.0),
        (SWIMS, "2 fathoms", 2 * 1.8288),
    ],
)
def test_that_a_value_is_typed_with_or_without_its_unit(
    order: AnyOrder, text: str, value: float
) -> None:
    assert edited(order, text) == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize(
    ("order", "text", "why"),
    [
        (THROTTLE, "fast", "is not a number"),
        (THROTTLE, "", "is not a number"),
        (THROTTLE, "1.2.3", "is not a number"),
        (THROTTLE, "1,234.5", "both comma and point"),
        (THROTTLE, "nan", "is not a number"),
        (THROTTLE, "0", r"out of range: 0\.3888 to 23\.33 kn"),
        (THROTTLE, "5 ft", "“ft” is no unit here: kn, mph"),
        (ENGINES, "3", "no number of engines: one or two"),
        (MARK, "-4", "out of range"),
        (WHEEL, "left", "is no turn: a radius and a side"),
        (WHEEL, "3 ft to port", "radius of 16.4 ft or more"),
        (WHEEL, "-90 to port", "not both"),
        (HAUL, "0", r"out of range: 0\.05468 to 43\.74 colors"),
        (HAUL, "2 lb", "no unit here: ft"),
        (HOOKED, "9000", "out of range"),
        (SWIMS, "-1", "out of range: 0 to 6562 ft"),
    ],
)
def test_that_what_makes_no_sense_is_refused_with_what_may_stand_there(
    order: AnyOrder, text: str, why: str
) -> None:
    with pytest.raises(Refused, match=why):
        edited(order, text)


def test_that_times_and_rates_are_typed_and_refused_alike() -> None:
    assert with_time(HAUL, "12,5 s").time == 12.5
    with pytest.raises(Refused, match="0 to 36,000 s"):
        with_time(HAUL, "-1")
    assert with_rate(HAUL, "3", FEET).rate == FOOT_PER_SECOND.to_si(3.0)
    assert with_rate(HAUL, "0.5", METERS).rate == 0.5
    with pytest.raises(Refused, match=r"0\.02 to 5 m/s"):
        with_rate(HAUL, "6", METERS)
    with pytest.raises(Refused, match=r"0\.02 to 3 m/s"):
        with_rate(SWIMS, "4", METERS)


@pytest.mark.parametrize("units", [FEET, METERS])
@pytest.mark.parametrize("order", [THROTTLE, ENGINES, MARK, WHEEL, HAUL, HOOKED, SWIMS])
def test_that_a_value_as_it_is_shown_can_be_typed_again(order: AnyOrder, units: OrderUnits) -> None:
    assert edited(order, value_words(order, units), units) == pytest.approx(order.value, rel=0.02)
    if isinstance(order, LineOrder) and rate_words(order, units):
        again = with_rate(order, rate_words(order, units), units)
        assert again.rate == pytest.approx(order.rate, rel=0.01)


def test_that_another_action_begins_with_values_of_its_own(setup: Setup) -> None:
    assert with_action(setup, WHEEL, "wheel", 6.0) is WHEEL
    assert with_action(setup, ENGINES, "throttle", 6.0) == Order(9.0, "throttle", setup.speed)
    other = with_action(setup, HOOKED, "fish off", 6.0)
    assert other == LineOrder(9.0, "a", "fish off")
    assert "course" not in choices(WHEEL)
    assert choices(Order(1.0, "course", legs=(Leg(5.0),))) == ()


# ---- what is obeyed now


def told(setup: Setup, catalog: Catalog, now: float) -> list[str]:
    run = Run([setup.scenario(catalog)])
    run.boat(now)
    return [f"{order.time:g} {order.action}" for order in in_force(run, now)]


def test_that_the_last_order_of_each_kind_is_the_one_obeyed(demo: Setup, catalog: Catalog) -> None:
    orders = (
        Order(1.0, "throttle", 2.0),
        Order(2.0, "wheel", 0.01),
        Order(3.0, "throttle", 3.0),
        Order(4.0, "course", legs=(Leg(50.0),)),
        Order(5.0, "out of gear"),
        Order(8.0, "in gear"),
    )
    own = replace(demo, orders=orders, mark=None)
    assert told(own, catalog, 6.0) == ["3 throttle", "4 course", "5 out of gear"]
    assert told(own, catalog, 9.0) == ["3 throttle", "4 course", "8 in gear"]
    assert told(own, catalog, 0.5) == []


def test_that_a_haul_is_obeyed_till_it_is_done_and_a_fish_till_it_is_off(
    demo: Setup, catalog: Catalog
) -> None:
    name, out = demo.rods[0].name, demo.rods[0].line_out
    own = replace(
        demo,
        mark=None,
        orders=(),
        line_orders=(
            LineOrder(2.0, name, "fish on", 5.0),
            LineOrder(4.0, name, "line to", out - 10.0, 1.0),
            LineOrder(8.0, name, "line to", out - 2.0, 1.0),
            LineOrder(9.0, name, "fish end to", 2.0),
            LineOrder(20.0, name, "fish off"),
        ),
    )
    assert told(own, catalog, 3.0) == ["2 fish on"]
    assert told(own, catalog, 7.9) == ["4 line to", "2 fish on"]
    # 4 m had come in by then, so 2 m go out
    assert told(own, catalog, 9.9) == ["8 line to", "2 fish on", "9 fish end to"]
    assert told(own, catalog, 10.1) == ["2 fish on", "9 fish end to"]
    assert told(own, catalog, 21.0) == []


# ---- what is kept


def test_that_orders_given_by_hand_are_kept_but_not_the_scenarios_own_mark(
    demo: Setup, catalog: Catalog
) -> None:
    own = replace(demo, mark=Mark(5.0, 3.0), orders=(Order(4.0, "engines", 1.0),
                                                   Order(50.0, "engines", 2.0)))  # fmt: skip
    run = Run([own.scenario(catalog)])
    run.order(Order(6.12345, "out of gear"))
    run.order(Order(7.0, "mark", 4.0))
    run.boat(10.0)
    assert not_listed(own, run, 10.0) == 2
    new = kept(own, run, 10.0)
    assert new.orders == (
        Order(4.0, "engines", 1.0),
        Order(6.12, "out of gear"),
        Order(7.0, "mark", 4.0),
        Order(50.0, "engines", 2.0),
    )
    assert not_listed(own, run, 5.0) == 0
    assert new.mark == own.mark


def test_that_line_orders_given_by_hand_are_kept_as_soon_as_a_run_tells_them(
    setup: Setup, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = Run([setup.scenario(catalog)])
    assert given_to_lines(run) == setup.line_orders
    name = setup.rods[0].name
    every = (*setup.line_orders, LineOrder(5.678, name, "fish off"))
    monkeypatch.setattr(Run, "line_orders", lambda _self: every, raising=False)
    assert given_to_lines(run) == every
    new = kept(setup, run, 25.0)
    assert new.line_orders[0] == LineOrder(5.68, name, "fish off")
    assert new.line_orders[1:] == setup.line_orders
    assert not_listed(setup, run, 25.0) == 1


# ---- what else moves the boat


def test_that_a_hold_outside_the_list_is_told_with_what_it_does(demo: Setup) -> None:
    own = replace(demo, hold=20.0, mark=Mark(5.0, 10.0), orders=())
    said = also_told(own)
    assert said[0].startswith("The scenario's hold of 20 s is not in the list")
    assert "out of gear at 10.0 s and in at 30.0 s" in said[0]
    assert said[1].startswith("Automatic hold: in gear 20 s after out of gear")
    listed = own.dropped()
    assert also_told(listed) == []
    assert len(also_told(replace(listed, hold=15.0))) == 1
    assert also_told(replace(listed, hold=None)) == []


def test_that_a_wait_outside_the_list_is_told_with_what_it_does(demo: Setup) -> None:
    own = replace(demo, wait=12.0, hold=20.0, mark=Mark(5.0, 10.0), orders=())
    assert also_told(own)[0] == (
        "The scenario's wait of 12 s and hold of 20 s are not in the list: "
        "“leadfall simulate” goes out of gear at 22.0 s and in at 42.0 s."
    )
    assert also_told(replace(own, hold=None))[0].endswith("goes out of gear at 22.0 s.")
    assert also_told(own.dropped()) == ["Automatic wait: out of gear 12 s after a mark (W)."]


def test_that_an_automatic_wait_a_table_and_orders_too_late_are_told(demo: Setup) -> None:
    own = replace(demo, hold=None, mark=None, duration=90.0)
    own = replace(own, wait=12.0, orders=(Order(91.0, "engines", 1.0),))
    assert also_told(own) == [
        "Automatic wait: out of gear 12 s after a mark (W).",
        "1 order comes after “leadfall simulate” ends, at 90 s.",
    ]
    table = replace(own, orders=(), motion=PrescribedMotion(((0.0, 3.0, 0.0), (9.0, 1.0, 0.3))))
    assert "only lines take orders" in also_told(replace(table, wait=None))[0]
