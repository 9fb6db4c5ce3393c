"""What is left of doubt in calibrated tackle; known at the start, where nothing is fitted yet."""

from __future__ import annotations

from collections.abc import Iterable

from app.gear.catalog import Catalog

IN_DOUBT = {"drag_multiplier": "line_drag", "mass": "lure_weight", "half_time": "coast_down"}
"""Attributes of an item that can be fitted and that Doubt knows of, and what it calls them."""


def shares_known(
    catalog: Catalog,
    *,
    lines: Iterable[str | None] = (),
    lures: Iterable[str | None] = (),
    boat: str | None = None,
) -> dict[str, float]:
    """What the fits of calibrated items in use left of each input's doubt, by their names.

    Doubt has one share for all lines and one for all lures: there is one only if every one
    named is calibrated, the largest of theirs; None is one that nobody can have calibrated. That
    of a lure's drag is never among them: doubt is of all directions, a fit tells broadside alone.
    """
    out: dict[str, float] = {}
    groups = (("drag_multiplier", lines), ("mass", lures), ("half_time", (boat,)))
    for attribute, names in groups:
        shares = [catalog.spreads.get(name or "", {}).get(attribute) for name in names]
        known = [share for share in shares if share is not None]
        if known and len(known) == len(shares):
            out[IN_DOUBT[attribute]] = max(known)
    return out
