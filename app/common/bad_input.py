"""How the program refuses what a person wrote: file, key, value, what is allowed."""

from __future__ import annotations

from datetime import date, time
from reprlib import Repr

LONGEST_FILE, LONGEST_KEY, LONGEST_VALUE = 160, 80, 60
LONGEST_PROBLEM, LONGEST_ALLOWED = 100, 180
"""Each part of the sentence is cut short where it is longer than this, characters."""

# bounded in the making too: a file can nest a value deep and make it megabytes long
_REPR = Repr()
_REPR.maxlevel, _REPR.maxstring, _REPR.maxother = 6, 4 * LONGEST_VALUE, 4 * LONGEST_VALUE
_REPR.maxlist = _REPR.maxtuple = _REPR.maxdict = LONGEST_VALUE


class BadInput(Exception):
    """Something in a file, or a file itself, cannot be used.

    ``file`` is the file as the person named it, ``key`` where in it (empty when
    the whole file is meant), ``value`` what stands there (None when the
    ``problem`` says it all), ``allowed`` what may stand there instead.
    ``str()`` is one line of at most some 600 characters, however long they are.
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
        shown = " ".join(
            part for part in (_shown(value), shortened(problem, LONGEST_PROBLEM)) if part
        )
        where = f"{_end(file)}: {shortened(key, LONGEST_KEY)}" if key else _end(file)
        super().__init__(_one_line(f"{where}: {shown}; allowed: {_both_ends(allowed)}"))

    def __reduce__(self) -> tuple[type[BadInput], tuple[object, ...]]:
        """It comes back from a worker as it was."""
        return type(self), (self.file, self.key, self.value, self.allowed, self.problem)


def _shown(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool | date | time):
        return str(value).lower()
    try:
        text = _REPR.repr(value)
    except ValueError:
        # Python refuses to write out a whole number of thousands of digits
        text = "a number of thousands of digits"
    return shortened(text)


def shortened(text: str, longest: int = LONGEST_VALUE) -> str:
    """The text, its end left out where it is longer than so many characters."""
    return text if len(text) <= longest else text[: longest - 1] + "…"


def _end(file: str) -> str:
    """The end of a path tells files apart."""
    return file if len(file) <= LONGEST_FILE else "…" + file[1 - LONGEST_FILE :]


def _both_ends(allowed: str) -> str:
    """What is allowed, which may end in what was probably meant."""
    if len(allowed) <= LONGEST_ALLOWED:
        return allowed
    half = LONGEST_ALLOWED // 2
    return f"{allowed[: LONGEST_ALLOWED - half - 1]}…{allowed[-half:]}"


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)
