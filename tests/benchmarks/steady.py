"""The steady answer: what it takes, how it does when it is played, and its errors. Asserts nothing.

Run ``python -m tests.benchmarks.steady``. Four lines of 7 to 10 colors over a level bottom, the
first demo, and the second, a shoal, without its set: seconds on one process and on two; then both
answers played with drag, weights, coast-down, speed and depth drawn at random from their doubt,
over the ground as it lies: the steady one as it is, and with such a chance allowed that of other
draws it touches as often as the exact one does, or as near to that as it can; then expected
windows against plain drops.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.gear.catalog import Catalog
from app.planning.doubts import doubt_part
from app.planning.plan import Plan, full_answer
from app.planning.situation import PlanRequest
from app.planning.steady import (
    Grid,
    SteadyPlan,
    allowing,
    steady_drops,
    steady_grid,
    steady_of,
    steady_part,
)
from app.scenario import file as scenario_file
from physics.answers.chances import Chances, gathered
from physics.answers.doubt import INPUTS, Doubt
from physics.answers.steady import Expected, SteadyAnswer
from tests.benchmarks.plan_speed import WORKERS, apart, request_of, show, spent

SAMPLES, PLAYED = 64, 2000

ALLOWED = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4)
"""Chances of touching among which one is chosen."""


def drawn(doubt: Doubt, count: int, seed: int) -> NDArray[np.float64]:
    """Multipliers (count, inputs) drawn one by one, not from a hypercube."""
    spread = np.log1p([getattr(doubt, name) for name in INPUTS])
    out: NDArray[np.float64] = np.exp(
        spread * np.random.default_rng(seed).standard_normal((count, len(INPUTS)))
    )
    return out


def played(
    plan: Plan, catalog: Catalog, point: tuple[float, float], rows: NDArray[np.float64]
) -> Chances:
    """Drops of ``rows`` (S, inputs) at a wait and hold, s."""
    part = doubt_part(plan.request, catalog, point, rows, holds=False)
    return gathered([part], rows)


def worths(found: Chances) -> NDArray[np.float64]:
    """Strike window of every drop (S,), s; 0 of one that touches."""
    return np.where(found.touches, 0.0, found.windows.sum(axis=1))


def show_played(name: str, found: Chances) -> None:
    """The mean window and how often it touched."""
    print(
        f"  {name:40s} {found.expected:6.2f} +- {found.expected_error:.2f} s a drop, touches "
        f"{100 * found.any_touch:5.1f} +- {100 * found.any_touch_error:.1f} %"
    )


def main() -> None:
    catalog = Catalog.load(None)
    demo = PlanRequest(scenario_file.load(scenario_file.demos()[0], catalog))
    shoal = scenario_file.load(scenario_file.demos()[1], catalog)
    calm = replace(shoal, water=replace(shoal.water, current=(0.0, 0.0), wind=(0.0, 0.0)))
    cases = {"four lines": request_of(catalog), "first demo": demo, "shoal": PlanRequest(calm)}
    context = multiprocessing.get_context("spawn")
    for name, request in cases.items():
        print(name)
        _, plan = spent(full_answer, request, catalog)
        grid = steady_grid(plan)
        print(
            f"  {len(grid[0])} waits, {len(grid[1])} holds to {grid[1][-1]:g} s, {SAMPLES} samples"
        )
        show("  one process", 2, lambda r=request, g=grid: spent(steady_part, r, catalog, g, 0, 1))
        with ProcessPoolExecutor(WORKERS, mp_context=context) as executor:

            def halves(r: PlanRequest = request, g: Grid = grid) -> Any:
                calls = [(r, catalog, g, number, WORKERS) for number in range(WORKERS)]
                return apart(executor, steady_part, calls)

            apart(executor, sum, [([],)] * 2 * WORKERS)
            parts = show("  two processes", 3, halves)
        cpu, found = spent(steady_of, plan, parts)
        print(f"  putting it together: processor {cpu:.3f} s")
        assert found.exact is not None
        assert found.answer is not None
        rows = drawn(request.setup.doubt, PLAYED, 11)
        exact, scores = found.exact, {}
        same, rates = as_often(plan, catalog, found, drawn(request.setup.doubt, PLAYED, 21))
        print(f"  of other draws {rates}")
        for words, at in (
            ("exact", exact), ("steady, 1 in 10", found.answer),
            ("steady, as often as the exact", same),
        ):  # fmt: skip
            scores[words] = played(plan, catalog, (at.wait, at.hold), rows)
            show_played(f"{words}: wait {at.wait:g}, hold {at.hold:g}", scores[words])
            told = found.fine.at(at.wait, at.hold)
            off = np.hypot(told.touch_error, scores[words].any_touch_error)
            more = told.touch - scores[words].any_touch
            print(
                f"    told {told.window:.2f} +- {told.window_error:.2f} s and touches "
                f"{100 * told.touch:.1f} %: {more / max(off, 1e-9):+.1f} errors off"
            )
        for ours in list(scores)[1:]:
            gain = worths(scores[ours]) - worths(scores["exact"])
            error = gain.std() / np.sqrt(len(gain) - 1)
            print(f"  {ours} beats exact by {gain.mean():.2f} +- {error:.2f} s (drop by drop)")
        for at, gain in zip(INPUTS, found.worth.gain, strict=True):
            print(f"  knowing {at}: {gain:.2f} s, {found.worth.of(at)[1]:.2f} error")


def as_often(
    plan: Plan, catalog: Catalog, found: SteadyPlan, rows: NDArray[np.float64]
) -> tuple[SteadyAnswer, str]:
    """The steady answer that of ``rows`` touches most often of those that do no more than the
    exact one, and what each does."""
    answers = {chance: allowing(plan, found, chance).answer for chance in ALLOWED}
    every = [one for one in (found.exact, *answers.values()) if one is not None]
    holds = tuple(sorted({one.hold for one in every}))
    waits = tuple(sorted({one.wait for one in every}))
    drops = Expected.of(steady_drops(plan.request, catalog, (waits, holds), rows))
    assert found.exact is not None
    most = drops.at(found.exact.wait, found.exact.hold).touch
    rates = {one: drops.at(one.wait, one.hold).touch for one in every[1:]}
    chosen = max((one for one in rates if rates[one] <= most + 1e-9), key=lambda one: rates[one])
    told = ", ".join(
        f"allowed {chance:g}: {100 * rates[one]:.1f} %" for chance, one in answers.items() if one
    )
    return chosen, f"the exact touches in {100 * most:.1f} %; the steady one {told}"


if __name__ == "__main__":
    main()
