"""An axis that counts north and south, or east and west, of a place."""

from __future__ import annotations

import pyqtgraph as pg

from app.common.units import Unit

WAYS = {"left": ("N", "S"), "bottom": ("E", "W")}

NAMES = {"left": "north, south", "bottom": "east, west of where she started"}

ROOM = (78, 38)
"""Width of the left axis and height of the bottom one, px: five figures with their letter, and
the axis's name, have room."""


class CompassAxis(pg.AxisItem):
    """Says ``1200 N`` where another would say 1200; ``orientation`` is left or bottom."""

    def __init__(self, orientation: str) -> None:
        super().__init__(orientation)
        self.enableAutoSIPrefix(False)

    def name(self, unit: Unit) -> None:
        """Write what is counted, and in which unit, beside the axis."""
        self.setLabel(f"{NAMES[self.orientation]}, {unit.symbol}")

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        digits = super().tickStrings([abs(value) for value in values], scale, spacing)
        ahead, back = WAYS[self.orientation]
        return [
            f"{float(text):.12g} {ahead if value > 0.0 else back}" if float(text) else "0"
            for text, value in zip(digits, values, strict=True)
        ]
