"""Load the compiled stepper and describe a batch of lines to it.

The library is one C file (``line.c``) called through ctypes, which lets go of
the interpreter while it computes. Where it was not built, ``LIBRARY`` is None and
numpy does the same, slower. All constants reach it from the Python modules that own
them, in one struct.
"""

from __future__ import annotations

import ctypes
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

NAMES = ("line.so", "line.dylib", "line.dll")
"""What the library may be called, beside this file."""

CHOICE = "LEADFALL_STEPPER"
"""Environment variable that names another library, or says ``numpy`` to leave it out."""

_DOUBLE, _LONG, _POINTER = ctypes.c_double, ctypes.c_longlong, ctypes.c_void_p

OK, NO_SOLUTION, NO_MEMORY, FULL, BAD_INPUT = range(5)


def _struct(name: str, fields: Sequence[tuple[str, Any]]) -> type[ctypes.Structure]:
    return type(name, (ctypes.Structure,), {"_fields_": list(fields)})


CONSTANTS = _struct(
    "Constants",
    [
        *((name, _DOUBLE) for name in (
            "speed_floor", "surface_blur", "contact_blur", "contact_reach", "friction",
            "friction_speed", "bed_soft", "bed_stiffness", "bed_bend", "bed")),
        ("drag", _DOUBLE * 6),
        *((name, _DOUBLE) for name in (
            "gamma", "error_constant", "newton_tolerance", "largest_update", "smallest_step",
            "sliver", "settled", "settle_first", "settle_grows", "settle_shrinks", "settle_long",
            "settle_last", "fish_area", "off_ground", "ease", "least_part")),
        ("newton_most", _LONG), ("settle_most", _LONG),
    ],
)  # fmt: skip

MESH = _struct(
    "Mesh",
    [
        ("nodes", _LONG), ("lines", _LONG), ("held", _LONG),
        *((name, _POINTER) for name in (
            "first", "last", "length", "spring", "one_way", "slack", "cross", "fixed", "curve",
            "reynolds", "along", "added_across", "added_along", "mass", "buoyancy", "weight",
            "isotropic", "lip", "current", "contact", "profile", "profile_first",
            "profile_rows", "profile_root", "profile_floor", "profile_depth", "profile_a",
            "profile_b", "bottom_first", "bottom_points", "bottom_along", "bottom_depth",
            "bottom_east", "bottom_north")),
    ],
)  # fmt: skip

HANDLING = _struct(
    "Handling",
    [(name, _POINTER) for name in (
        "handled", "tip", "move_first", "moves", "move_time", "move_length", "move_rate",
        "move_change", "leader", "density", "along_line", "shares", "fish_first", "fish_orders",
        "fish_action", "fish_time", "fish_value", "fish_rate", "length", "cross", "along",
        "added_across", "mass", "buoyancy", "weight", "isotropic")],
)  # fmt: skip

BOAT = _struct(
    "Boat",
    [
        ("count", _LONG), ("breaks", _LONG),
        *((name, _POINTER) for name in (
            "time", "speed", "heading", "turn", "break_time", "break_step")),
        *((name, _DOUBLE) for name in ("east", "north", "astern", "abeam")),
    ],
)  # fmt: skip


def filled(kind: type[ctypes.Structure], **values: Any) -> tuple[ctypes.Structure, list[Any]]:
    """A struct with these values, and the arrays it points to: keep them as long as it."""
    out, kept = kind(), []
    for name, value in values.items():
        if isinstance(value, np.ndarray):
            wanted = np.float64 if value.dtype.kind == "f" else np.int64
            array = np.ascontiguousarray(value, dtype=wanted)
            kept.append(array)
            setattr(out, name, array.ctypes.data)
        else:
            setattr(out, name, value)
    return out, kept


def _load() -> ctypes.CDLL | None:
    choice = os.environ.get(CHOICE, "")
    if choice == "numpy":
        return None
    for path in [Path(choice)] if choice else [Path(__file__).with_name(name) for name in NAMES]:
        if not path.is_file():
            continue
        try:
            library = ctypes.CDLL(str(path))
        except OSError:
            continue
        library.sizes.restype = _LONG
        # one that was built of another source is left alone
        if all(library.sizes(k) == ctypes.sizeof(kind) for k, kind in enumerate(STRUCTS)):
            return library
    return None


STRUCTS = (CONSTANTS, MESH, HANDLING, BOAT)

LIBRARY = _load()
"""The compiled stepper, or None where there is none."""
