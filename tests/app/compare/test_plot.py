"""What the plots of the Compare page draw of a curve."""

import numpy as np
from numpy.testing import assert_allclose
from PySide6.QtCore import QRectF
from PySide6.QtGui import QTransform

from app.compare.plot import within
from app.ui.canvas import Axes


def test_that_a_curve_is_cut_where_it_leaves_the_axes() -> None:
    axes = Axes(QTransform(1.0, 0.0, 0.0, 1.0, 0.0, 0.0), QRectF(0.0, 0.0, 10.0, 10.0))
    x = np.array([-2.0, 2.0, 4.0, 6.0, 8.0, 14.0])
    y = np.array([4.0, 8.0, 12.0, 12.0, 8.0, 2.0])
    (ax, ay), (bx, by) = within(x, y, axes)
    assert_allclose(np.array([ax, ay]), [[0.0, 2.0, 3.0], [6.0, 8.0, 10.0]])
    assert_allclose(np.array([bx, by]), [[7.0, 8.0, 10.0], [10.0, 8.0, 6.0]])
    assert within(x + 50.0, y, axes) == []
    assert within(x, y + 50.0, axes) == []
    inner = np.array([1.0, 5.0])
    assert within(inner, inner, axes) == [(inner, inner)]
