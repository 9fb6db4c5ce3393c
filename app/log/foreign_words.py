"""What people write in the columns of their own logs, as an entry keeps it.

ValueError says what is allowed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from app.log import entry as kept
from app.log.as_typed import read_degrees, read_tags


def _outcome(text: str, hit: str) -> str:
    words = re.findall(r"[a-z]+|\d+", text.casefold())
    # nothing on the drop is no hit on the drop
    if not words or words[0] in _NO:
        return "nothing"
    for found, starts in _CAME:
        if any(word.startswith(starts) for word in words):
            return found
    if not _NO.isdisjoint(words):
        return "nothing"
    if not _YES.isdisjoint(words):
        return hit
    raise ValueError("allowed is nothing, hit, drop, lift, troll, turn or slowing")


_NO = frozenset(("no", "none", "nothing", "not", "n", "0", "false"))
_YES = frozenset(("hit", "yes", "y", "1", "strike", "bite", "true", "fish"))
_CAME = (
    ("drop", ("drop", "fall")), ("lift", ("lift", "ris")), ("troll", ("troll", "tow")),
    ("turn", ("turn",)), ("slowing", ("slow",)),
)  # fmt: skip


def _word(options: Mapping[str, tuple[str, ...]]) -> Callable[[str, str], str]:
    def read(text: str, _hit: str) -> str:
        for value, starts in options.items():
            if text.casefold().startswith(starts):
                return value
        raise ValueError("allowed is " + ", ".join(starts[0] for starts in options.values()))

    return read


def _landed(text: str, _hit: str) -> bool:
    if text.casefold() in ("yes", "y", "1", "true", "landed", "x"):
        return True
    if text.casefold() in ("no", "n", "0", "false", "lost"):
        return False
    raise ValueError("allowed is yes or no")


def _stage(text: str, _hit: str) -> tuple[str, str]:
    words = text.casefold()
    stage = next((stage for stage in kept.STAGES if stage in words), "")
    if not stage:
        stage = "flood" if "ris" in words or "incoming" in words else ""
        stage = stage or ("ebb" if "fall" in words or "outgoing" in words else "")
    if not stage:
        raise ValueError("allowed is flood, ebb or slack")
    return stage, next((part for part in ("early", "middle", "late") if part[:3] in words), "")


READ: dict[str, Callable[[str, str], Any]] = {
    "outcome": _outcome,
    "landed": _landed,
    "stage": _stage,
    "side": _word({"deep": ("deep",), "shallow": ("shallow", "shoal"), "top": ("top", "on top")}),
    "tide": _word({"into": ("into", "against", "up"), "with": ("with", "down"),
                   "across": ("across",)}),
    "light": _word({"into": ("into",), "out": ("out",), "flat": ("flat",)}),
    "latitude": lambda text, _: read_degrees(text, kept.LATITUDES),
    "longitude": lambda text, _: read_degrees(text, kept.LONGITUDES),
    "tags": lambda text, _: read_tags(text),
}  # fmt: skip
"""Things that are words, and what reads them; the second argument is what a plain hit was on."""
