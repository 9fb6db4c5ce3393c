"""The table reader: what it takes, and the sentence it refuses with."""

import pytest

from app.common.bad_input import BadInput
from app.common.files import parse_toml
from app.common.quantities import Quantity, put, spell
from app.common.reading import Reader
from physics.checks import Limits

DEPTH = Quantity("depth", spell("depth", "ft", "m"), Limits(0.3, 2000.0))


def reader(**table: object) -> Reader:
    return Reader(table, "my.toml", "rod 2")


def test_that_the_sentence_names_file_place_value_and_range() -> None:
    with pytest.raises(BadInput) as refused:
        reader(colors_out=-3).number("colors_out", 0.1, 40, unit="colors")
    assert str(refused.value) == (
        "my.toml: rod 2, colors_out: -3 is not usable; allowed: 0.1 to 40 colors"
    )
    error = refused.value
    assert (error.file, error.key, error.value) == ("my.toml", "rod 2, colors_out", -3)


def test_that_a_quantity_may_be_given_in_either_unit() -> None:
    assert DEPTH.read(reader(depth_ft=10)) == pytest.approx(3.048, rel=1e-15)
    assert DEPTH.read(reader(depth_m=10)) == 10.0


def test_that_the_ends_of_a_range_are_allowed_in_every_unit() -> None:
    for key, unit in DEPTH.keys.items():
        assert DEPTH.read(reader(**{key: unit.from_si(DEPTH.low)})) == DEPTH.low
        assert DEPTH.read(reader(**{key: unit.from_si(DEPTH.high)})) == DEPTH.high


def test_that_two_units_at_once_are_refused() -> None:
    with pytest.raises(BadInput, match="only one of depth_ft and depth_m"):
        DEPTH.read(reader(depth_ft=10, depth_m=3))


def test_that_a_misspelled_key_is_named_before_the_one_it_stands_for_is_missed() -> None:
    with pytest.raises(BadInput, match=r"colours_out: 6 is under an unknown key.*mean colors_out"):
        reader(colours_out=6).number("colors_out", 0.1, 40)


def test_that_an_unknown_key_suggests_the_nearest_known_one() -> None:
    table = reader(name="a", lurre="b")
    table.text("name")
    table.has("lure")
    with pytest.raises(BadInput, match=r"did you mean lure\?"):
        table.done()


def test_that_a_message_stays_on_one_line_whatever_the_file_holds() -> None:
    for key, value in (("a\nb", 1), ("name", "x\ny"), ("name", "x\u2028y")):
        table = Reader({key: value}, "my\n.toml", "")
        with pytest.raises(BadInput) as refused:
            table.refuse(key, "some\nthing else")
        assert str(refused.value).isprintable()


def test_that_a_long_value_is_cut_short() -> None:
    with pytest.raises(BadInput) as refused:
        reader(name="x" * 10_000).text("name")
    assert len(str(refused.value)) < 200


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a = 1\nb = = 2\n", "line 2, column 5"),
        ("a = 1\na = 2\n", "line 2, column 6"),
        ('a = "', "line 1, column 6"),
        ("[a\n", "line 1, column 3"),
    ],
)
def test_that_a_toml_mistake_is_placed_by_line_and_column(text: str, place: str) -> None:
    with pytest.raises(BadInput, match=place):
        parse_toml(text, "my.toml")


@pytest.mark.parametrize(
    "text", ["a = " + "9" * 5000, "a = " + "[" * 5000], ids=["digits", "depth"]
)
def test_that_toml_meant_to_exhaust_the_reader_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"my\.toml"):
        parse_toml(text, "my.toml")


def test_that_writing_keeps_a_number_that_already_says_the_same() -> None:
    table = {"depth_m": 3.048}
    put(table, DEPTH.keys, 3.048)
    assert table == {"depth_m": 3.048}
    put(table, DEPTH.keys, 6.096)
    assert table == {"depth_m": 6.096}


def test_that_a_new_number_is_written_as_a_person_would() -> None:
    table: dict[str, float] = {}
    put(table, DEPTH.keys, 27 * 0.3048)
    assert table == {"depth_ft": 27}
