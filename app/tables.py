"""Small edits of a TOML document that leave alone what need not change.

Depends on: nothing.
"""

from __future__ import annotations

from collections.abc import MutableMapping
from typing import Any

import tomlkit

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


def set_rows(table: Table, key: str, rows: list[list[float | int]]) -> None:
    """Write a list of rows of numbers unless it already stands there."""
    if key in table and [list(row) for row in table[key]] == rows:
        return
    array = tomlkit.array()
    array.extend(rows)
    table[key] = array.multiline(len(rows) > 4)
