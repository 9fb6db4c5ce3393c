"""One plan of the first demo for all tests of planning."""

from __future__ import annotations

import pytest

from app.gear.catalog import Catalog
from app.planning.doubts import doubts
from app.planning.plan import Plan, first_answer, full_answer
from app.planning.situation import PlanRequest
from app.scenario.setup import Setup
from physics.answers.chances import Chances


@pytest.fixture(scope="session")
def plan(demo: Setup, catalog: Catalog) -> Plan:
    return full_answer(PlanRequest(demo), catalog)


@pytest.fixture(scope="session")
def first(demo: Setup, catalog: Catalog) -> Plan:
    return first_answer(PlanRequest(demo), catalog)


@pytest.fixture(scope="session")
def chance(plan: Plan, catalog: Catalog) -> Chances:
    return doubts(plan.request, catalog, plan.point, count=16)
