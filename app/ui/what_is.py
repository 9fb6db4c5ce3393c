"""What every large figure is, in one plain sentence; the manual's words say the same."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from app.ui.plain import as_tip

WHAT_IS = {
    "wait": "Seconds from the mark to out of gear.",
    "hold": "Seconds out of gear.",
    "strike window": "Seconds a lure lifts within the mark's depths and near its place.",
    "risk of touching": "In how many drops of 100 a lure or its line touches bottom, on any rod.",
    "what comes next": "The next move of the gear by itself, or how long she is out of gear.",
    "lowest lure": "How far the lure nearest the bottom is off it, and whose it is.",
    "off bottom": "Height of the lure over the ground under it.",
    "line's card": "How deep a lure is, how far off bottom, and how fast it rises or falls.",
    "score": "The strike window you won, of the longest there was; 100 is all of it.",
    "sink rate": "How fast it sinks, or rises, once it has settled to it.",
    "time to sink": "Seconds from let go at the surface to a depth.",
    "time to half speed": "Seconds out of gear until the boat has lost half her speed.",
    "way": "How far the boat goes on out of gear.",
    "line-drop": "One line in one drop: four lines dropped once are four.",
    "line-hour": "One line fished for an hour.",
    "80 % range": "Where the rate is likely to be: 8 times in 10 it is in there.",
    "what to try next": "Now and then what is not known well yet, mostly what has hit best so far.",
    "by the model": "What the model says a lure was doing, when the drop was kept or asked anew.",
}
"""A word of the screen, and what it means."""


def explain(widget: QWidget, word: str, *, tip: bool = True) -> None:
    """Say what a figure is: when it is pointed at, and when it is asked."""
    widget.setWhatsThis(WHAT_IS[word])
    if tip:
        widget.setToolTip(as_tip(WHAT_IS[word]))
