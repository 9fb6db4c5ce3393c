"""Scenario files: load, save, and the demos shipped with the program."""

from __future__ import annotations

import math
import re
from contextlib import suppress
from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from app.common import resources
from app.common.bad_input import BadInput
from app.common.files import parse_document, parse_toml, read_text, write_safely
from app.gear.catalog import Catalog
from app.scenario.order_tables import plain_line_order, plain_order
from app.scenario.read import check_setup, read_setup
from app.scenario.setup import Setup
from app.scenario.write import write_setup


def load(path: Path, catalog: Catalog) -> Setup:
    """The Setup in a file, checked as a whole. Raises BadInput."""
    return loads(read_text(path), str(path), catalog)


def loads(text: str, name: str, catalog: Catalog) -> Setup:
    """The Setup in a TOML text; ``name`` is what messages call it. Raises BadInput."""
    tables = parse_toml(text, name)
    setup = read_setup(tables, name)
    check_setup(setup, catalog, tables, name)
    return setup


def save(setup: Setup, path: Path, like: Path | None = None) -> None:
    """Write a Setup so that ``load`` gives it back to 1e-9, whole or not at all.

    Comments, key order and units of the file that is there (or of ``like``)
    are kept; only what changed is rewritten. Raises BadInput when the file
    cannot be written, or the setup could not be read back.
    """
    write_safely(path, dumps(setup, str(path), _old_text(like or path)))


def dumps(setup: Setup, name: str = "scenario", old: str = "") -> str:
    """A Setup as TOML text, keeping comments and order of the ``old`` text where possible."""
    plain = _plain(setup)
    if old:
        # a user's unusual layout may defeat editing in place; a fresh file never does
        with suppress(TOMLKitError, BadInput, TypeError, ValueError, KeyError, AttributeError):
            return _edited(plain, name, old)
    return _edited(plain, name, "")


def plain_text(setup: Setup) -> str:
    """A Setup as TOML text, at once and unchecked: ``loads`` tells whether it reads back."""
    document = tomlkit.document()
    write_setup(document, _plain(setup))
    return tomlkit.dumps(document)


def _plain(setup: Setup) -> Setup:
    return replace(
        setup,
        rods=tuple(rod.plain() for rod in setup.rods),
        orders=tuple(plain_order(order) for order in setup.orders),
        line_orders=tuple(plain_line_order(order) for order in setup.line_orders),
    )


def _edited(setup: Setup, name: str, old: str) -> str:
    """The ``old`` text brought up to date. Raises BadInput unless it reads back as the setup."""
    document = parse_document(old, name)
    write_setup(document, setup)
    text = tomlkit.dumps(document)
    tries = [_spaced(text), text] if _spaced(old) == old else [text]
    for tried in tries:
        if nearly_equal(read_setup(parse_toml(tried, name), name), setup):
            return tried
    raise BadInput(name, "", setup.name, "a setup that reads back the same", "is not writable")


def _spaced(text: str) -> str:
    """With one blank line before every table that follows a key."""
    return re.sub(r"(?m)^([\w\]}][^\n]*)\n+(?=\[)", r"\1\n\n", text)


def demos() -> list[Path]:
    """The demo scenarios shipped with the program, the default one first."""
    return sorted(resources.asset("demos").glob("*.toml"))


def nearly_equal(a: object, b: object, tolerance: float = 1e-9) -> bool:
    """Whether two setups (or any of their parts) agree, numbers to ``tolerance``.

    The tolerance is relative for numbers above 1 and absolute below.
    """
    if isinstance(a, float | int) and isinstance(b, float | int):
        return math.isclose(a, b, rel_tol=tolerance, abs_tol=tolerance)
    if type(a) is not type(b):
        return False
    if is_dataclass(a):
        return all(
            nearly_equal(getattr(a, f.name), getattr(b, f.name), tolerance) for f in fields(a)
        )
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(
            nearly_equal(x, y, tolerance) for x, y in zip(a, b, strict=True)
        )
    return a == b


def _old_text(path: Path) -> str:
    try:
        return read_text(path)
    except BadInput:
        return ""
