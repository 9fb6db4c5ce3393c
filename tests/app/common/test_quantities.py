"""A quantity declared once: what a file, a screen, a refusal and a result make of it."""

import pytest

from app.common import scales
from app.common.bad_input import BadInput
from app.common.quantities import Quantity, spell
from app.common.reading import Reader
from app.common.scales import FEET, METERS, SYSTEMS, Scale, plain
from app.common.units import DEGREE, FOOT, KNOT, METER, PLAIN
from app.gear.tackle_file import BOAT, LURE, SECTION
from app.scenario import keys
from physics.checks import Limits

LENGTH = Quantity(
    "depth", spell("depth", "ft", "m"), Limits(0.3, 2000.0, "m"), None, scales.DEPTH, "mark depth"
)


@pytest.mark.parametrize(
    ("quantity", "feet", "meters"),
    [
        (LENGTH, "1 to 6,561.6 ft", "0.3 to 2,000 m"),
        (keys.HELM_SPEED, "0.4 to 23.3 kn", "0.4 to 23.3 kn"),
        (keys.HEADING, "0 to 360 °", "0 to 360 °"),
        (keys.HOLD, "0.5 to 600 s", "0.5 to 600 s"),
        (keys.DOUBT[0], "0 to 50 %", "0 to 50 %"),
        (keys.ABEAM, "-98.4 to 98.4 ft", "-30 to 30 m"),
    ],
)
def test_that_a_range_is_told_in_the_unit_on_screen(
    quantity: Quantity, feet: str, meters: str
) -> None:
    low, high, _ = quantity.limits
    assert quantity.scales[FEET].range_text(low, high) == feet
    assert quantity.scales[METERS].range_text(low, high) == meters


def test_that_its_words_begin_a_line_with_a_capital_and_leave_the_rest() -> None:
    assert LENGTH.title == "Mark depth"
    assert keys.DOUBT[3].title == "The boat's coast-down"


def test_that_file_and_screen_refuse_by_the_same_limits() -> None:
    with pytest.raises(BadInput, match=r"0\.3 to 2000 m"):
        LENGTH.read(Reader({"depth_m": 2001.0}, "my.toml"))
    assert LENGTH.scales[METERS].ends(LENGTH.low, LENGTH.high) == (0.3, 2000.0)


@pytest.mark.parametrize(
    ("quantity", "key"),
    [
        (LENGTH, "depth_m"),
        (keys.HELM_SPEED, "speed_mps"),
        (keys.HEADING, "heading_deg"),
        (keys.LINE_OUT, "line_out_m"),
        (keys.FISH, "fish_kg"),
    ],
)
def test_that_a_result_is_written_in_si_under_a_key_of_the_file(
    quantity: Quantity, key: str
) -> None:
    assert quantity.output == (key, quantity.keys[key])


def test_that_every_quantity_with_a_unit_says_it_in_its_key_of_results() -> None:
    for quantity in (*LURE, *SECTION, *BOAT, *keys.MARK, *keys.TIP, *keys.TIMING, keys.BOTTOM):
        key, unit = quantity.output
        assert (unit is PLAIN) == (key == quantity.attribute), key


def test_that_a_compass_starts_over_and_rounds_to_north() -> None:
    compass = Scale(DEGREE, 0, 10.0, turn=360.0)
    assert compass.number(DEGREE.to_si(359.7)) == 0.0
    assert compass.number(DEGREE.to_si(-10.0)) == 350.0
    assert compass.ends(-7.0, 7.0) == (0.0, 360.0)


def test_that_a_scale_without_decimals_shows_four_figures() -> None:
    scale = Scale(METER, None, 1.0)
    assert scale.number(0.0123456) == 0.01235
    assert scale.number(123456.0) == 123456.0
    assert [scale.decimals_of(value) for value in (5.0, 0.25, 1e-6)] == [0, 2, 6]


def test_that_every_scale_is_there_in_every_system() -> None:
    named = [value for name, value in vars(scales).items() if name.isupper()]
    found = [value for value in named if isinstance(value, dict)]
    assert found
    assert all(set(value) == set(SYSTEMS) for value in found)


def test_that_plain_numbers_have_no_needless_naughts() -> None:
    assert [plain(x) for x in (27.0, 0.5, 1e9, -0.0, 6561.7)] == [
        "27", "0.5", "1,000,000,000", "0", "6,561.7",
    ]  # fmt: skip


def test_that_units_of_speed_and_depth_are_the_trades() -> None:
    assert keys.HELM_SPEED.scales[FEET].unit is KNOT
    assert keys.BOTTOM.scales[FEET].unit is FOOT
