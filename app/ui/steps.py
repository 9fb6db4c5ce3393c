"""One scale of spacing and one of type: every view takes its sizes from here.

Spacing is in px, type in points, both at a text size of 100 %.
"""

from __future__ import annotations

HAIR = 2
"""Between what is one thing: a field and its refusal."""

TIGHT = 4
"""Between rows of a form, and buttons of one row."""

SNUG = 6
"""Between things of one panel."""

GAP = 8
"""Between panels, and between a label and its field."""

ROOM = 12
"""Between a panel's edge and what is in it, and between groups."""

WIDE = 16
"""Between figures that stand side by side."""

FAR = 24
"""Around what stands alone on a page."""

PAGE = (GAP, TIGHT, GAP, GAP)
PANEL = (ROOM, GAP, ROOM, GAP)
PLOT_PANEL = (ROOM, GAP, SNUG, TIGHT)
"""Left, top, right and bottom of a page, a panel and a panel with a plot, whose axes have room of
their own."""

READABLE = 800
"""Lines that are read, and buttons that finish something, are at most so long."""

SMALL = 8.5
"""Headings of tables, words in plots, remarks."""

BODY = 10.0
"""What is read, and titles of panels."""

LOUD = 11.0
"""Advice, and buttons that finish something."""

HEAD = 13.0
"""The lever, and what a drill says."""

BIG = 16.0
"""A question, and figures of a card."""

FIGURE = 28.0
"""Figures of an answer."""

GREAT = 34.0
"""The next action, and how near the lowest line is."""

HUGE = 44.0
"""A count read from across the cockpit, and a score."""
