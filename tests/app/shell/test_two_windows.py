"""Two windows of the program at once: what one keeps, the other does not lose."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from app.common import resources
from app.common.merging import merged_entries, merged_rows
from app.compare import file as compare_file
from app.compare.model import Comparison
from app.gear.own_tackle import OWN_FILE, read_items
from app.measure import file as sheet
from app.measure.file import Line
from app.measure.model import Measuring
from app.scenario.setup import Setup
from app.tackle.model import Shelf
from tests.app.by_hand import Live

PLUG, JIG = "sinking plug, 5 in", "heavy jig, 3 oz"
MY_PLUG, MY_JIG = f"my {PLUG}", f"my {JIG}"

Pair = tuple[Live, Live]


@pytest.fixture
def pair(make_live: Callable[[Setup], Live], demo: Setup) -> Pair:
    return make_live(demo), make_live(demo)


def own_file() -> Path:
    return resources.tackle_folder() / OWN_FILE


def names() -> list[str]:
    return [item.name for item in read_items(own_file())]


# ---- own tackle


@pytest.fixture
def shelves(pair: Pair) -> tuple[Shelf, Shelf]:
    return Shelf(pair[0].document), Shelf(pair[1].document)


def test_that_own_tackle_of_two_windows_is_kept_together(shelves: tuple[Shelf, Shelf]) -> None:
    one, two = shelves
    assert one.copy(PLUG) == MY_PLUG
    assert two.copy(JIG) == MY_JIG
    assert names() == [MY_PLUG, MY_JIG]
    assert {item.name for item in two.own} == {MY_PLUG, MY_JIG}
    assert MY_PLUG in two.catalog.lures


def test_that_undo_takes_back_only_what_this_window_did(
    shelves: tuple[Shelf, Shelf], pair: Pair
) -> None:
    one, two = shelves
    one.copy(PLUG)
    two.copy(JIG)
    pair[0].document.undo_stack.undo()
    assert names() == [MY_JIG]
    pair[0].document.undo_stack.redo()
    assert sorted(names()) == sorted([MY_PLUG, MY_JIG])
    pair[1].document.undo_stack.undo()
    assert names() == [MY_PLUG]


def test_that_the_same_thing_changed_in_two_windows_is_there_twice_and_told(
    shelves: tuple[Shelf, Shelf],
) -> None:
    one, two = shelves
    one.copy(PLUG)
    two.copy(JIG)
    said: list[str] = []
    two.trouble.connect(said.append)
    for shelf, length in ((one, 0.11), (two, 0.14)):
        item = next(item for item in shelf.own if item.name == MY_PLUG)
        shelf.put(MY_PLUG, replace(item.thing, length=length), item.source, "length")
    lengths = {item.name: item.thing.length for item in read_items(own_file())}  # type: ignore[union-attr]
    assert lengths[MY_PLUG] == pytest.approx(0.11)
    assert lengths[f"{MY_PLUG} (2)"] == pytest.approx(0.14)
    assert f"{MY_PLUG} (2)" in said[-1]


def test_that_a_thing_of_the_same_name_made_in_two_windows_is_there_twice(
    shelves: tuple[Shelf, Shelf],
) -> None:
    one, two = shelves
    one.copy(PLUG)
    item = one.own[0]
    assert one.put(MY_PLUG, replace(item.thing, length=0.11), item.source, "length")
    assert two.copy(PLUG) == f"{MY_PLUG} (2)"
    assert names() == [MY_PLUG, f"{MY_PLUG} (2)"]


def test_that_what_was_written_into_the_own_file_by_hand_stays(
    shelves: tuple[Shelf, Shelf],
) -> None:
    one, _ = shelves
    one.copy(PLUG)
    by_hand = own_file().read_text("utf-8").replace(f'"{MY_PLUG}"', '"by hand"')
    own_file().write_text(f"# mine\n{own_file().read_text('utf-8')}\n{by_hand}", encoding="utf-8")
    one.copy(JIG)
    assert sorted(names()) == sorted(["by hand", MY_PLUG, MY_JIG])
    assert own_file().read_text("utf-8").startswith("# mine\n")


# ---- measurements


@pytest.fixture
def sheets(pair: Pair) -> Iterator[tuple[Measuring, Measuring]]:
    both = [Measuring(live.document, Shelf(live.document)) for live in pair]
    yield both[0], both[1]
    for measuring in both:
        measuring.close()


def line(seconds: float) -> Line:
    return Line("dock", seconds=seconds, depth=3.0)


def test_that_measurements_of_two_windows_are_kept_together(
    sheets: tuple[Measuring, Measuring], pair: Pair
) -> None:
    one, two = sheets
    one.add((line(1.0), line(2.0)), "dock")
    two.add((line(3.0),), "dock")
    assert sheet.load().lines == two.sheet.lines == (line(1.0), line(2.0), line(3.0))
    pair[0].document.undo_stack.undo()
    assert sheet.load().lines == one.sheet.lines == (line(3.0),)
    pair[0].document.undo_stack.redo()
    assert set(sheet.load().lines) == {line(1.0), line(2.0), line(3.0)}
    pair[1].document.undo_stack.undo()
    assert sheet.load().lines == (line(1.0), line(2.0))


def test_that_how_sure_readings_are_is_merged_number_by_number(
    sheets: tuple[Measuring, Measuring],
) -> None:
    one, two = sheets
    one.set_sheet(replace(one.sheet, errors=replace(one.sheet.errors, hand=0.5)), "hand")
    two.set_sheet(replace(two.sheet, errors=replace(two.sheet.errors, felt=0.7)), "felt")
    assert (sheet.load().errors.hand, sheet.load().errors.felt) == (0.5, 0.7)


def test_that_a_sheet_damaged_meanwhile_is_set_aside_and_told(
    sheets: tuple[Measuring, Measuring],
) -> None:
    one, _ = sheets
    said: list[str] = []
    one.trouble.connect(said.append)
    one.add((line(1.0),), "dock")
    sheet.place().write_text("half a", encoding="utf-8")
    one.add((line(2.0),), "dock")
    assert sheet.load().lines == (line(1.0), line(2.0))
    aside = sheet.place().with_name("measured.damaged.csv")
    assert aside.read_text("utf-8") == "half a"
    assert aside.name in said[-1]


# ---- candidates


@pytest.fixture
def lineups(pair: Pair) -> Iterator[tuple[Comparison, Comparison]]:
    both = Comparison(pair[0].document), Comparison(pair[1].document)
    yield both
    for comparison in both:
        comparison.close()


def rename(comparison: Comparison, number: int, name: str) -> None:
    comparison.choose(number)
    comparison.change("name", name=name)


def kept() -> list[str]:
    lineup = compare_file.load(compare_file.place())
    return [] if lineup is None else [candidate.name for candidate in lineup.candidates]


def test_that_candidates_of_two_windows_are_kept_together_and_told(
    lineups: tuple[Comparison, Comparison], pair: Pair
) -> None:
    one, two = lineups
    said: list[str] = []
    two.trouble.connect(said.append)
    rename(one, 0, "one")
    one._save()
    two.choose(1)
    two.change("leader", leader_length=4.0)
    two._save()
    names = [candidate.name for candidate in two.lineup.candidates]
    assert names == kept()
    assert "one" in names
    assert "port" not in names
    # what is not named by hand is named for what it is, so by its new leader
    leaders = [candidate.leader_length for candidate in two.lineup.candidates]
    assert pytest.approx(4.0) in leaders
    assert "Another window" in said[-1]
    pair[1].document.undo_stack.undo()
    assert two.lineup.candidates[0].name == "port", "undone like any change"


def test_that_too_many_candidates_together_are_kept_in_two_files(
    lineups: tuple[Comparison, Comparison], home: Path
) -> None:
    said: list[str] = []
    lineups[1].trouble.connect(said.append)
    for comparison, what in zip(lineups, ("one", "two"), strict=True):
        while len(comparison.lineup.candidates) < 8:
            comparison.add()
            rename(comparison, comparison.chosen, f"{what} {comparison.chosen}")
        comparison._save()
    assert f"two {lineups[1].chosen}" in kept()
    assert f"one {lineups[0].chosen}" in (home / "compare.earlier.toml").read_text("utf-8")
    assert "compare.earlier.toml" in said[-1]


# ---- the merging itself


def test_that_merging_keeps_what_either_did() -> None:
    base = {"same": 1, "mine": 1, "theirs": 1, "gone here": 1, "gone there": 1, "both": 1,
            "gone and changed": 1, "changed and gone": 1}  # fmt: skip
    mine = {"same": 1, "mine": 2, "theirs": 1, "gone there": 1, "both": 2, "new": 5,
            "changed and gone": 2}  # fmt: skip
    theirs = {"same": 1, "mine": 1, "theirs": 3, "gone here": 1, "both": 3, "other": 6,
              "gone and changed": 3}  # fmt: skip
    merged, clashing = merged_entries(base, mine, theirs)
    assert merged == {"same": 1, "mine": 2, "theirs": 3, "both": 3, "other": 6, "new": 5,
                      "gone and changed": 3, "changed and gone": 2}  # fmt: skip
    assert clashing == {"both": 2}


def test_that_rows_alike_are_merged_by_how_many_there_are() -> None:
    assert merged_rows("aab", "aabb", "aabc") == tuple("aabcb")
    assert merged_rows("aab", "ab", "caab") == tuple("cab")
    assert merged_rows("ab", "", "ab") == ()
    assert merged_rows("ab", "xb", "bb") == tuple("bbx")
