"""An axis that counts north and south, or east and west, of a place."""

from __future__ import annotations

import pyqtgraph as pg

WAYS = {"left": ("N", "S"), "bottom": ("E", "W")}

NAMES = ("east, west of where she started", "north, south")
"""Across and up."""

ROOM = (62, 24)
"""Width of the left axis and height of the bottom one, px: five figures with their letter have
room."""


class CompassAxis(pg.AxisItem):
    """Says ``1200 N`` where another would say 1200; ``orientation`` is left or bottom."""

    def __init__(self, orientation: str) -> None:
        super().__init__(orientation)
        self.enableAutoSIPrefix(False)

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        digits = super().tickStrings([abs(value) for value in values], scale, spacing)
        ahead, back = WAYS[self.orientation]
        return [
            f"{float(text):.12g} {ahead if value > 0.0 else back}" if float(text) else "0"
            for text, value in zip(digits, values, strict=True)
        ]
