"""The candidates kept between starts: a TOML file in the user's folder."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from pathlib import Path
from typing import Any

import tomlkit

from app.common import scales
from app.common.bad_input import BadInput
from app.common.files import is_there, make_folder, parse_toml, read_text, set_aside, write_safely
from app.common.locks import held
from app.common.merging import merged_entries, merged_value
from app.common.names import free_name
from app.common.quantities import Quantity, spell
from app.common.reading import Reader
from app.common.resources import user_folder
from app.compare.candidates import DEPTHS, HOLDS, MOST, Candidate, Lineup
from app.scenario import keys
from physics.checks import InvalidValue

FORMAT = 2
"""Version of the file's layout, the number after ``compare =``. Of 1 all names are a person's."""

HOLD = Quantity("hold", spell("hold", "s"), HOLDS, None, scales.SECONDS, "hold out of gear")
DEPTH = Quantity("depth", spell("depth", "ft", "m"), DEPTHS, None, scales.DEPTH, "chosen depth")

HEAD = " The candidates of the Compare page; Leadfall writes this file anew when they change."


def place() -> Path:
    """Where the file is kept; it may not exist."""
    return user_folder() / "compare.toml"


def load(path: Path) -> Lineup | None:
    """The candidates kept, or None if there is no such file.

    Names of tackle are not looked up. Raises BadInput with file, key and value.
    """
    return _loads(read_text(path), str(path)) if is_there(path) else None


def _loads(text: str, name: str) -> Lineup:
    top = Reader(parse_toml(text, name), name)
    version = top.whole("compare", 1, 10**6)
    if version > FORMAT:
        top.refuse("compare", f"{FORMAT}", "was written by a newer Leadfall than this one")
    hold, depth = HOLD.read(top), DEPTH.read(top)
    rows = top.tables("candidate", 1, MOST)
    top.done()
    lineup = Lineup(tuple(_candidate(row, named=version == 1) for row in rows), hold, depth)
    names = [candidate.name for candidate in lineup.candidates]
    for number, taken in enumerate(names):
        if taken in names[:number]:
            rows[number].refuse("name", "a different name for each", "is there twice")
    try:
        lineup.check()
    except InvalidValue as error:
        raise BadInput(name, error.field, error.value, error.allowed) from error
    return lineup


def _candidate(reader: Reader, named: bool) -> Candidate:
    name, lure, alone = reader.text("name"), reader.text("lure"), reader.flag("alone")
    line = reader.text("line")
    out = Candidate(
        name, lure, alone, None if line == keys.NO_LEADCORE else line,
        keys.LINE_OUT.read(reader), keys.ON_REEL.read(reader), reader.text("backing"),
        reader.text("leader"), keys.LEADER_LENGTH.read(reader), keys.ASTERN.read(reader),
        keys.HEIGHT.read(reader), reader.flag("named") or named,
    )  # fmt: skip
    reader.done()
    return out


def save(lineup: Lineup, path: Path) -> None:
    """Write the candidates. Raises BadInput when the place cannot be written."""
    make_folder(path.parent)
    write_safely(path, _dumps(lineup))


def _dumps(lineup: Lineup) -> str:
    document = tomlkit.document()
    document.add(tomlkit.comment(HEAD.strip()))
    document["compare"] = FORMAT
    HOLD.write(document, lineup.hold)
    DEPTH.write(document, lineup.depth)
    rows = tomlkit.aot()
    for candidate in lineup.candidates:
        rows.append(_table(candidate))
    document["candidate"] = rows
    return tomlkit.dumps(document)


def _table(candidate: Candidate) -> Any:
    table = tomlkit.table()
    table["name"], table["lure"] = candidate.name, candidate.lure
    if candidate.named:
        table["named"] = True
    if candidate.alone:
        table["alone"] = True
    table["line"] = keys.NO_LEADCORE if candidate.line is None else candidate.line
    keys.LINE_OUT.write(table, candidate.line_out)
    keys.ON_REEL.write(table, candidate.on_reel, shown=True)
    table["backing"], table["leader"] = candidate.backing, candidate.leader
    keys.LEADER_LENGTH.write(table, candidate.leader_length)
    keys.ASTERN.write(table, candidate.astern)
    keys.HEIGHT.write(table, candidate.height)
    return table


def forget(path: Path) -> None:
    """There are no candidates of the user's own any more."""
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)


def update(path: Path, base: Lineup, mine: Lineup, usual: Lineup) -> tuple[Lineup, Path | None]:
    """Do to the candidates that are kept what was done from ``base`` to ``mine``; what they are.

    Another window of the program may have written to them since ``base``. The ``usual`` ones
    leave no file. Second: where a file went that cannot be read, or whose candidates would
    have been too many together; or None. Raises BadInput, also when such a one cannot be moved.
    """
    with held(path):
        aside = None
        try:
            found = load(path)
        except BadInput:
            aside, found = _moved(path), None
        lineup = mine
        if found is not None:
            # as the file has them, digits and all
            then, now = (_loads(_dumps(each), str(path)) for each in (base, mine))
            together = _merged(then, now, found)
            if together is None:
                aside = _moved(path)
            elif together != now:
                lineup = together
        if lineup == usual:
            forget(path)
        else:
            save(lineup, path)
        return lineup, aside


def _merged(base: Lineup, mine: Lineup, theirs: Lineup) -> Lineup | None:
    """``theirs`` with what was done from ``base`` to ``mine`` done to it, or None if too many."""
    merged, clashing = merged_entries(*(_by_name(each) for each in (base, mine, theirs)))
    for candidate in clashing.values():
        name = free_name(candidate.name, list(merged))
        merged[name] = replace(candidate, name=name)
    if not 1 <= len(merged) <= MOST:
        return None
    return Lineup(
        tuple(merged.values()),
        merged_value(base.hold, mine.hold, theirs.hold),
        merged_value(base.depth, mine.depth, theirs.depth),
    )


def _by_name(lineup: Lineup) -> dict[str, Candidate]:
    return {candidate.name: candidate for candidate in lineup.candidates}


def _moved(path: Path) -> Path:
    aside = set_aside(path, word="earlier")
    if aside is None:
        problem = "was changed in another window and cannot be moved; to spare it, nothing is kept"
        raise BadInput(str(path), "", None, "candidates", problem)
    return aside
