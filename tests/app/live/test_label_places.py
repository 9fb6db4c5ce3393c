"""Names beside lures lie on no lure and on no other name."""

from __future__ import annotations

from itertools import combinations

from hypothesis import example, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPointF, QRectF, QSizeF

from app.live.label_places import BESIDE, about, label_places, leader

ROOM = QRectF(60.0, 70.0, 890.0, 270.0)

lures = st.lists(
    st.tuples(st.floats(70.0, 940.0), st.floats(80.0, 330.0), st.floats(30.0, 120.0)),
    min_size=1,
    max_size=6,
)


@settings(max_examples=200, deadline=None)
@given(found=lures)
@example(found=[(90.0, 150.0 + 4.0 * k, 110.0) for k in range(6)])
@example(found=[(930.0, 330.0, 120.0)] * 6)
def test_that_names_lie_on_nothing_that_is_named(found: list[tuple[float, float, float]]) -> None:
    at = [QPointF(x, y) for x, y, _ in found]
    boxes = label_places(at, [QSizeF(wide, 14.0) for _, _, wide in found], ROOM)
    for box in boxes:
        assert ROOM.contains(box)
        assert not any(box.intersects(about(lure)) for lure in at)
    assert not any(one.intersects(other) for one, other in combinations(boxes, 2))


def test_that_a_lure_by_itself_has_its_name_right_beside_it() -> None:
    lure = QPointF(500.0, 200.0)
    (box,) = label_places([lure], [QSizeF(60.0, 14.0)], ROOM)
    assert box.right() == lure.x() - BESIDE
    assert leader(box, lure) is None


def test_that_a_name_pushed_away_has_a_line_to_its_lure() -> None:
    crowd = [QPointF(90.0, 150.0 + 3.0 * k) for k in range(6)]
    boxes = label_places(crowd, [QSizeF(110.0, 14.0)] * 6, ROOM)
    lines = [leader(box, lure) for box, lure in zip(boxes, crowd, strict=True)]
    assert any(line is not None for line in lines)
    for line, box, lure in zip(lines, boxes, crowd, strict=True):
        if line is not None:
            start, end = line
            assert box.adjusted(-0.1, -0.1, 0.1, 0.1).contains(start)
            assert about(lure).adjusted(-1.0, -8.0, 1.0, 8.0).contains(end)
