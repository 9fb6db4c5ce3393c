"""What is done with the room of a large screen."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication, QFrame

from app.ui.row_or_column import RowOrColumn
from app.ui.sharing_splitter import SharingSplitter
from app.ui.text_size import set_text_size

pytestmark = pytest.mark.usefixtures("qapp", "usual_text")

USUAL = (200, 300, 100)


def shared() -> SharingSplitter:
    split = SharingSplitter([QFrame() for _ in USUAL], usual=USUAL, shares=(0, 3, 1))
    split.show()
    return split


def widths_at(split: SharingSplitter, more: int) -> list[int]:
    split.resize(sum(USUAL) + 2 * split.handleWidth() + more, 300)
    QApplication.processEvents()
    return split.sizes()


def test_that_more_room_goes_to_those_that_have_use_for_it() -> None:
    split = shared()
    assert widths_at(split, 400) == [200, 600, 200]
    assert widths_at(split, 0) == list(USUAL)
    assert widths_at(split, -300) == [100, 150, 50]


def test_that_shares_given_by_hand_are_kept_in_a_window_of_another_size() -> None:
    split = shared()
    widths_at(split, 0)
    split.moveSplitter(400, 1)
    by_hand = split.sizes()
    assert by_hand[0] == 400
    assert widths_at(split, sum(USUAL)) == [2 * width for width in by_hand]
    assert widths_at(split, 0) == by_hand


def test_that_what_is_usual_grows_with_the_text() -> None:
    split = shared()
    widths_at(split, 600)
    set_text_size(1.5)
    QApplication.processEvents()
    assert split.sizes() == [300, 675, 225]


def test_that_two_things_stand_beside_each_other_only_where_there_is_room() -> None:
    first, second = QFrame(), QFrame()
    pair = RowOrColumn(first, second, 500)
    pair.show()
    for width, beside in ((600, True), (499, False), (500, True)):
        pair.resize(width, 200)
        QApplication.processEvents()
        assert (first.y() == second.y()) == beside
        assert (first.x() == second.x()) != beside
