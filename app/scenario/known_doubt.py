"""What is left of a setup's doubt where its tackle has been measured."""

from __future__ import annotations

from app.gear.calibrated import doubt_with
from app.gear.catalog import Catalog
from app.scenario.setup import Setup
from physics.answers.doubt import Doubt


def known_doubt(setup: Setup, catalog: Catalog) -> Doubt:
    """The setup's doubt, less where all its tackle of a kind is calibrated."""
    lines = [rod.line for rod in setup.rods if rod.line and rod.sections is None]
    lures = [rod.lure for rod in setup.rods if isinstance(rod.lure, str)]
    boat = setup.boat if isinstance(setup.boat, str) else None
    return doubt_with(catalog, setup.doubt, lines=lines, lures=lures, boat=boat)
