"""Every reason why a lure has no window names the limit that binds, and its number is true."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.common.units import FOOT, METER
from app.gear.catalog import Catalog
from app.planning.plan import Plan, finish, full_answer
from app.planning.remedies import heavier_lure
from app.planning.shortfalls import Miss
from app.planning.situation import PlanRequest
from app.planning.words import miss_words
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from physics.answers.between import between
from physics.answers.timing import FINE, Aim
from physics.environment.water import Bottom
from physics.simulation.events import LIFTING
from physics.simulation.scenario import Mark

HOLDS = tuple(float(h) for h in range(0, 61, 6))
WAITS = tuple(float(w) for w in range(0, 61, 6))

SAME = 0.02
"""m, and a third of FINE in s: the recomputation has steps of its own."""


@pytest.fixture(scope="module")
def known() -> tuple[Plan, Catalog]:
    """A plan of the demo, whose runs serve every mark, bottom and clearance."""
    catalog = Catalog.load()
    setup = scenario_file.load(scenario_file.demos()[0], catalog)
    return full_answer(PlanRequest(setup, WAITS, HOLDS), catalog), catalog


class Recomputed:
    """The same drops measured plainly: a loop over waits and holds, a moment at a time."""

    def __init__(self, plan: Plan, aim: Aim, depth: float) -> None:
        runs = between(plan.responses, HOLDS)
        self.time = np.arange(runs.time[0], runs.time[-1], FINE)
        self.window = np.zeros((len(WAITS), len(HOLDS), runs.lure.shape[1]))
        self.least = np.zeros_like(self.window)
        self.path = np.zeros((len(HOLDS), runs.lure.shape[1], len(self.time), 3))
        for k in range(len(HOLDS)):
            for r in range(runs.lure.shape[1]):
                for axis in range(3):
                    self.path[k, r, :, axis] = np.interp(
                        self.time, runs.time, runs.lure[k, r, :, axis]
                    )
                x, y, z = self.path[k, r].T
                lifts = (np.gradient(z, FINE) > LIFTING) & (
                    abs(-z - aim.mark.depth) <= aim.mark.band
                )
                for w, wait in enumerate(WAITS):
                    east, north = wait * runs.boat_velocity
                    near = np.hypot(x + east, y + north) <= aim.radius
                    self.window[w, k, r] = FINE * np.count_nonzero(lifts & near)
                    self.least[w, k, r] = depth + np.nanmin(runs.low[k, r, :, 2])


@settings(max_examples=40, deadline=None)
@given(
    depth=st.floats(6.0, 40.0),
    over=st.floats(0.2, 1.0),
    band=st.floats(0.2, 2.0),
    radius=st.floats(0.5, 10.0),
    clearance=st.floats(0.0, 5.0),
)
def test_that_a_reason_names_what_binds_with_its_true_number(
    known: tuple[Plan, Catalog],
    depth: float,
    over: float,
    band: float,
    radius: float,
    clearance: float,
) -> None:
    plan, catalog = known
    setup = plan.request.setup
    mark = Mark(max(depth * over, 0.5), 0.0, min(band, depth * over * 0.9))
    setup = replace(
        setup, water=replace(setup.water, bottom=Bottom.level(depth)), mark=mark,
        timing=replace(setup.timing, radius=radius, clearance=clearance),
    )  # fmt: skip
    asked = PlanRequest(setup, WAITS, HOLDS)
    found = finish(asked, catalog, plan.responses)
    again = Recomputed(plan, Aim(mark, radius, clearance), depth)
    least = again.least.min(axis=2)
    told = {miss.number: miss for miss in found.misses}
    for number in range(len(setup.rods)):
        window = again.window[..., number]
        if number not in told:
            assert window[least >= clearance - SAME].max() > 0.0
            continue
        check(told[number], asked, again, window, least)


def check(
    miss: Miss, asked: PlanRequest, again: Recomputed, window: np.ndarray, least: np.ndarray
) -> None:
    """One reason against what is recomputed."""
    mark, radius, said = asked.setup.mark, asked.radius, miss_words(miss, asked, METER)
    assert mark is not None
    z = again.path[:, miss.number, :, 2]
    if miss.why == "foul":
        assert window.max() == pytest.approx(miss.window, abs=FINE)
        assert least[window > FINE].max(initial=-99.0) <= miss.by + SAME
        assert miss.by < asked.clearance
        assert f"{miss.window:.1f} s" in said
        return
    # without any window at all, clearance or not
    assert window.max() <= FINE
    if miss.why == "ground":
        assert least.max() == pytest.approx(miss.by, abs=SAME)
        assert least.max() < asked.clearance + SAME
    elif miss.why == "shallow":
        assert mark.depth + np.nanmin(z) == pytest.approx(miss.by, abs=SAME)
        assert METER.text(miss.by) in said
    elif miss.why == "deep":
        assert -np.nanmax(z) - mark.depth == pytest.approx(miss.by, abs=SAME)
    elif miss.why == "aside":
        # straight north in still water: abeam is east, and the rod is what puts it there
        lifts = (np.gradient(z, FINE, axis=1) > LIFTING) & (abs(-z - mark.depth) <= mark.band)
        heading = asked.setup.heading
        x, y = again.path[:, miss.number, ..., 0][lifts], again.path[:, miss.number, ..., 1][lifts]
        abeam = x * np.cos(heading) - y * np.sin(heading)
        assert np.abs(abeam).min() == pytest.approx(miss.by, abs=SAME)
        assert ("starboard" if abeam.mean() > 0.0 else "port") == miss.side
        assert "its rod is that far to the side" in said
    elif miss.why == "waits":
        # nothing but its place is wrong
        lifts = (np.gradient(z, FINE, axis=1) > LIFTING) & (abs(-z - mark.depth) <= mark.band)
        assert lifts.any()
        assert miss.by > radius


def test_that_a_window_that_fouls_the_ground_is_not_called_far_from_its_place(
    known: tuple[Plan, Catalog],
) -> None:
    plan, catalog = known
    setup = plan.request.setup
    mark = Mark(FOOT.to_si(37.0), band=FOOT.to_si(2.0))
    setup = replace(
        setup, water=replace(setup.water, bottom=Bottom.level(FOOT.to_si(38.0))), mark=mark,
        timing=replace(setup.timing, clearance=FOOT.to_si(6.0)),
    )  # fmt: skip
    asked = PlanRequest(setup, WAITS, HOLDS)
    found = finish(asked, catalog, plan.responses)
    assert {miss.why for miss in found.misses} == {"foul"}
    said = miss_words(found.misses[0], asked)
    assert "would lift through the mark for up to" in said
    assert "6.0 ft off bottom" in said


def test_that_a_heavier_lure_is_one_to_fish_with_and_heavier_in_the_hand(
    known: tuple[Plan, Catalog],
) -> None:
    plan, catalog = known
    setup: Setup = plan.request.setup
    for name, lure in catalog.lures.items():
        rod = replace(setup.rods[0], lure=name)
        for one in heavier_lure(replace(setup, rods=(rod,)), 0, catalog):
            offered = catalog.lures[str(one.setup.rods[0].lure)]
            assert offered.kind != "sinker"
            assert offered.mass > lure.mass
