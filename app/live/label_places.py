"""Where names stand beside what they name: on no other name and on nothing that is named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from PySide6.QtCore import QPointF, QRectF, QSizeF

LURE = QSizeF(26.0, 14.0)
"""Room that a lure takes about its middle, px."""

BESIDE = 14.0
"""A name stands this far to the side of a lure's middle, px."""

STEPS = 12
"""Places up and down that are tried before a name has to lie on something."""


def label_places(lures: Sequence[QPointF], sizes: Sequence[QSizeF], bounds: QRectF) -> list[QRectF]:
    """A box for each name within ``bounds``, the topmost lure's first chosen, px.

    A box lies as near beside its lure as there is room for it.
    """
    taken = [about(lure) for lure in lures]
    boxes = [QRectF()] * len(lures)
    for number in sorted(range(len(lures)), key=lambda k: lures[k].y()):
        tried = list(_places(lures[number], sizes[number], bounds))
        free = (box for box in tried if not any(box.intersects(other) for other in taken))
        boxes[number] = next(free, tried[0])
        taken.append(boxes[number])
    return boxes


def about(lure: QPointF) -> QRectF:
    """The room that a lure takes, px."""
    return QRectF(
        lure.x() - 0.5 * LURE.width(), lure.y() - 0.5 * LURE.height(), LURE.width(), LURE.height()
    )


def _places(lure: QPointF, size: QSizeF, bounds: QRectF) -> Iterator[QRectF]:
    """Boxes beside a lure, astern of it first, then ahead, higher and lower by turns."""
    for step in range(STEPS):
        for rise in (1, -1):
            # just over the lure's line first, for the line comes to it from ahead and above
            y = lure.y() - 0.5 * size.height() - rise * (7.0 + step * 0.5 * size.height())
            for x in (lure.x() - BESIDE - size.width(), lure.x() + BESIDE):
                box = QRectF(QPointF(x, y), size)
                box.moveLeft(min(max(x, bounds.left()), bounds.right() - size.width()))
                box.moveTop(min(max(y, bounds.top()), bounds.bottom() - size.height()))
                yield box


def leader(box: QRectF, lure: QPointF) -> tuple[QPointF, QPointF] | None:
    """From the nearest edge of a box to its lure; None where it stands right beside it."""
    near = QPointF(
        min(max(lure.x(), box.left()), box.right()), min(max(lure.y(), box.top()), box.bottom())
    )
    gap = near - lure
    far = (gap.x() ** 2 + gap.y() ** 2) ** 0.5
    return None if far < 1.6 * BESIDE else (near, lure + gap * (0.5 * LURE.width() / far))
