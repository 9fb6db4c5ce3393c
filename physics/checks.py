"""One way to refuse a value: say which field, what it was, and what is allowed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

GRAVITY = 9.80665
"""Standard gravity, m/s^2 (ISO 80000-3)."""


class InvalidValue(ValueError):
    """A value the model cannot use.

    Attributes hold the parts a caller needs to build its own sentence:
    ``field`` (name of the attribute), ``value`` and ``allowed`` (in words).
    """

    def __init__(self, field: str, value: object, allowed: str) -> None:
        super().__init__(f"{field} is {value!r}; allowed: {allowed}")
        self.field = field
        self.value = value
        self.allowed = allowed

    def __reduce__(self) -> tuple[type[InvalidValue], tuple[str, object, str]]:
        """Sent from another process with its parts."""
        return type(self), (self.field, self.value, self.allowed)


class Limits(NamedTuple):
    """Least and most a number may be, both allowed, and the SI unit they are in."""

    low: float
    high: float
    unit: str = ""


def require_number(
    field: str,
    value: object,
    low: float,
    high: float,
    unit: str = "",
    *,
    above: bool = False,
) -> None:
    """Raise InvalidValue unless ``value`` is a finite number in [low, high].

    With ``above=True`` the lower end itself is refused (low, high].
    """
    if (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and math.isfinite(value)
        and low <= value <= high
        and not (above and value == low)
    ):
        return
    # worded only now: most numbers are as they may be, and there are thousands
    tail = f" {unit}" if unit else ""
    span = f"more than {low:g}" if above else f"from {low:g}"
    raise InvalidValue(field, value, f"a number {span} to {high:g}{tail}")


def require_all(owner: object, limits: Mapping[str, Limits], of: str = "") -> None:
    """Raise InvalidValue unless every attribute named in ``limits`` lies within its own.

    ``of`` is what the attributes are of, said before their names.
    """
    for attribute, allowed in limits.items():
        require_number(f"{of}{attribute}", getattr(owner, attribute), *allowed)


def require_name(field: str, value: object) -> None:
    """Raise InvalidValue unless ``value`` is a printable name of 1 to 60 characters."""
    if (
        not isinstance(value, str)
        or not value.strip()
        or len(value) > 60
        or not value.isprintable()
    ):
        raise InvalidValue(field, value, "a name of 1 to 60 printable characters")
