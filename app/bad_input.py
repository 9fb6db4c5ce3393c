"""How the program refuses what a person wrote: file, key, value, what is allowed.

Depends on: nothing.
"""

from __future__ import annotations

from datetime import date, time

LONGEST_VALUE = 60
"""A value longer than this is cut short in the sentence, characters."""


class BadInput(Exception):
    """Something in a file, or a file itself, cannot be used.

    ``file`` is the file as the person named it, ``key`` where in it (empty when
    the whole file is meant), ``value`` what stands there (None when the
    ``problem`` says it all), ``allowed`` what may stand there instead.
    ``str()`` is one line.
    """

    def __init__(
        self,
        file: str,
        key: str,
        value: object,
        allowed: str,
        problem: str = "is not usable",
    ) -> None:
        self.file, self.key, self.value = file, key, value
        self.allowed, self.problem = allowed, problem
        shown = " ".join(part for part in (_shown(value), problem) if part)
        where = f"{file}: {key}" if key else file
        super().__init__(_one_line(f"{where}: {shown}; allowed: {allowed}"))


def _shown(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool | date | time):
        return str(value).lower()
    try:
        text = repr(value)
    except ValueError:
        # Python refuses to write out a whole number of thousands of digits
        text = "a number of thousands of digits"
    return text if len(text) <= LONGEST_VALUE else text[: LONGEST_VALUE - 1] + "…"


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)
