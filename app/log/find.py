"""What to show of the log, and in which order, as SQL."""

from __future__ import annotations

from dataclasses import dataclass

from app.log.entry import CHOICES

SORTED = {
    "at": "instant", "kind": "rehearsal", "wait": "wait", "hold": "hold", "speed": "speed",
    "side": "side", "tide": "tide", "stage": "stage, part", "light": "lit", "wind": "wind_speed",
    "came": "hits, landed", "note": "note",
}  # fmt: skip
"""What entries may be sorted by, and the columns of it."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Entries of one ``day`` (as 2026-05-01) or of all; ``text`` are words that must all occur.

    ``hits``: only those with a hit. ``rehearsal`` of a kind only. ``choices`` are pairs of an
    attribute of CHOICES and its word. ``by`` is a key of SORTED.
    """

    day: str = ""
    text: str = ""
    hits: bool = False
    rehearsal: bool | None = None
    choices: tuple[tuple[str, str], ...] = ()
    by: str = "at"
    falling: bool = True

    @property
    def filtered(self) -> bool:
        """Whether anything of the day may be left out."""
        return bool(self.text or self.hits or self.rehearsal is not None or self.choices)

    def where(self) -> tuple[str, list[object]]:
        """The condition and its values."""
        parts, values = ["gone = 0"], list[object]()
        if self.day:
            parts.append("day = ?")
            values.append(self.day)
        if sought := self.text.casefold().split():
            each = " and ".join(["instr(words, ?)"] * len(sought))
            parts.append(f"number in (select number from words where {each})")
            values += sought
        if self.hits:
            parts.append("hits")
        if self.rehearsal is not None:
            parts.append("rehearsal = ?")
            values.append(int(self.rehearsal))
        for name, word in self.choices:
            assert name in CHOICES
            parts.append(f"{'lit' if name == 'light' else name} = ?")
            values.append(word)
        return " and ".join(parts), values

    def order(self) -> str:
        """How they are sorted; those of one value by time, the newest first."""
        way = " desc" if self.falling else ""
        keys = [f"{column}{way}" for column in SORTED[self.by].split(", ")]
        return ", ".join([*keys, *([] if self.by == "at" else ["instant desc"])])
