"""The compiled library: where it is found, and how Python's values reach it.

It is one library for all rooms, called through ctypes, which lets go of the interpreter while
it computes. Each room describes its own structs to it; where it was not built, or was built of
other structs, the room's Python does the same, slower.
"""

from __future__ import annotations

import ctypes
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

NAMES = ("line.so", "line.dylib", "line.dll")
"""What the library may be called."""

FOLDER = Path(__file__).parent / "line" / "core"

CHOICE = "LEADFALL_STEPPER"
"""Environment variable that names another library, or says ``numpy`` to leave it out."""


def struct(name: str, fields: Sequence[tuple[str, Any]]) -> type[ctypes.Structure]:
    """A C struct of these fields."""
    return type(name, (ctypes.Structure,), {"_fields_": list(fields)})


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


def load(sizes: str, structs: Sequence[type[ctypes.Structure]]) -> ctypes.CDLL | None:
    """The library, or None where there is none built of these ``structs``.

    ``sizes`` is the function of it that tells how large it takes each of them to be.
    """
    choice = os.environ.get(CHOICE, "")
    if choice == "numpy":
        return None
    for path in [Path(choice)] if choice else [FOLDER / name for name in NAMES]:
        if not path.is_file():
            continue
        try:
            library = ctypes.CDLL(str(path))
            told = getattr(library, sizes)
        except (OSError, AttributeError):
            continue
        told.restype = ctypes.c_longlong
        if all(told(k) == ctypes.sizeof(kind) for k, kind in enumerate(structs)):
            return library
    return None
