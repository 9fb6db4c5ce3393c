"""The keys of a JSON document as paths, to pin them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

UNITS = (
    "_m", "_m2", "_m3", "_s", "_mps", "_deg", "_kg", "_kg_m3", "_kg_per_m", "_n", "_pa_s", "_m_s2",
    "_per_m", "_share",
)  # fmt: skip
"""How the key of a number ends."""

BARE = {
    "format", "number", "engines", "line_elements", "leader_elements", "grading", "exponent",
    "propeller_drag", "one_engine", "leeway", "drag_multiplier", "tangential_drag", "normal_drag",
    "flooded", "added_mass", "mass_center", "volume_center", "added_mass_across",
    "added_mass_along", "root", "touch", "touch_chance",
}  # fmt: skip
"""Counts, and numbers without a unit."""


def paths(value: object, names: Sequence[str] = (), path: str = "") -> Iterator[tuple[str, bool]]:
    """Every leaf's path and whether it is a number; ``names`` (of rods) are written ``*``."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield from paths(item, names, f"{path}.{'*' if key in names else key}".lstrip("."))
    elif isinstance(value, list) and value:
        for item in value:
            yield from paths(item, names, path)
    else:
        yield path, isinstance(value, int | float) and not isinstance(value, bool)


def without_unit(value: object, names: Sequence[str] = ()) -> list[str]:
    """Paths of numbers whose key, or one above it, says no unit."""
    return sorted(
        {
            path
            for path, is_number in paths(value, names)
            if is_number
            and not any(part.endswith(UNITS) or part in BARE for part in path.split("."))
        }
    )
