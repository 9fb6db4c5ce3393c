"""What is left of a setup's doubt where its tackle has been measured."""

from __future__ import annotations

import math
from dataclasses import replace

from app.gear.catalog import Catalog
from app.gear.shares_known import IN_DOUBT, shares_known
from app.scenario.setup import Setup
from physics.answers.doubt import Doubt


def known_doubt(
    setup: Setup, before: Setup, catalog: Catalog, catalog_before: Catalog | None = None
) -> Doubt:
    """The doubt of a setup with other tackle than ``before``, or of another catalog.

    It is less where now all tackle of a kind is calibrated, and as usual again where that was so
    before alone. What a person said stays while neither changes.
    """
    now, was = _known(setup, catalog), _known(before, catalog_before or catalog)
    changes = {}
    for name in IN_DOUBT.values():
        if name in now and now[name] != was.get(name):
            changes[name] = now[name]
        elif name not in now and math.isclose(getattr(setup.doubt, name), was.get(name, -1.0)):
            changes[name] = getattr(Doubt(), name)
    return replace(setup.doubt, **changes)


def _known(setup: Setup, catalog: Catalog) -> dict[str, float]:
    lines = [None if rod.sections else rod.line or rod.backing for rod in setup.rods]
    lures = [rod.lure if isinstance(rod.lure, str) else None for rod in setup.rods]
    boat = setup.boat if isinstance(setup.boat, str) else None
    return shares_known(catalog, lines=lines, lures=lures, boat=boat)
