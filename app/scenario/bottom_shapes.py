"""Bottoms to begin from: level, a rip with its deep and shallow side, a ledge, a hole."""

from __future__ import annotations

from physics.environment.water import Bottom

SHALLOWEST = 1.5
"""No shape comes up to less water than this, m."""

AHEAD = 120.0
"""The shape lies this far ahead of where the boat starts, m."""

SHAPES = ("level", "rip", "ledge", "hole")

WORDS = {
    "level": "Level bottom",
    "rip": "Deep side, shoal, shallow side",
    "ledge": "Ledge",
    "hole": "Hole",
}


def shaped(shape: str, depth: float, bearing: float) -> Bottom:
    """A bottom of a shape, ``depth`` m deep where the boat starts, along her ``bearing``, rad.

    Raises KeyError for a shape there is none of.
    """
    top = max(SHALLOWEST, 0.55 * depth)
    points = {
        "level": ((0.0, depth),),
        "rip": (
            (AHEAD, depth),
            (AHEAD + 45.0, top),
            (AHEAD + 85.0, top),
            (AHEAD + 140.0, max(SHALLOWEST, 0.8 * depth)),
        ),
        "ledge": ((AHEAD, depth), (AHEAD + 20.0, top)),
        "hole": (
            (AHEAD, depth),
            (AHEAD + 30.0, 1.5 * depth),
            (AHEAD + 80.0, 1.5 * depth),
            (AHEAD + 110.0, depth),
        ),
    }[shape]
    return Bottom(points, bearing if shape != "level" else 0.0)


def with_point(bottom: Bottom, number: int, along: float, depth: float) -> Bottom:
    """A bottom with one point moved; it stays between its neighbors. Raises InvalidValue."""
    points = list(bottom.points)
    low = points[number - 1][0] + GAP if number else -1e5
    high = points[number + 1][0] - GAP if number + 1 < len(points) else 1e5
    points[number] = (min(max(along, low), high), depth)
    return Bottom(tuple(points), bottom.bearing)


def with_new_point(bottom: Bottom, along: float, depth: float) -> Bottom:
    """A bottom with another point in it. Raises InvalidValue where one lies already."""
    return Bottom(tuple(sorted((*bottom.points, (along, depth)))), bottom.bearing)


def without_point(bottom: Bottom, number: int) -> Bottom:
    """A bottom with one point less; the last one stays."""
    if len(bottom.points) == 1:
        return bottom
    points = bottom.points[:number] + bottom.points[number + 1 :]
    return Bottom(points, bottom.bearing)


GAP = 0.5
"""Points keep this far apart along the bearing, m."""
