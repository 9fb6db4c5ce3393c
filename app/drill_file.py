"""A teacher's set of rounds in a TOML file, so that all trainees get the same ones.

Depends on: reading, files; physics.checks.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import tomlkit

from app.files import parse_toml, read_text, write_safely
from app.reading import MOST_WORDS, Reader
from physics.checks import Unusable, require_name

FORMAT = 1
"""Version of the file's layout."""

LEVELS = (1, 5)
SEEDS = (0, 2**31)
MOST_ROUNDS = 200


@dataclass(frozen=True, slots=True)
class SetRound:
    """One round: ``level`` 1 to 5, ``seed`` 0 to 2**31, the teacher's ``words`` on any lines.

    Raises Unusable (level, seed, words).
    """

    level: int
    seed: int
    words: str = ""

    def __post_init__(self) -> None:
        for name, limits in (("level", LEVELS), ("seed", SEEDS)):
            value = getattr(self, name)
            whole = isinstance(value, int) and not isinstance(value, bool)
            if not whole or not limits[0] <= value <= limits[1]:
                raise Unusable(name, value, f"a whole number from {limits[0]} to {limits[1]}")
        if len(self.words) > MOST_WORDS or not _can_be_shown(self.words):
            raise Unusable("words", self.words, f"up to {MOST_WORDS} printable characters")


@dataclass(frozen=True, slots=True)
class DrillSet:
    """A named set of 1 to 200 rounds, in the order they are done.

    Raises Unusable (name, rounds).
    """

    name: str
    rounds: tuple[SetRound, ...]

    def __post_init__(self) -> None:
        require_name("name", self.name)
        if not 1 <= len(self.rounds) <= MOST_ROUNDS:
            raise Unusable("rounds", len(self.rounds), f"1 to {MOST_ROUNDS} rounds")


def load(path: Path) -> DrillSet:
    """The set in a file. Raises BadInput with file, key and value."""
    top = Reader(parse_toml(read_text(path), str(path)), str(path))
    version = top.whole("version", 1, 10**6)
    if version > FORMAT:
        top.refuse("version", f"{FORMAT}", "was written by a newer Leadfall than this one")
    top.only("version", "name", "round")
    name = top.text("name")
    rows = top.tables("round", 1, MOST_ROUNDS)
    return DrillSet(name, tuple(_round(row) for row in rows))


def save(rounds: DrillSet, path: Path) -> None:
    """Write a set. Raises BadInput when the place cannot be written."""
    document = tomlkit.document()
    document["version"], document["name"] = FORMAT, rounds.name
    rows = tomlkit.aot()
    for one in rounds.rounds:
        table = tomlkit.table()
        table["level"], table["seed"] = one.level, one.seed
        if one.words:
            # a line break at the start of a text of many lines would be lost
            many = "\n" in one.words and not one.words.startswith("\n")
            table["words"] = tomlkit.string(one.words, multiline=many)
        rows.append(table)
    document["round"] = rows
    write_safely(path, tomlkit.dumps(document))


def _round(reader: Reader) -> SetRound:
    reader.only("level", "seed", "words")
    level, seed = reader.whole("level", *LEVELS), reader.whole("seed", *SEEDS)
    words = reader.words("words")
    if not _can_be_shown(words):
        reader.refuse("words", "printable characters")
    return SetRound(level, seed, words)


def _can_be_shown(words: str) -> bool:
    return all(c.isprintable() or c == "\n" for c in words)
