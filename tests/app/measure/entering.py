"""What a person measures and types on the Measure page, for its tests."""

from __future__ import annotations

from app.common.units import FOOT
from app.measure.file import Line
from app.measure.model import Measuring
from app.measure.page import MeasurePage
from tests.app.by_hand import worker_of

FEET_10 = FOOT.to_si(10.0)

DOCK = tuple(Line("dock", seconds=s, depth=FEET_10) for s in (7.9, 8.3, 8.1))


def coasts(start: float) -> tuple[Line, ...]:
    """Three coast-downs from a speed, m/s."""
    times = ((4.0, 0.55), (8.0, 0.38), (4.2, 0.54))
    return tuple(Line("coast", start=start, seconds=s, speed=share * start) for s, share in times)


def deliver(measuring: Measuring) -> None:
    worker_of(measuring).deliver()


def type_cell(page: MeasurePage, row: int, column: int, text: str) -> None:
    """Type into a cell as an editor would leave it."""
    item = page.table.item(row, column)
    assert item is not None
    item.setText(text)


def cell(page: MeasurePage, row: int, column: int) -> str:
    item = page.table.item(row, column)
    assert item is not None
    return item.text()
