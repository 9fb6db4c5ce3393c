"""Measurements out of CSV files as people save them, and the lines that cannot be used."""

from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.csv_read import SHARE
from app.common.typed_number import number
from app.common.units import COLOR, FOOT, KNOT, METER, MILE_PER_HOUR, PLAIN, SECOND
from app.gear.catalog import Catalog
from app.measure.csv_columns import read_table, table_of
from app.measure.csv_rows import Chosen, guessed, kind_of, measurements
from app.scenario.setup import RodSetup
from physics.calibration.measured import CoastDown, DockFall, DropTouch, TowDepth

CATALOG = Catalog.load(None)

TOW = "speed (kn),line out (colors),depth_ft,who\n5,5,12,Ann\n6,4,9.5,Bo\n"


def table(text: str):
    return table_of(text.encode(), "drops.csv")


def read(text: str, kind: str, **more):
    there = table(text)
    return measurements(there, kind, guessed(there), **more)


@pytest.mark.parametrize(
    ("heading", "measure", "unit"),
    [
        ("depth_ft", "depth", FOOT),
        ("Bottom depth (m)", "depth", METER),
        ("speed (kn)", "speed", KNOT),
        ("SOG mph", "speed", MILE_PER_HOUR),
        ("kts", "speed", KNOT),
        ("seconds", "seconds", SECOND),
        ("touch time [s]", "seconds", SECOND),
        ("hold_s", "hold", SECOND),
        ("line out, colors", "line_out", COLOR),
        ("feet out", "line_out", FOOT),
        ("start speed kn", "start", KNOT),
        ("share left", "share", PLAIN),
        ("speed left %", "share", SHARE),
    ],
)
def test_that_a_heading_tells_what_a_column_is_and_its_unit(heading, measure, unit) -> None:
    (column, *_) = table(f'"{heading}";note\n5;x\n').columns
    assert (column.measure, column.unit) == (measure, unit)


def test_that_a_heading_without_a_unit_is_guessed_and_said_to_be_a_guess() -> None:
    depth, speed = table("depth,speed\n12,5\n").columns
    assert (depth.unit, depth.sure) == (FOOT, False)
    assert (speed.unit, speed.sure) == (KNOT, False)


def test_that_columns_come_with_a_few_of_their_texts() -> None:
    columns = table(TOW).columns
    assert [column.heading for column in columns][-1] == "who"
    assert columns[-1].measure is None
    assert columns[0].examples == ("5", "6")


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_that_the_delimiter_is_found(delimiter: str) -> None:
    text = TOW.replace(",", delimiter)
    assert table(text).delimiter == delimiter
    assert len(read(text, "tow", rod=RodSetup("rod"), catalog=CATALOG).rows) == 2


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_that_marks_at_the_start_and_line_ends_do_not_matter(encoding: str, ending: str) -> None:
    data = "depth_ft,seconds\n10,8\n".replace("\n", ending).encode(encoding)
    there = table_of(data, "dock.csv")
    assert measurements(there, "dock", guessed(there)).rows == (DockFall(FOOT.to_si(10.0), 8.0),)


def test_that_rows_under_way_have_their_own_line_out() -> None:
    got = read(TOW, "tow", rod=RodSetup("rod"), catalog=CATALOG)
    assert got.lines == (2, 3)
    first, second = got.rows
    assert isinstance(first, TowDepth)
    assert isinstance(second, TowDepth)
    assert first.rod is not None
    assert second.rod is not None
    assert first.speed == pytest.approx(KNOT.to_si(5.0))
    assert first.depth == pytest.approx(FOOT.to_si(12.0))
    leader = RodSetup("rod").leader_length
    assert first.rod.line_out == pytest.approx(COLOR.to_si(5.0) + leader)
    assert second.rod.line_out == pytest.approx(COLOR.to_si(4.0) + leader)


def test_that_a_drop_has_speed_hold_seconds_and_bottom() -> None:
    text = "speed kn;hold s;touch s;bottom ft\n7,5;20;9,5;30\n"
    assert kind_of(table(text)) == "drop"
    (row,) = read(text, "drop").rows
    assert row == DropTouch(KNOT.to_si(7.5), 20.0, 9.5, FOOT.to_si(30.0))


def test_that_a_table_of_time_and_speed_starts_at_its_first_line() -> None:
    got = read("time s\tSOG kn\n100\t7.5\n103\t5\n106\t3.6\n", "coast")
    assert got.rows == tuple(
        CoastDown(KNOT.to_si(7.5), seconds, KNOT.to_si(speed))
        for seconds, speed in ((3.0, 5.0), (6.0, 3.6))
    )
    assert got.lines == (3, 4)


def test_that_shares_of_the_speed_need_to_know_the_speed() -> None:
    text = "share %,seconds\n50,6\n25,18\n"
    got = read(text, "coast", start=3.0)
    assert [row.measured for row in got.rows] == pytest.approx([1.5, 0.75])
    with pytest.raises(BadInput, match="says no start speed"):
        read(text, "coast")


def test_that_the_user_may_take_columns_as_he_likes() -> None:
    there = table("a,b\n3,8\n")
    chosen = (Chosen("a", "depth", METER), Chosen("b", "seconds", SECOND))
    assert measurements(there, "dock", chosen).rows == (DockFall(3.0, 8.0),)


