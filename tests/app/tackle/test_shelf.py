"""Own tackle on the shelf: what the person made is there still, whatever disk or editor did."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.common import resources
from app.common.bad_input import BadInput
from app.gear import own_tackle
from app.gear.catalog import Catalog
from app.gear.own_tackle import OWN_FILE, Item, read_items
from app.tackle.model import Shelf
from physics.checks import InvalidValue
from tests.app.by_hand import Live

PLUG, JIG = "sinking plug, 5 in", "heavy jig, 3 oz"
MY_PLUG, MY_JIG = f"my {PLUG}", f"my {JIG}"


@pytest.fixture
def said() -> list[str]:
    return []


@pytest.fixture
def shelf(live: Live, said: list[str]) -> Shelf:
    """A shelf with one thing of the user's own."""
    shelf = Shelf(live.document)
    shelf.trouble.connect(said.append)
    assert shelf.copy(PLUG) == MY_PLUG
    return shelf


@pytest.fixture
def own(shelf: Shelf) -> Path:
    return resources.tackle_folder() / OWN_FILE


def names(path: Path) -> list[str]:
    return [item.name for item in read_items(path)]


def full(*_: object, **__: object) -> None:
    raise BadInput("the disk", "", None, "room", "is full")


# ---- passing on


def test_that_passing_on_writes_a_file_anew(shelf: Shelf, tmp_path: Path) -> None:
    path = tmp_path / "passed.toml"
    path.write_text("# somebody's\n[[lure]]\nname = 'half a", encoding="utf-8")
    shelf.pass_on(path, [MY_PLUG])
    assert names(path) == [MY_PLUG]
    assert "somebody" not in path.read_text("utf-8")
    assert list(tmp_path.glob("passed*")) == [path]


def test_that_passing_on_to_a_full_disk_leaves_the_file_that_was_there(
    shelf: Shelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "passed.toml"
    path.write_text("precious", encoding="utf-8")
    monkeypatch.setattr(own_tackle, "write_safely", full)
    with pytest.raises(BadInput, match="is full"):
        shelf.pass_on(path, [MY_PLUG])
    assert path.read_text("utf-8") == "precious"


@pytest.mark.parametrize("name", [OWN_FILE, "another.toml"])
def test_that_nothing_is_passed_on_into_the_folder_of_own_tackle(
    shelf: Shelf, own: Path, name: str
) -> None:
    before = own.read_bytes()
    with pytest.raises(BadInput, match="in the folder your own tackle is kept in"):
        shelf.pass_on(own.parent / ".." / own.parent.name / name, [PLUG])
    assert own.read_bytes() == before
    assert list(own.parent.glob("*.toml")) == [own]


# ---- a file damaged by hand while the program runs


def test_that_a_file_damaged_meanwhile_is_set_aside_and_told(
    shelf: Shelf, own: Path, said: list[str]
) -> None:
    own.write_text("[[lure]]\nname = 'half a", encoding="utf-8")
    assert shelf.copy(JIG) == MY_JIG
    aside = own.with_name("own.damaged.txt")
    assert aside.read_text("utf-8").endswith("half a")
    assert names(own) == [MY_PLUG, MY_JIG]
    assert len(said) == 1
    assert "own.damaged.txt" in said[0]
    assert MY_JIG in Catalog.load().lures, "the spare is no tackle to choose from"


def test_that_a_damaged_file_that_cannot_be_moved_is_not_written_over(
    shelf: Shelf, own: Path, said: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    own.write_text("half a", encoding="utf-8")
    monkeypatch.setattr(own_tackle, "set_aside", lambda *_: None)
    for _ in range(2):
        assert shelf.copy(JIG) is None
        assert "could not be moved" in said.pop()
    assert own.read_text("utf-8") == "half a"
    assert [item.name for item in shelf.own] == [MY_PLUG]


# ---- what was fitted


def test_that_the_scenario_is_as_unsure_as_usual_of_a_fitted_value_typed_over(
    shelf: Shelf, live: Live
) -> None:
    document, fitted = live.document, live.document.catalog.lures[PLUG]
    item = Item("lure", fitted, {"default": "a fit"}, {"mass": 0.01}).named("fitted plug")
    assert shelf.add(item, "save a fit") == "fitted plug"
    plain = document.setup
    rods = tuple(replace(rod, lure="fitted plug") for rod in plain.rods)
    sure = replace(plain, rods=rods, doubt=replace(plain.doubt, lure_weight=0.01))
    document.edit(sure, "use what was fitted")
    thing = shelf.catalog.lures["fitted plug"]
    assert shelf.put("fitted plug", replace(thing, lip_area=1e-4), item.source, "lip")
    assert document.setup == sure
    heavier = replace(shelf.catalog.lures["fitted plug"], mass=1.1 * thing.mass)
    assert shelf.put("fitted plug", heavier, item.source, "mass")
    assert document.setup == replace(sure, doubt=plain.doubt)
    document.undo_stack.undo()
    assert document.setup == sure
    assert shelf.catalog.lures["fitted plug"].mass == thing.mass
    assert shelf.catalog.spreads["fitted plug"] == {"mass": 0.01}
    document.undo_stack.redo()
    assert document.setup == replace(sure, doubt=plain.doubt)


# ---- changes that will not do


def test_that_a_change_another_file_of_the_folder_forbids_is_told_and_taken_back(
    shelf: Shelf, own: Path, said: list[str]
) -> None:
    shelf.copy(JIG)
    text = own.read_text("utf-8")
    assert shelf.remove(MY_JIG)
    before = own.read_bytes()
    with_both = text.replace(MY_PLUG, "another plug")
    own.with_name("another.toml").write_text(with_both, encoding="utf-8")
    shelf._document.undo_stack.undo()
    assert own.read_bytes() == before
    assert [item.name for item in shelf.own] == [MY_PLUG]
    assert MY_PLUG in shelf.catalog.lures
    for words in ("Not kept", "own.toml", MY_JIG, "another.toml"):
        assert words in said[0]


def test_that_a_change_that_cannot_be_taken_back_in_the_file_is_told(
    shelf: Shelf, said: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_catalog: Catalog) -> None:
        monkeypatch.setattr(own_tackle, "write_safely", full)
        raise InvalidValue("lure", "it", "another")

    monkeypatch.setattr(shelf._document, "set_catalog", refuse)
    assert shelf.copy(JIG) is None
    for words in ("could not be run", "could not be written again", "is full"):
        assert words in said[0]
