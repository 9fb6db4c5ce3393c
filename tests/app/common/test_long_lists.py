"""Scenarios with thousands of rows: written fast, read back the same, a person's layout kept."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
import tomlkit
import tomlkit.items

from app.common.tables import parse_with_long_lists
from app.gear.catalog import Catalog
from app.scenario import autosave
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from physics.environment.water import Bottom
from physics.vessel.motion import PrescribedMotion

POINTS = 10_000

MOST_ITEMS = 2_000
"""Pieces a document of a demo is made of; a piece for every number would be 30,000 more."""


@pytest.fixture
def long(demo: Setup) -> Setup:
    """The first demo over a recorded bottom."""
    points = tuple((1.2345678 * i, 9.0 + math.sin(i / 37.0)) for i in range(POINTS))
    return replace(demo, water=replace(demo.water, bottom=Bottom(points, 0.3)))


@pytest.fixture
def pieces(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many pieces documents were made of since."""
    made = [0]
    real = tomlkit.items.Item.__init__

    def counted(self: tomlkit.items.Item, *args: object, **words: object) -> None:
        made[0] += 1
        real(self, *args, **words)  # type: ignore[arg-type]

    monkeypatch.setattr(tomlkit.items.Item, "__init__", counted)
    return made


def test_that_a_long_bottom_is_put_by_without_a_piece_for_every_number(
    long: Setup, home: Path, catalog: Catalog, pieces: list[int]
) -> None:
    unsaved = autosave.Unsaved()
    unsaved.keep(long, None)
    assert 0 < pieces[0] < MOST_ITEMS
    assert scenario_file.nearly_equal(unsaved.load(catalog).setup, long)
    unsaved.close()


def test_that_a_long_bottom_is_saved_without_a_piece_for_every_number(
    long: Setup, tmp_path: Path, catalog: Catalog, pieces: list[int]
) -> None:
    path = tmp_path / "long.toml"
    scenario_file.save(long, path)
    scenario_file.save(replace(long, name="again"), path)
    assert 0 < pieces[0] < 3 * MOST_ITEMS
    assert scenario_file.nearly_equal(
        scenario_file.load(path, catalog), replace(long, name="again")
    )


def test_that_a_long_list_nobody_changed_stays_as_a_person_wrote_it(
    long: Setup, tmp_path: Path, catalog: Catalog
) -> None:
    path = tmp_path / "long.toml"
    scenario_file.save(long, path)
    text = path.read_text("utf-8")
    by_hand = re.sub(r"\[0, ([\d.]+)\]", r"[ +0.0e0 ,\1 ]", text, count=1)
    by_hand = re.sub(r"(?m)^\]$", "]   # sounded by hand", by_hand, count=1)
    assert by_hand.count("sounded by hand") == 1
    assert "+0.0e0" in by_hand
    path.write_text(by_hand, encoding="utf-8")
    scenario_file.save(replace(scenario_file.load(path, catalog), name="Mine"), path)
    named = by_hand.replace('"Two rods, level bottom"', '"Mine"')
    assert path.read_text("utf-8") == named


def test_that_a_long_list_that_changed_is_written_in_its_place(
    long: Setup, tmp_path: Path, catalog: Catalog
) -> None:
    path = tmp_path / "long.toml"
    scenario_file.save(long, path)
    text = path.read_text("utf-8").replace("points_ft = [", "points_m = [", 1)
    path.write_text(f"# mine\n{text}", encoding="utf-8")
    read = scenario_file.load(path, catalog)
    deeper = tuple((along, depth + 1.0) for along, depth in read.water.bottom.points)
    changed = replace(read, water=replace(read.water, bottom=Bottom(deeper, 0.3)))
    scenario_file.save(changed, path)
    assert scenario_file.nearly_equal(scenario_file.load(path, catalog), changed)
    assert path.read_text("utf-8").startswith("# mine\n")
    assert "points_m = [" in path.read_text("utf-8")


def test_that_a_long_motion_reads_back(demo: Setup, tmp_path: Path, catalog: Catalog) -> None:
    table = tuple((0.5 * i, 2.0 + 0.1 * math.sin(i), 0.01 * i) for i in range(500))
    moving = replace(demo, motion=PrescribedMotion(table), orders=(), hold=None)
    path = tmp_path / "moving.toml"
    scenario_file.save(moving, path)
    assert scenario_file.nearly_equal(scenario_file.load(path, catalog), moving)


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_that_a_document_with_long_lists_is_what_it_was(demo: Setup, ending: str) -> None:
    numbers = ", ".join(str(i) for i in range(400))
    lists = f'[[extra]]\nlong = [{numbers}]  # "quoted"\nrows = [\n[{numbers}],\n]\n'
    words = f'words = """\nfake = [{numbers}]\n"""\n'
    for more in (lists, lists + words):
        text = f"{scenario_file.dumps(demo)}\n{more}".replace("\n", ending)
        assert tomlkit.dumps(parse_with_long_lists(text)) == text
