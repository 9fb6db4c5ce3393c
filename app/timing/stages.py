"""The jobs that make an answer on the Timing page."""

from __future__ import annotations

from app.session.pool import Rank

STAGES = (
    ("first", "A first answer", 0.05),
    ("half 0", "Running the holds", 0.12),
    ("half 1", "Running the holds", 0.12),
    ("finish", "Placing them over the mark", 0.05),
    ("sure 0", "How sure it is", 0.1),
    ("sure 1", "How sure it is", 0.1),
    ("steady 0", "What is right most often", 0.1),
    ("steady 1", "What is right most often", 0.1),
    ("seen 0", "What is right most often", 0.03),
    ("seen 1", "What is right most often", 0.03),
    ("spread 0", "How sure the holds are", 0.06),
    ("spread 1", "How sure the holds are", 0.06),
    ("card", "The table of holds", 0.08),
)
"""In order: kind, what to say of it, and its share of the whole work."""

ANSWERS = ("first", "finish")
"""Jobs whose answer is shown even if the setup has changed by then: there is one within a blink."""

_RANKS = dict.fromkeys(("sure", "steady", "seen"), Rank.BANDS) | dict.fromkeys(
    ("spread", "card"), Rank.CARD
)


def rank_of(kind: str) -> Rank:
    """What comes after the answer itself has a rank by the first word of its kind."""
    return _RANKS.get(kind.partition(" ")[0], Rank.ANSWER)
