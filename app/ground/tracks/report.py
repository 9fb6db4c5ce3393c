"""What was wrong with a recorded log, counted and said in plain words."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

WORDS = {
    "bad_checksum": ("sentence with a wrong checksum", "sentences with a wrong checksum"),
    "cut": ("sentence cut short", "sentences cut short"),
    "unreadable": ("line that makes no sense", "lines that make no sense"),
    "no_fix": ("line sent without a fix", "lines sent without a fix"),
    "no_time": ("line before the first time", "lines before the first time"),
    "no_place": ("place off the globe", "places off the globe"),
    "wrong_date": ("fix dated far from the rest", "fixes dated far from the rest"),
    "repeated": ("fix sent twice for the same second", "fixes sent twice for the same second"),
    "stuck": ("fix stuck in place under way", "fixes stuck in place under way"),
    "jump": ("fix that jumps away", "fixes that jump away"),
    "no_depth": ("depth of zero or past the deepest", "depths of zero or past the deepest"),
    "depth_spike": ("depth that stands out alone", "depths that stand out alone"),
    "speed_spike": ("speed no such boat makes", "speeds no such boat makes"),
    "other_vessel": ("line of another vessel", "lines of other vessels"),
    "other_talker": ("line of a second instrument", "lines of a second instrument"),
}
"""What was left out, one and many of it."""


@dataclass(slots=True)
class Report:
    """Counts of what was read, used and left out, and remarks about the whole.

    ``left_out`` counts by the keys of WORDS. ``read`` is lines, sentences or points in
    the file that are of a kind we use, ``fixes`` and ``depths`` what is left of them.
    """

    read: int = 0
    fixes: int = 0
    depths: int = 0
    left_out: Counter[str] = field(default_factory=Counter)
    remarks: list[str] = field(default_factory=list)

    def leave(self, key: str, count: int = 1) -> None:
        """Count something left out. Raises KeyError for a key that has no words."""
        WORDS[key]
        if count:
            self.left_out[key] += int(count)

    def sentences(self) -> list[str]:
        """One line for each thing a person should know, the whole first."""
        out = [f"{self.read:,} lines read: {self.fixes:,} places, {self.depths:,} depths used"]
        for key, (one, many) in WORDS.items():
            count = self.left_out[key]
            if count:
                out.append(f"{count:,} {one if count == 1 else many}: left out")
        return out + self.remarks
