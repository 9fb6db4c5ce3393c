"""The document keeps what a person made: its changes, its undo and its file."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from shiboken6 import isValid

from app.common.bad_input import BadInput
from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.scenario.autosave import Kept
from app.scenario.setup import Setup
from app.session.document import Document
from app.session.edit import UNDO_LIMIT, Edit
from tests.app.by_hand import Live


@pytest.fixture
def document(qapp: QApplication, catalog: Catalog, demo: Setup) -> Iterator[Document]:
    """The first demo, of no file."""
    made = Document(catalog, demo)
    yield made
    made.undo_stack.clear()


def rename(document: Document, name: str) -> None:
    assert document.edit(replace(document.setup, name=name), "name")


def test_that_edits_of_one_field_in_a_row_undo_as_one(live: Live) -> None:
    old = live.document.setup
    for colors in (9.0, 8.0, 7.0):
        rod = replace(live.document.setup.rods[0], line_out=colors * 9.0)
        changed = replace(live.document.setup, rods=(rod, *live.document.setup.rods[1:]))
        live.document.edit(changed, "colors out", "colors out 0")
    live.document.edit(replace(live.document.setup, name="Other"), "name", "name")
    assert live.document.undo_stack.count() == 2
    live.document.undo_stack.undo()
    live.document.undo_stack.undo()
    assert live.document.setup == old


class Seen(Setup):
    """A setup of which a test sees whether it is still there."""

    __slots__ = ("__weakref__",)

    @staticmethod
    def of(setup: Setup) -> Seen:
        return Seen(**{one.name: getattr(setup, one.name) for one in fields(setup)})


def test_that_what_lies_between_merged_edits_is_let_go(document: Document) -> None:
    document.open(Seen.of(document.setup))
    between = []
    for speed in (1.2, 1.3, 1.4):
        assert document.edit(replace(document.setup, speed=speed), "speed", "speed")
        between.append(weakref.ref(document.setup))
    assert [setup() is None for setup in between] == [True, True, False]


def halves() -> list[bool]:
    """Of every command's Python half, whether it has its other half."""
    return [isValid(one) for one in gc.get_objects() if isinstance(one, Edit)]


def test_that_merged_edits_leave_no_dead_half_for_the_collector_to_walk(document: Document) -> None:
    before = halves()
    for speed in (1.2, 1.3, 1.4):
        assert document.edit(replace(document.setup, speed=speed), "speed", "speed")
    assert document.undo_stack.count() == 1
    assert (halves().count(False), len(halves())) == (before.count(False), len(before) + 1)


def test_that_an_edit_after_an_undo_is_a_change_of_its_own(document: Document) -> None:
    for speed in (1.2, 1.3):
        assert document.edit(replace(document.setup, speed=speed), "speed", "speed")
    rename(document, "Other")
    document.undo_stack.undo()
    assert document.edit(replace(document.setup, speed=1.4), "speed", "speed")
    document.undo_stack.undo()
    assert document.setup.speed == 1.3


def test_that_the_oldest_of_very_many_edits_is_forgotten(document: Document) -> None:
    document.open(Seen.of(document.setup))
    rename(document, "first")
    first = weakref.ref(document.setup)
    for number in range(UNDO_LIMIT + 1):
        rename(document, str(number))
    assert document.undo_stack.count() == UNDO_LIMIT
    assert first() is None


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"line_out": 1e9}, "line_out"),
        ({"lure": "no such lure"}, "lure"),
        ({"name": "starboard"}, "different name"),
        ({"height": 99.0}, "height"),
    ],
)
def test_that_an_edit_without_sense_is_refused_in_words_and_changes_nothing(
    live: Live, change: dict[str, object], told: str
) -> None:
    live_run = live.live_run
    old = live.document.setup
    live.sail(1.0)
    rod = replace(old.rods[0], **change)  # type: ignore[arg-type]
    assert not live.document.edit(replace(old, rods=(rod, *old.rods[1:])), "odd")
    assert live.document.setup is old
    assert not live_run.settling
    assert live.document.undo_stack.count() == 0
    assert live_run.now == pytest.approx(1.0, abs=1e-9)
    (words,) = live.said
    assert told in words


def test_that_a_document_is_changed_until_saved_and_again_when_that_is_undone(
    document: Document, tmp_path: Path
) -> None:
    assert not document.changed
    rename(document, "Other")
    assert document.changed
    document.save_to(tmp_path / "own.toml")
    assert (document.path, document.changed) == (tmp_path / "own.toml", False)
    document.undo_stack.undo()
    assert document.changed


def test_that_what_is_saved_is_opened_again(document: Document, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    rename(document, "Other")
    document.save_to(path)
    rename(document, "Third")
    document.open_file(path)
    assert document.setup.name == "Other"
    assert not document.changed
    assert not document.undo_stack.canUndo()


def test_that_a_demo_has_no_file_of_its_own(document: Document) -> None:
    document.open_file(scenario_file.demos()[1], demo=True)
    assert document.path is None
    assert not document.changed
    assert not document.changed_outside


def test_that_a_file_that_cannot_be_read_changes_nothing(
    document: Document, tmp_path: Path
) -> None:
    path, bad = tmp_path / "own.toml", tmp_path / "bad.toml"
    document.save_to(path)
    rename(document, "Other")
    before = document.setup
    bad.write_text("name = ", encoding="utf-8")
    with pytest.raises(BadInput, match=r"bad\.toml"):
        document.open_file(bad)
    assert (document.setup, document.path, document.changed) == (before, path, True)
    assert document.undo_stack.canUndo()


def test_that_only_somebody_elses_writing_counts_as_changed_outside(
    document: Document, tmp_path: Path
) -> None:
    path = tmp_path / "own.toml"
    document.save_to(path)
    assert not document.changed_outside
    path.write_text(path.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    assert document.changed_outside
    document.open_file(path)
    assert not document.changed_outside


def test_that_unsaved_changes_brought_back_still_belong_to_their_file(
    document: Document, demo: Setup, tmp_path: Path
) -> None:
    path = tmp_path / "own.toml"
    document.save_to(path)
    document.open_unsaved(Kept(demo, path, "another fingerprint"))
    assert (document.setup, document.path, document.changed) == (demo, path, True)
    assert document.changed_outside
