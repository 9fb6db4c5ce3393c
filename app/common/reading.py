"""Read a TOML table key by key, and refuse what cannot be used in one clear sentence."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from typing import Any, NoReturn

from app.common.bad_input import BadInput
from app.common.units import Unit

Spelling = Mapping[str, Unit]
"""Keys that all give one value, each with the unit it is in."""

LIKELY_THE_SAME = 0.85
"""From this likeness on, an unknown key is taken for a missing one misspelled."""

MOST_COMPARED = 200
"""Keys looked through for a misspelled one."""

MOST_NUMBER = 1e10
"""Largest number in a row: a limit of 1e9 m is more in feet."""

MOST_WORDS = 4000
"""Longest free text, characters."""


class Reader:
    """One table of a file. ``done`` refuses the keys nobody asked for.

    Every method raises BadInput naming the file and the path of keys.
    """

    def __init__(self, table: Mapping[str, Any], file: str, path: str = "") -> None:
        self.raw, self.file, self.path = table, file, path
        self._known: list[str] = []

    def where(self, key: str) -> str:
        """The path of a key as a person would say it: ``rod 2, colors_out``."""
        return ", ".join(part for part in (self.path, key) if part)

    def refuse(self, key: str, allowed: str, problem: str = "is not usable") -> NoReturn:
        """Raise BadInput about the value at ``key`` (or its absence)."""
        if key and key not in self.raw:
            given = list(self.raw)[:MOST_COMPARED]
            near = difflib.get_close_matches(key, given, n=1, cutoff=LIKELY_THE_SAME)
            if near:
                self._unknown(near[0], [key])
            raise BadInput(self.file, self.where(key), None, allowed, "is missing")
        value = self.raw[key] if key else None
        raise BadInput(self.file, self.where(key), value, allowed, problem)

    def has(self, key: str) -> bool:
        """Whether the key is there; it then counts as known."""
        self._known.append(key)
        return key in self.raw

    def done(self) -> None:
        """Refuse unknown keys, suggesting the nearest known one."""
        for key in self.raw:
            if key not in self._known:
                self._unknown(key, self._known)

    def only(self, *keys: str) -> None:
        """Refuse any other key at once, before a missing one is complained of."""
        self._known += keys
        self.done()

    def _unknown(self, key: str, known: Sequence[str]) -> NoReturn:
        near = difflib.get_close_matches(key[:80], known, n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]}?" if near else ""
        allowed = ", ".join(dict.fromkeys(known)) + hint
        problem = "is under an unknown key"
        raise BadInput(self.file, self.where(key), self.raw[key], allowed, problem)

    def number(
        self, key: str, low: float, high: float, default: float | None = None, unit: str = ""
    ) -> float:
        """A finite number from ``low`` to ``high``; required without a ``default``."""
        allowed = f"{in_words(low)} to {in_words(high)} {unit}".rstrip()
        if not self.has(key) and default is not None:
            return default
        value = self.raw.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(key, f"a number, {allowed}")
        if not low <= value <= high:
            self.refuse(key, allowed)
        return float(value)

    def whole(self, key: str, low: int, high: int, default: int | None = None) -> int:
        """A whole number from ``low`` to ``high``."""
        value = self.number(key, low, high, default)
        if value != int(value):
            self.refuse(key, f"a whole number, {low} to {high}")
        return int(value)

    def quantity(
        self, spelling: Spelling, low: float, high: float, default: float | None = None
    ) -> float:
        """A value in SI, written under one of several keys, each with its own unit.

        ``low``, ``high`` and ``default`` are SI. Two of the keys at once are refused.
        """
        given = [key for key in spelling if self.has(key)]
        if len(given) > 1:
            self.refuse(given[1], f"only one of {' and '.join(given)}", "says it twice")
        if not given:
            if default is not None:
                return default
            choice = f" under one of {', '.join(spelling)}" if len(spelling) > 1 else ""
            self.refuse(next(iter(spelling)), "a number" + choice)
        key = given[0]
        unit = spelling[key]
        # a limit written in feet to 12 digits and read back may be over by that much
        slack = 1e-11
        least = unit.from_si(low) - slack * abs(unit.from_si(low))
        most = unit.from_si(high) + slack * abs(unit.from_si(high))
        value = unit.to_si(self.number(key, least, most, unit=unit.symbol))
        return min(max(value, low), high)

    def text(self, key: str, default: str | None = None, longest: int = 60) -> str:
        """A text of 1 to ``longest`` printable characters on one line."""
        if not self.has(key) and default is not None:
            return default
        value = self.raw.get(key)
        allowed = f"text in quotes, 1 to {longest} printable characters"
        if not isinstance(value, str) or not value.strip():
            self.refuse(key, allowed)
        if len(value) > longest or not value.isprintable():
            self.refuse(key, allowed)
        return value

    def words(self, key: str) -> str:
        """Free text of any number of lines; empty when the key is absent."""
        value = self.raw[key] if self.has(key) else ""
        if not isinstance(value, str) or len(value) > MOST_WORDS:
            self.refuse(key, f"text in quotes, up to {MOST_WORDS} characters")
        return value

    def choice(self, key: str, options: Sequence[str], default: str | None = None) -> str:
        """One of the given words, with the nearest suggested when it is none of them."""
        if not self.has(key) and default is not None:
            return default
        value = self.raw.get(key)
        if not isinstance(value, str) or value not in options:
            self.refuse(key, one_of(value, options))
        return value

    def flag(self, key: str, default: bool = False) -> bool:
        """true or false."""
        value = self.raw[key] if self.has(key) else default
        if not isinstance(value, bool):
            self.refuse(key, "true or false")
        return value

    def table(self, key: str, path: str | None = None) -> Reader:
        """The table at ``key``; an empty one when absent."""
        value = self.raw[key] if self.has(key) else {}
        if not isinstance(value, Mapping):
            self.refuse(key, "a table")
        return Reader(value, self.file, self.where(path or key))

    def tables(self, key: str, least: int = 0, most: int = 100, word: str = "") -> list[Reader]:
        """The list of tables at ``key``, numbered from 1 in messages as ``word`` 1, 2, …"""
        value = self.raw[key] if self.has(key) else []
        allowed = f"{least} to {most} tables, each under [[{self.where(key).replace(', ', '.')}]]"
        if not isinstance(value, list) or not all(isinstance(row, Mapping) for row in value):
            self.refuse(key, allowed)
        if not least <= len(value) <= most:
            raise BadInput(self.file, self.where(key), len(value), allowed)
        path = self.where(word or key)
        return [Reader(row, self.file, f"{path} {n}") for n, row in enumerate(value, start=1)]

    def rows(self, key: str, columns: Sequence[str], most: int = 10_000) -> list[list[float]]:
        """A list of rows of finite numbers, one number per column."""
        value = self.raw[key] if self.has(key) else None
        allowed = f"1 to {most} rows of [{', '.join(columns)}]"
        if not isinstance(value, list) or not 1 <= len(value) <= most:
            self.refuse(key, allowed)
        out = []
        for number, row in enumerate(value, start=1):
            if not isinstance(row, list) or len(row) != len(columns):
                raise BadInput(self.file, f"{self.where(key)}, row {number}", row, allowed)
            for x in row:
                if isinstance(x, bool) or not isinstance(x, int | float) or not _usable(x):
                    raise BadInput(
                        self.file, f"{self.where(key)}, row {number}", x, "finite numbers"
                    )
            out.append([float(x) for x in row])
        return out


def _usable(value: float) -> bool:
    return abs(value) <= MOST_NUMBER and math.isfinite(value)


def in_words(number: float) -> str:
    """A limit as a person reads it: no powers of ten for everyday sizes."""
    return f"{number:,.0f}" if 1e4 <= abs(number) < 1e12 else f"{number:.4g}"


def one_of(value: object, options: Sequence[str]) -> str:
    """``allowed`` in words for a choice, with the nearest option when there is one."""
    near = nearest(value, options)
    hint = f"; did you mean {near!r}?" if near else ""
    return "one of " + ", ".join(repr(option) for option in options) + hint


def nearest(value: object, options: Sequence[str]) -> str | None:
    """The option most like ``value``, or None when none is near."""
    if not isinstance(value, str):
        return None
    by_case = {option.casefold(): option for option in options}
    near = difflib.get_close_matches(value[:80].casefold(), list(by_case), n=1, cutoff=0.5)
    return by_case[near[0]] if near else None
