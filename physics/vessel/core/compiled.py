"""The boat's steps made by the compiled library (``helm.c``)."""

from __future__ import annotations

import ctypes

import numpy as np
from numpy.typing import NDArray

from physics.compiled import load, struct

Array = NDArray[np.float64]

MOST_ROWS = 5
"""Rows of a schedule: going in gear has as many."""

_DOUBLE, _LONG = ctypes.c_double, ctypes.c_longlong

HELM = struct(
    "Helm",
    [
        *((name, _DOUBLE) for name in (
            "trolling_speed", "exponent", "propeller_drag", "drag_at_trolling", "east", "north",
            "curvature", "engaged_from", "leg_end", "substep")),
        ("schedule", _DOUBLE * (2 * MOST_ROWS)), ("rows", _LONG), ("lever", _LONG),
    ],
)  # fmt: skip

POINT = struct(
    "Point", [(name, _DOUBLE) for name in ("time", "x", "y", "heading", "speed", "distance")]
)

LIBRARY = load("helm_sizes", (HELM, POINT))
"""The compiled library, or None where there is none."""

if LIBRARY is not None:
    _HELM, _ARRAY = ctypes.POINTER(HELM), ctypes.c_void_p
    LIBRARY.sail.restype, LIBRARY.cubics.restype = _LONG, None
    LIBRARY.sail.argtypes = [_HELM, _DOUBLE, _DOUBLE, _LONG, _ARRAY]
    LIBRARY.cubics.argtypes = [_HELM, _ARRAY, _LONG, _ARRAY, _ARRAY, _ARRAY]


def sail(helm: ctypes.Structure, until: float, due: float, points: Array, count: int) -> int:
    """Write steps behind the last of ``count`` points (m, 6), as HelmTrack._sail.

    How many were made; no more than there is room for. Needs LIBRARY.
    """
    assert LIBRARY is not None
    last = points.ctypes.data + (count - 1) * ctypes.sizeof(POINT)
    return int(LIBRARY.sail(helm, until, due, len(points) - count, last))


def cubics(helm: ctypes.Structure, points: Array, rows: Array) -> None:
    """Write the cubics between points (n + 1, 6) into ``rows``, speed, heading and turn of
    (n, 4) each, as HelmTrack._cubics. Needs LIBRARY."""
    assert LIBRARY is not None
    LIBRARY.cubics(helm, points.ctypes.data, len(points) - 1, *(row.ctypes.data for row in rows))
