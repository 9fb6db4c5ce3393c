"""How near two lines are, by the compiled library (``gaps.c``)."""

from __future__ import annotations

import ctypes

import numpy as np
from numpy.typing import NDArray

from physics.compiled import load

Array = NDArray[np.float64]

LIBRARY = load("line_gap", ())
"""The compiled library, or None where there is none; lines are plain arrays, in no struct."""

if LIBRARY is not None:
    _DOUBLE, _LONG, _ARRAY = ctypes.c_double, ctypes.c_longlong, ctypes.c_void_p
    LIBRARY.line_gap.restype, LIBRARY.line_crossing.restype = _DOUBLE, ctypes.c_int
    LIBRARY.line_gap.argtypes = [_LONG, _ARRAY, _LONG, _ARRAY]
    LIBRARY.line_crossing.argtypes = [_LONG, _ARRAY, _LONG, _ARRAY, _DOUBLE, _ARRAY]


def line_gap(a: Array, b: Array) -> float:
    """As gaps.polyline_distance. Needs LIBRARY."""
    assert LIBRARY is not None
    a, b = np.ascontiguousarray(a), np.ascontiguousarray(b)
    apart = float(LIBRARY.line_gap(a.shape[1], a.ctypes.data, b.shape[1], b.ctypes.data))
    if apart < 0.0:
        raise MemoryError
    return apart


def line_crossing(a: Array, b: Array, within: float) -> tuple[float, float] | None:
    """As gaps.crossing. Needs LIBRARY."""
    assert LIBRARY is not None
    a, b, where = np.ascontiguousarray(a), np.ascontiguousarray(b), np.empty(2)
    lines = a.shape[1], a.ctypes.data, b.shape[1], b.ctypes.data
    if LIBRARY.line_crossing(*lines, within, where.ctypes.data):
        return float(where[0]), float(where[1])
    return None
