"""The user's own lines, lures and boats: one file in the user's folder, and files to pass on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import tomlkit

from app.common.bad_input import BadInput
from app.common.files import (
    is_there,
    make_folder,
    parse_document,
    parse_toml,
    read_text,
    set_aside,
    write_safely,
)
from app.common.locks import held
from app.common.merging import merged_entries
from app.common.names import free_name
from app.common.reading import Reader
from app.gear.catalog import GROUPS, OWN_SOURCE, ROLES, read_source, read_spread
from app.gear.tackle_file import (
    LineKind,
    read_boat,
    read_line_kind,
    read_lure,
    write_boat,
    write_line_kind,
    write_lure,
)
from physics.line.tackle import Lure
from physics.vessel.boat import Boat

OWN_FILE = "own.toml"

MOST_ITEMS = 500

HEADING = "Your own tackle and boats. Leadfall reads and writes this file; names must be unique.\n"

Thing = LineKind | Lure | Boat


@dataclass(frozen=True)
class Item:
    """One thing of the user's: its ``group`` (of catalog.GROUPS), itself, and the ``source`` of
    its values by attribute, ``default`` for the rest. ``spread`` says how sure fitted ones
    are: standard deviations as shares of the values."""

    group: str
    thing: Thing
    source: Mapping[str, str] = field(default_factory=lambda: {"default": OWN_SOURCE})
    spread: Mapping[str, float] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Its name, unique among everything."""
        return self.thing.name

    def named(self, name: str) -> Item:
        """The same under another name. Raises physics InvalidValue for a name that is none."""
        return replace(self, thing=replace(self.thing, name=name))


def group_of(thing: Thing) -> str:
    """The group of a line, lure or boat."""
    if isinstance(thing, LineKind):
        return thing.role
    return "lure" if isinstance(thing, Lure) else "boat"


def read_items(path: Path) -> tuple[Item, ...]:
    """All items of a file, in order. Raises BadInput naming file, key and value."""
    top = Reader(parse_toml(read_text(path), str(path)), str(path))
    tables = [(group, t) for group in GROUPS for t in top.tables(group, most=MOST_ITEMS)]
    top.done()
    items: list[Item] = []
    for group, table in tables:
        source, spread = read_source(table, OWN_SOURCE), read_spread(table)
        if group in ROLES:
            thing: Thing = read_line_kind(table, group)
        else:
            thing = read_lure(table) if group == "lure" else read_boat(table)
        if thing.name in [item.name for item in items]:
            table.refuse("name", "a name that stands only once in the file")
        items.append(Item(group, thing, source, spread))
    return tuple(items)


def write_items(path: Path, items: Sequence[Item], *, fresh: bool = False) -> Path | None:
    """Write a file of items, whole or not at all.

    Comments and spelling of one that is there already are kept, unless it is to be ``fresh``.
    A damaged one is set aside first; where to, or None. Raises BadInput when that fails or
    the file cannot be written.
    """
    document, aside = _document(), None
    if not fresh and is_there(path):
        try:
            read_items(path)
            document = parse_document(read_text(path), str(path))
        except BadInput as error:
            aside = _set_aside(path, error)
    for group in GROUPS:
        mine = [item for item in items if item.group == group]
        old = document.get(group)
        known = {str(t.get("name")): t for t in old} if isinstance(old, list) else {}
        array = tomlkit.aot()
        for item in mine:
            table = known.get(item.name)
            if table is None:
                table = tomlkit.table()
            _write(table, item)
            array.append(table)
        if mine:
            document[group] = array
        elif group in document:
            del document[group]
    make_folder(path.parent)
    write_safely(path, tomlkit.dumps(document))
    return aside


def load_own(folder: Path) -> tuple[Item, ...]:
    """The items in the user's own file; none if there is no file. Raises BadInput."""
    path = folder / OWN_FILE
    return read_items(path) if is_there(path) else ()


@dataclass(frozen=True)
class Update:
    """What the own file held ``before`` and holds ``after`` a change, both as it is read.

    ``renamed`` are things that had to take another name, because another window had changed
    the one of theirs; ``aside`` is where a damaged file went.
    """

    before: tuple[Item, ...]
    after: tuple[Item, ...]
    renamed: Mapping[str, str]
    aside: Path | None


def update(
    path: Path,
    base: Sequence[Item],
    mine: Sequence[Item],
    known: Sequence[Item],
    taken: Iterable[str] = (),
) -> Update:
    """Do to the own file what was done from ``base`` to ``mine``, whatever else came into it.

    Without a file that can be read, it is taken to hold what was ``known``. ``taken`` are
    names nothing of the user's own may have. Raises BadInput.
    """
    with held(path):
        try:
            theirs = read_items(path) if is_there(path) else tuple(known)
        except BadInput:
            theirs = tuple(known)
        merged, clashing = merged_entries(_by_name(base), _by_name(mine), _by_name(theirs))
        renamed: dict[str, str] = {}
        for name, item in clashing.items():
            renamed[name] = free_name(name, {*taken, *merged})
            merged[renamed[name]] = item.named(renamed[name])
        aside = write_items(path, tuple(merged.values()))
        return Update(theirs, read_items(path), renamed, aside)


def _by_name(items: Iterable[Item]) -> dict[str, Item]:
    return {item.name: item for item in items}


def _set_aside(path: Path, why: Exception) -> Path:
    # not as .toml: the catalog would read it
    aside = set_aside(path, ".txt")
    if aside is None:
        problem = "is damaged and could not be moved; to spare it, nothing is written"
        raise BadInput(str(path), "", None, "a file of tackle", problem) from why
    return aside


def joined_items(
    own: Sequence[Item], new: Iterable[Item], taken: Iterable[str]
) -> tuple[tuple[Item, ...], dict[str, str]]:
    """Own items with others added, and what was renamed because its name was taken.

    ``taken`` are names of the shipped things. An item that is there already,
    the same in every value, is not added again.
    """
    out, renamed = list(own), {}
    names = {*taken, *(item.name for item in own)}
    for item in new:
        if any(mine.thing == item.thing for mine in own):
            continue
        name = free_name(item.name, names)
        if name != item.name:
            renamed[item.name] = name
        names.add(name)
        out.append(item.named(name))
    return tuple(out), renamed


def _document() -> tomlkit.TOMLDocument:
    document = tomlkit.document()
    document.add(tomlkit.comment(HEADING.strip()))
    return document


def _write(table: tomlkit.items.Table, item: Item) -> None:
    thing = item.thing
    if isinstance(thing, LineKind):
        write_line_kind(table, thing)
    elif isinstance(thing, Lure):
        write_lure(table, thing)
    else:
        write_boat(table, thing)
    source = dict(item.source)
    usual = source == {"default": OWN_SOURCE}
    for key, said in (("source", {} if usual else source), ("spread", dict(item.spread))):
        if said:
            rows = tomlkit.table()
            rows.update(said)
            table[key] = rows
        else:
            table.pop(key, None)
