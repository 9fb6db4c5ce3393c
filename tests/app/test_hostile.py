"""No file, however damaged or malicious, brings the program down: a search by seed.

``python -m tests.benchmarks.hostile`` searches longer and asks about time and memory too.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.measure.csv_columns import table_of
from app.measure.csv_rows import guessed, measurements
from tests.app.hostile_reading import KINDS, LONGEST_MESSAGE, file_of, outcome

SEED = 20_260_101


def search(kind: str, count: int, seed: int, folder: Path) -> None:
    """Assert that no file of so many fails, and that some are read and some refused."""
    found = [outcome(kind, number, seed, folder) for number in range(count)]
    assert [(n, one.trouble) for n, one in enumerate(found) if one.trouble] == []
    read = sum(one.read for one in found)
    assert 0.05 * count < read < 0.95 * count


@pytest.mark.parametrize("kind", KINDS)
def test_that_a_hostile_file_is_read_whole_or_refused_in_one_line(
    kind: str, tmp_path: Path
) -> None:
    # a database takes longest of all
    search(kind, 100 if kind == "log file" else 300, SEED, tmp_path)


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_that_no_hostile_file_of_thousands_fails(kind: str, tmp_path: Path) -> None:
    search(kind, 3000, SEED + 1, tmp_path)


@pytest.mark.parametrize("number", [510, 1039, 1135])
def test_that_what_once_brought_the_log_down_no_longer_does(number: int, tmp_path: Path) -> None:
    """An earlier entry nested 3,000 deep, an index that lies, a setup that is no text."""
    assert not outcome("log file", number, 1, tmp_path).trouble


@pytest.mark.parametrize("kind", KINDS)
def test_that_a_hostile_file_can_be_made_again(kind: str) -> None:
    assert [file_of(kind, n, 1) for n in range(20)] == [file_of(kind, n, 1) for n in range(20)]
    assert len({file_of(kind, n, 1) for n in range(20)}) > 15


def test_that_a_refused_line_of_measurements_is_told_in_few_words() -> None:
    data = b"depth (ft),seconds\n" + b"9" * 5000 + b"x,5\n20,9.5\n"
    table = table_of(data, "my.csv")
    (line,) = measurements(table, "dock", guessed(table)).rejected
    assert len(str(line)) < LONGEST_MESSAGE


def test_that_headings_are_counted_before_any_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    def looked_at(_: object) -> None:
        pytest.fail("the headings were looked at")

    monkeypatch.setattr("app.measure.csv_columns._headings", looked_at)
    with pytest.raises(BadInput, match="20001 is not usable; allowed: at most 60 columns"):
        table_of(b"$GPRMC," * 20_000 + b"x\n1,2\n", "my.csv")
