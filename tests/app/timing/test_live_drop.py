"""The last drop of a live run, measured."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.gear.catalog import Catalog
from app.planning.situation import PlanRequest, situation
from app.scenario.setup import Setup
from app.timing.live_drop import live_drop
from physics.simulation.events import find_events
from physics.simulation.run import Run
from physics.vessel.boat import Order


def test_that_a_drop_ends_where_the_next_begins(demo: Setup, catalog: Catalog) -> None:
    one = replace(demo.untold(), rods=demo.rods[:1], duration=60.0)
    told = (Order(12.0, "out of gear"), Order(18.0, "in gear"), Order(30.0, "out of gear"))
    run = Run([replace(one, orders=told).scenario(catalog)])
    run.advance(60.0)
    live = live_drop(run, 60.0, situation(PlanRequest(one), catalog).aim)
    assert live is not None
    assert (live.wait, live.hold, live.after, live.done) == (2.0, 6.0, 12.0, True)
    first = next(e for e in find_events(run.trajectory()) if e.kind == "deepest")
    assert live.rods[0].deepest == pytest.approx(first.values["depth_m"], abs=0.002)
    early = live_drop(run, 29.0, situation(PlanRequest(one), catalog).aim)
    assert early is not None
    assert not early.done
