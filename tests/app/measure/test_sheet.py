"""The sheet of measurements: there again after a restart, refused by line, never lost."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication

from app.common import files
from app.common.bad_input import BadInput
from app.common.units import FOOT
from app.measure.file import Errors, Line, Sheet, load, place, save
from app.measure.model import Measuring
from app.session.live_run import LiveRun
from app.tackle.model import Shelf
from tests.app.by_hand import Live

DOCK = tuple(Line("dock", seconds=s, depth=FOOT.to_si(10.0)) for s in (7.9, 8.3, 8.1))

HEADER = "kind,start,speed,line_out,hold,seconds,depth\n"


def written(text: str) -> Path:
    path = place()
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    return path


def begun(live_run: LiveRun) -> tuple[Measuring, list[str]]:
    """The measurements as the program finds them at its start, and what it says of them."""
    said: list[str] = []
    measuring = Measuring(live_run.document, Shelf(live_run.document))
    measuring.trouble.connect(said.append)
    QCoreApplication.processEvents()
    return measuring, said


def test_that_a_sheet_is_there_again_after_a_restart() -> None:
    kept = Sheet(
        (*DOCK, Line("drop", speed=3.0, line_out=70.0, hold=12.0, seconds=14.5, depth=9.0)),
        Errors(hand=0.5),
    )
    save(kept)
    assert load() == kept


def test_that_no_sheet_is_an_empty_one() -> None:
    assert load() == Sheet()


def test_that_a_long_sheet_is_there_again_after_a_restart() -> None:
    kept = Sheet(DOCK * 1500)
    save(kept)
    assert load() == kept


def test_that_a_sheet_too_long_to_be_read_again_is_not_written_over_the_last(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    save(Sheet(DOCK))
    monkeypatch.setattr("app.measure.file.LARGEST_FILE", 500)
    with pytest.raises(BadInput, match="measurements: are too many"):
        save(Sheet(DOCK * 20))
    assert load() == Sheet(DOCK)


BAD = [
    (HEADER + "fish,1,2,3,4,5,6\n", "line 2", "'fish'"),
    (HEADER + "\ndock,,,,,x,3\n", "line 3", "numbers"),
    (HEADER + "dock,,,,,nan,3\n", "line 2", "numbers"),
    (HEADER + "dock,1\n", "line 2", "'dock'"),
    (HEADER + "error no,3\n", "errors", "no"),
    (HEADER + "error hand,-3\n", "errors", "hand"),
    ("dock,,,,,7.9,3\n", "line 1", "kind,start,speed"),
    ("", "line 1", "kind,start,speed"),
    (HEADER + f"{'9' * 200_000},1\n", "is not one", "a CSV file"),
]


@pytest.mark.parametrize(("text", "where", "says"), BAD)
def test_that_a_damaged_sheet_is_refused_by_file_and_line(text: str, where: str, says: str) -> None:
    path = written(text)
    with pytest.raises(BadInput) as refused:
        load()
    for words in (str(path), where, says):
        assert words in str(refused.value)
    assert path.read_text("utf-8") == text


def test_that_a_damaged_sheet_is_set_aside_and_told(live: Live) -> None:
    path = written("kind\n")
    earlier = path.with_name("measured.damaged.csv")
    earlier.write_text("an earlier one", encoding="utf-8")
    measuring, said = begun(live.live_run)
    (told,) = said
    assert "line 1" in told
    assert "measured.damaged-2.csv" in told
    assert path.with_name("measured.damaged-2.csv").read_text("utf-8") == "kind\n"
    assert earlier.read_text("utf-8") == "an earlier one"
    measuring.add(DOCK, "dock")
    assert load() == Sheet(DOCK)
    measuring.close()


def test_that_a_damaged_sheet_that_cannot_be_moved_is_not_written_over(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written("kind\n")
    monkeypatch.setattr(files, "set_aside", lambda _path: None)
    measuring, said = begun(live.live_run)
    assert "changes are not kept" in said[0]
    measuring.add(DOCK, "dock")
    assert measuring.sheet == Sheet(DOCK)
    assert path.read_text("utf-8") == "kind\n"
    measuring.close()


def test_that_speeds_over_ground_are_there_again_and_widen_the_error_of_speeds_alone() -> None:
    kept = Sheet((*DOCK, Line("tow", speed=3.0, depth=4.0)), over_ground=True)
    save(kept)
    assert load() == kept
    through = replace(kept, over_ground=False)
    wider = kept.errors_as_taken
    assert wider.logged == pytest.approx((through.errors_as_taken.logged**2 + 0.25**2) ** 0.5)
    assert replace(wider, logged=kept.errors.logged) == kept.errors == through.errors_as_taken
