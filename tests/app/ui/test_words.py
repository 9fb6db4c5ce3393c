"""One term a thing: what once had two names is called by the one that DEVELOPERS.md lists."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import app

ROOM = Path(app.__file__).parent

OTHER_NAMES = (
    "as she goes", "gathering way", "lure counts within", "8 in 10", "8 in\n10", "needs\nhold",
    "miss\nby", "take in", "taken in", "pass on", "free-fall", "on its own from", "shipped with",
    "fouls first", "fouls the bottom", "a line touched\\Z", "half time", "80 % interval",
    "timed falls?", "safe hold time", "cursor", "crosshair", "the clearance",
)  # fmt: skip


def told(source: str) -> Iterator[tuple[int, str]]:
    """The texts of a module but its docstrings and keys."""
    tree = ast.parse(source)
    said = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in said:
            yield node.lineno, node.value


def test_that_nothing_is_called_by_another_name_than_the_one_listed() -> None:
    other = re.compile("|".join(OTHER_NAMES), re.IGNORECASE)
    found = [
        f"{path.relative_to(ROOM)}:{line}: {text}"
        for path in sorted(ROOM.rglob("*.py"))
        for line, text in told(path.read_text(encoding="utf-8"))
        if other.search(text)
    ]
    assert found == []
    assert other.search("Lure counts within")
