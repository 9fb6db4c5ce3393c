"""What the log says for each choice, one word a thing, on screen and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.log.entry import Entry, LineEntry

if TYPE_CHECKING:
    from app.log.today import Told

SIDE = {"": "not said", "deep": "deep side", "shallow": "shallow side", "top": "on top"}
TIDE = {
    "": "not said", "into": "into the tide", "with": "with the tide", "across": "across the tide",
}  # fmt: skip
STAGE = {"": "not said", "flood": "flood", "ebb": "ebb", "slack": "slack"}
PART = {"": "not said", "early": "early", "middle": "middle", "late": "late"}
LIGHT = {"": "not said", "into": "into the light", "out": "out of the light", "flat": "flat light"}
OUTCOME = {
    "nothing": "nothing",
    "drop": "hit on the drop",
    "lift": "hit on the lift",
    "troll": "hit on the troll",
    "turn": "hit on the turn",
    "slowing": "hit on slowing for a fish",
}
LANDED = {None: "", True: "landed", False: "lost"}
PHASE = {"falling": "falling", "lifting": "lifting", "running": "running"}
KIND = {True: "rehearsal", False: "on the water"}


def counted(count: int, one: str, many: str = "") -> str:
    """So many of something, as ``1 hit`` or ``2,000 hits``."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def stage_of(told: Entry | Told) -> str:
    """The tide's stage as a mate calls it, as ``early flood``; empty if not said."""
    if not told.stage:
        return ""
    return " ".join(word for word in (told.part, STAGE[told.stage]) if word)


def line_in_words(line: LineEntry) -> str:
    """What came of one line, as ``hit on the drop, landed, striped bass``."""
    said = [OUTCOME[line.outcome], LANDED[line.landed], line.fish]
    said += [word for word, on in (
        ("fouled", line.fouled), ("weed", line.weed), ("touched bottom", line.touched)
    ) if on]  # fmt: skip
    return ", ".join(word for word in said if word)
