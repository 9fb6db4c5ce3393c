"""The file of the user's own tackle: written, read back, joined, refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.names import free_name
from app.gear import own_tackle
from app.gear.catalog import Catalog
from app.gear.own_tackle import Item, joined_items, read_items, write_items
from app.gear.tackle_fields import FIELDS
from physics.line.tackle import Lure

PLUG = "sinking plug, 5 in"


def test_that_items_written_are_read_back_the_same(tmp_path: Path, catalog: Catalog) -> None:
    things = [
        *list(catalog.lines.values())[:3],
        *catalog.lures.values(),
        *catalog.boats.values(),
    ]
    items = tuple(
        Item(own_tackle.group_of(thing), thing, dict(catalog.sources[thing.name]))
        for thing in things
    )
    path = tmp_path / "mine.toml"
    write_items(path, items)
    back = read_items(path)
    assert {item.name for item in back} == {item.name for item in items}
    for item in back:
        twin = next(other for other in items if other.name == item.name)
        assert item.group == twin.group
        assert dict(item.source) == dict(twin.source)
        for attribute in FIELDS["boat" if item.group == "boat" else
                                "lure" if item.group == "lure" else "line"]:  # fmt: skip
            name = attribute.attribute
            assert getattr(item.thing, name) == pytest.approx(getattr(twin.thing, name), rel=1e-11)


def test_that_comments_and_units_in_the_own_file_outlive_a_change(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(
        '# from the garage\n[[lure]]\nname = "red one"  # the good one\nkind = "spoon"\n'
        "mass_oz = 2\nvolume_ml = 20\nlength_in = 4\nend_area_cm2 = 3\nbroadside_area_cm2 = 20\n",
        encoding="utf-8",
    )
    (item,) = read_items(path)
    assert isinstance(item.thing, Lure)
    write_items(path, (replace(item, thing=replace(item.thing, length=0.127)),))
    text = path.read_text("utf-8")
    assert "# from the garage" in text
    assert "# the good one" in text
    assert "mass_oz = 2\n" in text
    assert "length_in = 5" in text


def test_that_names_taken_are_made_free_when_tackle_is_taken_in(catalog: Catalog) -> None:
    plug = catalog.lures[PLUG]
    other = replace(plug, mass=2.0 * plug.mass)
    own, renamed = joined_items((), [Item("lure", other), Item("lure", plug)], [PLUG])
    assert [item.name for item in own] == [f"{PLUG} (2)", f"{PLUG} (3)"]
    assert renamed == {PLUG: f"{PLUG} (3)"}
    again, _ = joined_items(own, [own[0]], [PLUG])
    assert again == own


def test_that_a_free_name_is_never_longer_than_a_name_may_be() -> None:
    long = "x" * 60
    assert free_name("new", ["old"]) == "new"
    assert free_name(long, [long]) == "x" * 56 + " (2)"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[[lure]]\nname = "a"\n', "kind"),
        ("[[lure]\n", "not TOML"),
        ("[[hook]]\nname = 'a'\n", "hook"),
        (
            '[[boat]]\nname = "a"\ntrolling_speed_kn = 7\nhalf_time_s = 4\nengines = 1\n' * 2,
            "stands only once",
        ),
        ('[[boat]]\nname = "a"\ntrolling_speed_kn = 7\nhalf_time_s = -4\nengines = 1\n', "half"),
    ],
)
def test_that_a_damaged_file_of_tackle_is_refused_by_name(
    tmp_path: Path, text: str, words: str
) -> None:
    path = tmp_path / "theirs.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as refused:
        read_items(path)
    assert str(path) in str(refused.value)
    assert words in str(refused.value)