def test_that_a_file_of_numbers_only_has_numbered_columns() -> None:
    there = table("3,8\n3,8.4\n")
    assert [column.heading for column in there.columns] == ["column 1", "column 2"]
    chosen = (Chosen("column 1", "depth", METER), Chosen("column 2", "seconds", SECOND))
    assert measurements(there, "dock", chosen).lines == (1, 2)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("abc,8", "line 3, depth_ft: 'abc': is not a number"),
        ("nan,8", "line 3, depth_ft: 'nan': is not a number"),
        (",8", "line 3, depth_ft: is empty"),
        ("10", "line 3, seconds: is empty"),
        ("10,8,4", "line 3, 3 fields under 2 headings: allowed: a number; where commas"),
        ('"1,234",8', "line 3, depth_ft: '1,234': may be thousands or decimals"),
        ('"1,234.5",8', "has both comma and point"),
        ("10,-8", "line 3, seconds: '-8.00 s': is not usable; allowed: a number from 0.1"),
        ("0.1,8", "line 3, depth_ft: '0.10 ft': is not usable"),
    ],
)
def test_that_a_line_that_cannot_be_used_is_told_and_the_rest_read(line: str, says: str) -> None:
    got = read(f"depth_ft,seconds\n10,8\n{line}\n10,8.2\n", "dock")
    assert got.lines == (2, 4)
    (refused,) = got.rejected
    assert refused.line == 3
    assert says in str(refused)


def test_that_line_numbers_count_empty_lines() -> None:
    got = read("depth_ft,seconds\n\n10,8\n\n,\n10,x\n", "dock")
    assert got.lines == (3,)
    assert [refused.line for refused in got.rejected] == [6]


def test_that_decimal_commas_are_read_in_a_file_with_semicolons() -> None:
    (row,) = read("depth_m;seconds\n3,25;8,4\n", "dock").rows
    assert row == DockFall(3.25, 8.4)
    assert number("1,234", ";") == 1.234
    assert number("\u22121.5", ",") == -1.5


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"\xef\xbb\xbf \n \n", "is empty"),
        (b"depth_ft,seconds\n", "has headings but no lines"),
        ("a,b\n1,2\nGr\xf6\xdfe,3\n".encode("latin-1"), "line 3 is not UTF-8 text"),
        (b"a,b\n\x00\x01,2\n", "is not text"),
        (b"x" * 2_000_001, "is too large"),
        (",".join(f"c{i}" for i in range(70)).encode() + b"\n1\n", "at most 60 columns"),
        (b"a,b\n" + b"1,2\n" * 5001, "at most 5000 lines"),
        (b'a,b\n"' + b"x" * 140_000 + b'",2\n', "is not CSV"),
    ],
)
def test_that_a_file_that_is_no_table_is_refused_in_one_line(data: bytes, says: str) -> None:
    with pytest.raises(BadInput, match=says) as caught:
        table_of(data, "drops.csv")
    assert str(caught.value).startswith("drops.csv: ")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("kind", "chosen", "says"),
    [
        ("dock", (("depth_ft", "depth", FOOT),), "has no column for seconds"),
        ("coast", (("seconds", "seconds", SECOND),), "has no column for speed or share"),
        ("swim", (), "'swim' is not usable; allowed: one of dock"),
        (
            "dock",
            (("depth_ft", "depth", KNOT), ("seconds", "seconds", SECOND)),
            "is no unit of depth; allowed: feet, meters",
        ),
        (
            "dock",
            (("depth_ft", "depth", FOOT), ("seconds", "depth", FOOT)),
            "one column for depth",
        ),
        (
            "dock",
            (("fathoms", "depth", FOOT), ("seconds", "seconds", SECOND)),
            "'fathoms' is not a column; allowed: one of 'depth_ft', 'seconds'",
        ),
    ],
)
def test_that_a_poor_choice_of_columns_is_told(kind, chosen, says) -> None:
    there = table("depth_ft,seconds\n10,8\n")
    with pytest.raises(BadInput, match=says):
        measurements(there, kind, tuple(Chosen(*choice) for choice in chosen))


def test_that_line_out_needs_a_rod_to_put_it_on() -> None:
    with pytest.raises(BadInput, match="a rod"):
        read(TOW, "tow")


def test_that_more_line_than_a_reel_takes_is_refused_in_its_own_column() -> None:
    text = TOW.replace("6,4,9.5", "6,4000,9.5")
    got = read(text, "tow", rod=RodSetup("rod"), catalog=CATALOG)
    assert got.lines == (2,)
    assert "line out (colors): '4000.00 colors'" in str(got.rejected[0])


def test_that_a_file_is_read_from_disk_and_a_missing_one_told(tmp_path: Path) -> None:
    path = tmp_path / "dock.csv"
    path.write_bytes(b"depth_ft,seconds\n10,8\n")
    assert kind_of(read_table(path)) == "dock"
    with pytest.raises(BadInput, match="there is no such file"):
        read_table(tmp_path / "none.csv")
    with pytest.raises(BadInput, match="is a folder"):
        read_table(tmp_path)
