"""A name for something new that nothing else has."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import count

LONGEST_NAME = 60


def free_name(wanted: str, taken: Iterable[str], tail: str = "") -> str:
    """The name itself with its ``tail``, or with a number behind it that makes it free.

    As 'plug', 'plug (2)', 'plug (3)'; of at most LONGEST_NAME characters: it is the name that
    is cut, not what comes behind it.
    """
    names = set(taken)
    whole = wanted[: LONGEST_NAME - len(tail)] + tail
    if whole not in names:
        return whole
    stem = wanted if tail else re.sub(r" \(\d+\)$", "", wanted)
    ends = (f"{tail} ({number})" for number in count(2))
    every = (stem[: LONGEST_NAME - len(end)].rstrip() + end for end in ends)
    return next(name for name in every if name not in names)
