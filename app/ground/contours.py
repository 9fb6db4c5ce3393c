"""Contours of a bottom as seen from above, and where their labels find room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QPointF, QRectF

from app.common.units import Unit
from physics.environment.water import Bottom

SPACINGS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Spacings contours may have, in the unit on screen."""

MOST = 9
"""No more different depths than this are drawn."""

SHARES = (0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 0.95)
"""Shares of a contour in view at which its label is tried, in this order."""


def spacing(bottom: Bottom, unit: Unit) -> float:
    """What lies between two contours, in ``unit``."""
    relief = unit.from_si(bottom.deepest - bottom.shallowest)
    return next((step for step in SPACINGS if relief / step <= MOST), SPACINGS[-1])


def contours(bottom: Bottom, unit: Unit) -> list[tuple[float, float]]:
    """(depth in ``unit``, distance along the bearing, m) of every contour."""
    step = spacing(bottom, unit)
    low, high = unit.from_si(bottom.shallowest), unit.from_si(bottom.deepest)
    levels = step * np.arange(math.ceil(low / step), math.floor(high / step) + 1)
    out = []
    for (a0, d0), (a1, d1) in pairwise(bottom.points):
        for level in levels.tolist():
            depth = unit.to_si(level)
            if min(d0, d1) < depth <= max(d0, d1):
                out.append((level, a0 + (depth - d0) / (d1 - d0) * (a1 - a0)))
    return out


def label_place(
    a: QPointF, b: QPointF, area: QRectF, size: tuple[float, float], taken: Sequence[QRectF] = ()
) -> QRectF | None:
    """A box of a size, px, on the part of a line in view, clear of what is taken; or None."""
    steps = np.linspace(0.0, 1.0, 800)
    x, y = a.x() + (b.x() - a.x()) * steps, a.y() + (b.y() - a.y()) * steps
    wide, high = 0.5 * size[0], 0.5 * size[1]
    room = area.adjusted(wide + 4, high + 4, -wide - 4, -high - 4)
    inside = (x > room.left()) & (x < room.right()) & (y > room.top()) & (y < room.bottom())
    if not inside.any():
        return None
    seen = steps[inside]
    for share in SHARES:
        at = a + (b - a) * float(seen[0] + share * (seen[-1] - seen[0]))
        box = QRectF(at.x() - wide, at.y() - high, *size)
        if not any(box.intersects(other) for other in taken):
            return box
    return None
