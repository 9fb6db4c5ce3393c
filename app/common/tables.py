"""Small edits of a TOML document that leave alone what need not change."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import MutableMapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import String, StringType, Trivia

from app.common.quantities import tidy

Table = MutableMapping[str, Any]


def set_value(table: Table, key: str, value: Any) -> None:
    """Write a value unless it already stands there."""
    if key not in table or table[key] != value:
        table[key] = value


def subtable(parent: Table, key: str) -> Table:
    """The table at a key, made empty when there is none."""
    if not isinstance(parent.get(key), MutableMapping):
        parent[key] = tomlkit.table()
    made: Table = parent[key]
    return made


MANY = 40
"""Longer lists of rows are written by ourselves: tomlkit takes seconds for thousands."""

_LONG = re.compile(
    r"(?m)^([ \t]*[\w-]+[ \t]*=[ \t]*)(\[[\[\]\s\d.,+\-eE]{1000,}\])(?=[ \t]*(?:#|\r?$))"
)
"""A key with a long list of nothing but numbers, down to the end of its last line."""


class Rows(String):
    """Rows of numbers that stand in a document as a text of their own."""

    @classmethod
    def of(cls, text: str) -> Rows:
        """The rows a text spells, brackets and all."""
        return cls(StringType.SLB, text, text, Trivia())

    def as_string(self) -> str:
        """The rows as they stand in the file."""
        return str(self)

    def rows(self) -> list[list[float | int]]:
        """The rows themselves. Raises ValueError where they are none."""
        try:
            found: list[list[float | int]] = json.loads(re.sub(r",\s*\]", "]", self))
        except ValueError:
            found = tomllib.loads(f"rows = {self}")["rows"]
        return found


def parse_with_long_lists(text: str) -> tomlkit.TOMLDocument:
    """As ``tomlkit.parse``, with long lists of numbers left unparsed. Raises ParseError."""
    long: list[str] = []

    def lift(found: re.Match[str]) -> str:
        long.append(found[2])
        return f'{found[1]}"{_STAND_IN}{len(long) - 1}"'

    document = tomlkit.parse(_LONG.sub(lift, text))
    # one that only looks like a key and its list, in the middle of somebody's words, is not found
    return document if _put_back(document, long) == len(long) else tomlkit.parse(text)


_STAND_IN = "\ue000long list "


def _put_back(table: Any, long: Sequence[str]) -> int:
    """Put the lists in place of what stands for them; how many were found."""
    found = 0
    for key, value in list(
        table.items() if isinstance(table, MutableMapping) else enumerate(table)
    ):
        if isinstance(value, str) and value.startswith(_STAND_IN):
            table[key] = Rows.of(long[int(value.removeprefix(_STAND_IN))])
            found += 1
        elif isinstance(value, MutableMapping | list):
            found += _put_back(value, long)
    return found


def set_rows(table: Table, key: str, rows: Sequence[Sequence[float]]) -> None:
    """Write a list of rows of numbers, tidied, unless it already stands there."""
    old = table.get(key)
    tidied = None
    if old is not None or len(rows) <= MANY:
        tidied = [[tidy(value) for value in row] for row in rows]
        if tidied == _plain(old):
            return
    if len(rows) > MANY:
        # as ``tidy`` has them
        line = "    [" + ", ".join(["%.12g"] * len(rows[0])) + "]"
        table[key] = Rows.of("[\n" + ",\n".join([line % tuple(row) for row in rows]) + ",\n]")
        return
    array = tomlkit.array()
    array.extend(tidied or [])
    table[key] = array.multiline(len(rows) > 4)


def _plain(old: Any) -> list[Any] | None:
    """The rows that stand there, or None."""
    try:
        return old.rows() if isinstance(old, Rows) else [list(row) for row in old]
    except (TypeError, ValueError):
        return None
