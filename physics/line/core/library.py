"""Load the compiled stepper (``line.c``) and describe a batch of lines to it.

Where it was not built, ``LIBRARY`` is None and numpy does the same, slower. All constants
reach it from the Python modules that own them, in one struct.
"""

from __future__ import annotations

import ctypes

from physics.compiled import load, struct

_DOUBLE, _LONG, _POINTER = ctypes.c_double, ctypes.c_longlong, ctypes.c_void_p

OK, NO_SOLUTION, NO_MEMORY, FULL, BAD_INPUT = range(5)


CONSTANTS = struct(
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

MESH = struct(
    "Mesh",
    [
        ("nodes", _LONG), ("lines", _LONG), ("held", _LONG),
        *((name, _POINTER) for name in (
            "first", "last", "length", "spring", "one_way", "slack", "nodal", "swing", "cross",
            "fixed", "curve", "reynolds", "along", "added_across", "added_along", "mass",
            "buoyancy", "weight", "isotropic", "lip", "current", "contact", "profile",
            "profile_first", "profile_rows", "profile_root", "profile_floor", "profile_depth",
            "profile_a", "profile_b", "bottom_first", "bottom_points", "bottom_along",
            "bottom_depth", "bottom_east", "bottom_north")),
    ],
)  # fmt: skip

HANDLING = struct(
    "Handling",
    [(name, _POINTER) for name in (
        "handled", "tip", "move_first", "moves", "move_time", "move_length", "move_rate",
        "move_change", "leader", "density", "along_line", "shares", "fish_first", "fish_orders",
        "fish_action", "fish_time", "fish_value", "fish_rate", "length", "cross", "along",
        "added_across", "mass", "buoyancy", "weight", "isotropic")],
)  # fmt: skip

BOAT = struct(
    "Boat",
    [
        ("count", _LONG), ("breaks", _LONG),
        *((name, _POINTER) for name in (
            "time", "speed", "heading", "turn", "break_time", "break_step")),
        *((name, _DOUBLE) for name in ("east", "north", "astern", "abeam")),
    ],
)  # fmt: skip


STRUCTS = (CONSTANTS, MESH, HANDLING, BOAT)

LIBRARY = load("sizes", STRUCTS)
"""The compiled stepper, or None where there is none."""
