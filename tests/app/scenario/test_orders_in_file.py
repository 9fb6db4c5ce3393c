"""Orders to the helm and about the lines in a scenario file: read, and kept as they are written."""

from dataclasses import replace
from pathlib import Path

from app.gear.catalog import Catalog
from app.scenario.file import dumps, loads, nearly_equal
from physics.line.line_orders import LineOrder
from physics.vessel.boat import Leg, Order
from tests.app.scenario.malformed import GOOD

CATALOG = Catalog.load(None)

FOOT = 0.3048


COURSE = """\
orders = [
    {at_s = 5, do = "course", legs_m = [[30, 0], [40, -60]]}, # over the top
    {at_s = 30, do = "throttle", speed_mps = 2},
]
"""


TOLD = """
[[line_orders]]
at_s = 12
line = "port"
do = "fish on"
fish_kg = 9 # a good one

[[line_orders]]
at_s = 15
line = "port"
do = "line to"
line_out_m = 20
rate_ft_s = 2
"""


def with_orders() -> str:
    return GOOD.replace("orders = []\n", COURSE) + TOLD


def test_that_a_course_and_line_orders_are_read_in_si() -> None:
    setup = loads(with_orders(), "my.toml", CATALOG)
    course, throttle = setup.orders
    assert course.legs == (Leg(30.0, 0.0), Leg(40.0, -1.0 / 60.0))
    assert throttle == Order(30.0, "throttle", 2.0)
    hooked, hauled = setup.line_orders
    assert hooked == LineOrder(12.0, "port", "fish on", 9.0)
    assert hauled == LineOrder(15.0, "port", "line to", 20.0, 2 * FOOT)
    assert setup.scenario(CATALOG).line_orders == setup.line_orders


def test_that_orders_unchanged_are_saved_letter_for_letter_in_any_unit() -> None:
    text = with_orders()
    assert dumps(loads(text, "my.toml", CATALOG), "my.toml", text) == text


def test_that_a_changed_order_keeps_its_units_and_the_others_their_comments() -> None:
    text = with_orders()
    setup = loads(text, "my.toml", CATALOG)
    hooked, hauled = setup.line_orders
    told = (hooked, replace(hauled, value=25.0), LineOrder(60.0, "starboard", "fish off"))
    again = dumps(replace(setup, line_orders=told), "my.toml", text)
    assert "fish_kg = 9 # a good one\n" in again
    assert "line_out_m = 25\n" in again
    assert loads(again, "my.toml", CATALOG).line_orders == told
    course, throttle = setup.orders
    again = dumps(replace(setup, orders=(course, replace(throttle, value=3.0))), "my.toml", text)
    assert "speed_mps = 3}" in again
    assert "legs_m = [[30, 0], [40, -60]]" in again
    assert "[[line_orders]]" not in dumps(replace(setup, line_orders=()), "my.toml", text)


def test_that_orders_may_stand_each_under_a_heading_of_their_own() -> None:
    text = GOOD.replace("orders = []\n", '\n[[helm.orders]]\nat_s = 9\ndo = "in gear" # now\n')
    setup = loads(text, "my.toml", CATALOG)
    more = (*setup.orders, Order(20.0, "course", legs=(Leg(5 * FOOT),)))
    again = dumps(replace(setup, orders=more), "my.toml", text)
    assert 'do = "in gear" # now' in again
    assert "legs_ft = [[5, 0]]" in again
    assert nearly_equal(loads(again, "my.toml", CATALOG).orders, more)


def test_that_a_value_without_use_does_not_keep_a_scenario_from_being_saved() -> None:
    setup = loads(GOOD, "my.toml", CATALOG)
    told = (
        LineOrder(3.0, "port", "fish off", 4.0, 1.0),
        LineOrder(2.0, "port", "fish on", 4.0, 1.0),
    )
    odd = replace(setup, orders=(Order(1.0, "in gear", 3.0),), line_orders=told)
    back = loads(dumps(odd), "my.toml", CATALOG)
    assert back.orders == (Order(1.0, "in gear"),)
    left = (LineOrder(3.0, "port", "fish off"), LineOrder(2.0, "port", "fish on", 4.0))
    assert nearly_equal(back.line_orders, left)


def test_that_a_rod_takes_its_orders_with_it_when_it_is_renamed_or_goes() -> None:
    setup = loads(with_orders(), "my.toml", CATALOG)
    renamed = setup.with_rod(0, replace(setup.rods[0], name="long"))
    assert [order.rod for order in renamed.line_orders] == ["long", "long"]
    assert setup.with_rod(1, replace(setup.rods[1], name="long")).line_orders == setup.line_orders
    assert setup.without_rod(0).line_orders == ()
    assert setup.without_rod(1).line_orders == setup.line_orders
    for changed in (renamed, setup.without_rod(0), setup.without_rod(1)):
        changed.scenario(CATALOG)


def test_that_the_orders_readme_shows_can_be_read() -> None:
    readme = Path(__file__).parents[3].joinpath("README.md").read_text(encoding="utf-8")
    shown = next(part for part in readme.split("```") if "[[line_orders]]" in part)
    base = GOOD.replace("orders = []\n", "").replace('"port"', '"port long"')
    setup = loads(base + shown.removeprefix("toml"), "README.md", CATALOG)
    assert [order.action for order in setup.orders] == ["course"]
    assert [order.action for order in setup.line_orders] == ["fish on", "line to"]
