"""Figures of how true answers are that no other benchmark prints. Nothing is asserted.

Run ``python -m tests.benchmarks.figures``, or with the names of some. *Before* is the same with
the doubt, the holds or the depths of before.
"""

from __future__ import annotations

import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.gear.catalog import Catalog
from app.ground.tracks.read import read_ground
from app.ground.tracks.reduced import reduced
from app.planning.plan import RUN_HOLDS, SHEAR_HOLDS, respond_part
from app.planning.situation import PlanRequest, situation
from app.scenario import file as scenario_file
from app.scenario.soundings import Soundings
from physics.answers.between import between
from physics.answers.chances import chances, sample
from physics.answers.doubt import EIGHTY, INPUTS, MIDDLE_ROUGHNESS, ROUGHNESS, Doubt
from physics.answers.holds import Responses
from physics.answers.timing import shortest_hold
from physics.environment.current import PowerLaw, Shares
from physics.environment.water import Bottom
from physics.simulation.scenario import Scenario
from tests.app.drill.drill_by_hand import points_off
from tests.app.ground.tracks.test_soundings import DEEP, LOCAL, TABLE, tidal_log, true_tide, worst
from tests.physics.spreads import DEEP_SEA, PLUG, drop, leadcore_rod

LONGEST = 60.0
EVERY = tuple(0.5 * n for n in range(121))
OFF = 2.5
"""Timing error of a player, s."""


def shear() -> None:
    """Shortest holds of two demos in currents that fade downward, against all of them run."""
    catalog = Catalog.load(None)
    rows = Shares(((11.0, 1.0), (12.0, 0.3)))
    for number, depth, profile in (
        (0, 9.0, PowerLaw()), (0, 12.0, PowerLaw()), (1, 9.0, PowerLaw()), (0, 12.0, rows)
    ):  # fmt: skip
        demo = scenario_file.load(scenario_file.demos()[number], catalog)
        water = replace(
            demo.water, bottom=Bottom.level(depth), current=(0.0, -1.0), profile=profile
        )
        found = situation(PlanRequest(replace(demo, mark=None, water=water)), catalog)
        truth = _shortest(respond_part(found, EVERY), depth)
        for name, run in (("before", RUN_HOLDS), ("after", SHEAR_HOLDS)):
            since = time.process_time()
            told = _shortest(between(respond_part(found, (*run, LONGEST)), EVERY), depth)
            taken = time.process_time() - since
            apart = np.nanmax(np.abs(told - truth))
            kind = "power-law" if isinstance(profile, PowerLaw) else "rows of"
            print(
                f"holds of {len(demo.rods)} lines over {depth:g} m in {kind} current, {name}: "
                f"{apart:.2f} s off, {taken:.1f} s of processor"
            )


def _shortest(responses: Responses, depth: float) -> NDArray[np.float64]:
    """Shortest holds of each line for clearances a tenth of a meter apart, s; nan for none."""
    least = depth + np.nanmin(responses.low[..., 2], axis=2)
    return np.array([
        shortest_hold(responses.holds, least[:, rod], clearance) or np.nan
        for rod in range(least.shape[1]) for clearance in np.arange(0.1, 4.0, 0.1)
    ])  # fmt: skip


def bands() -> None:
    """How often bands hold the depth on a line of the published range of drag."""
    only = Doubt(**dict.fromkeys(INPUTS, 0.0))
    low, high = np.log(ROUGHNESS)
    rng = np.random.default_rng(5)
    rows = np.ones((200, len(INPUTS)))
    rows[:, INPUTS.index("line_drag")] = np.exp(
        0.5 * (low + high) + 0.5 * (high - low) / EIGHTY * rng.normal(size=len(rows))
    )
    truth = sample(_rough(1.0), 10.0, rows, after=10.0).depth[:, 0]
    for name, drag, doubt in (
        ("before", 1.0, 0.15), ("after", MIDDLE_ROUGHNESS, Doubt().line_drag)
    ):  # fmt: skip
        found = chances(_rough(drag), 10.0, replace(only, line_drag=doubt), count=64, after=10.0)
        held = (truth > found.bands[0, 0]) & (truth < found.bands[2, 0])
        print(f"drops on the published range of drag in the 80 % band, {name}: {_share(held)}")


def _rough(drag: float) -> Scenario:
    rod = leadcore_rod("plug", PLUG)
    return drop(
        replace(rod, sections=tuple(replace(part, drag_multiplier=drag) for part in rod.sections))
    )


def _share(held: NDArray[np.bool_]) -> str:
    return f"{100.0 * held[:, :41].mean():.0f} %"


def touch() -> None:
    """How far the chance of a touch differs from seed to seed, and the error it is told with."""
    sure = Doubt(**dict.fromkeys(INPUTS, 0.0))
    low = chances(_over(20.0), 14.0, sure, count=1, after=25.0).clearance[0, 0]
    near = _over(1.12 * (20.0 - float(low)))
    found = [chances(near, 14.0, Doubt(), count=64, seed=seed, after=25.0) for seed in range(16)]
    share = 100.0 * np.array([one.any_touch for one in found])
    error = 100.0 * np.mean([one.any_touch_error for one in found])
    print(
        f"touches in N of 100, 64 draws, 16 seeds: {share.mean():.1f}, from {share.min():.0f} to "
        f"{share.max():.0f}, standard deviation {share.std(ddof=1):.1f}, told {error:.1f}"
    )


def _over(depth: float) -> Scenario:
    line = drop(leadcore_rod("plug", PLUG))
    return replace(line, water=replace(DEEP_SEA, bottom=Bottom.level(depth)))


def soundings() -> None:
    """How far a bottom lies off at worst, from a log of an hour and a half with a rising tide."""
    with tempfile.TemporaryDirectory() as folder:
        log = read_ground(tidal_log(Path(folder) / "tide.nmea"))
    rise = float(np.ptp(true_tide(log.time)))
    after = worst(reduced(log, Soundings(transducer=DEEP, clock=LOCAL, table=TABLE)), 0.0)
    for name, off in (("before", worst(log, 0.0)), ("after", after)):
        print(f"bottom of a log with {rise:.2f} m of tide, {name}: {off:.2f} m off at worst")


def drill() -> None:
    """Points at each level for a drop so much early or late, long or short, in eight rounds."""
    catalog = Catalog.load(None)
    told = (f"level {n} {points_off(n, OFF, catalog, range(1, 9)):.0f}" for n in range(1, 6))
    print(f"points for a timing error of {OFF:g} s: {', '.join(told)}")


ALL = {one.__name__: one for one in (shear, bands, touch, soundings, drill)}


def main() -> None:
    for name in sys.argv[1:] or ALL:
        ALL[name]()


if __name__ == "__main__":
    main()
