"""The steady answer: what it takes, how it does when it is played, and its errors. Asserts nothing.

Run ``python -m tests.benchmarks.steady``. Four lines of 7 to 10 colors over a level bottom, and
the first demo: seconds on one process and on two; then both answers played with drag, weights,
coast-down, speed and depth drawn at random from their doubt, over the ground as it lies; then
the table's expected windows against as many plain drops.
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
from app.planning.plan import Plan, PlanRequest, full_answer
from app.planning.steady import SteadyPlan, allowing, steady_holds, steady_of, steady_part
from app.scenario import file as scenario_file
from physics.answers.chances import Chances, gathered
from physics.answers.doubt import INPUTS, Doubt
from physics.answers.steady import SteadyAnswer, answer_at
from physics.answers.timing import FINE
from tests.benchmarks.plan_speed import WORKERS, apart, request_of, show, spent

SAMPLES, PLAYED, PLAIN = 64, 500, 2000


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
    context = multiprocessing.get_context("spawn")
    for name, request in (("four lines", request_of(catalog)), ("first demo", demo)):
        print(name)
        _, plan = spent(full_answer, request, catalog)
        holds = steady_holds(plan)
        print(f"  {len(request.waits)} waits, holds to {holds[-1]:g} s, {SAMPLES} samples")
        show("  one process", 2, lambda r=request, h=holds: spent(steady_part, r, catalog, h, 0, 1))
        with ProcessPoolExecutor(WORKERS, mp_context=context) as executor:

            def halves(r: PlanRequest = request, h: tuple[float, ...] = holds) -> Any:
                calls = [(r, catalog, h, number, WORKERS) for number in range(WORKERS)]
                return apart(executor, steady_part, calls)

            apart(executor, sum, [([],)] * 2 * WORKERS)
            parts = show("  two processes", 3, halves)
        cpu, found = spent(steady_of, plan, parts)
        print(f"  putting it together: processor {cpu:.3f} s")
        assert found.exact is not None
        assert found.answer is not None
        rows = drawn(request.setup.doubt, PLAYED, 11)
        exact = found.exact
        same = allowing(plan, found, exact.touch).answer
        assert same is not None
        scores = {}
        for words, at in (
            ("exact", exact), ("steady, 1 in 10", found.answer),
            ("steady, as often as the exact", same),
            ("exact, holds that touch 1 in 10", as_rarely(plan, found)),
        ):  # fmt: skip
            scores[words] = played(plan, catalog, (at.wait, at.hold), rows)
            show_played(f"{words}: wait {at.wait:g}, hold {at.hold:g}", scores[words])
        names = list(scores)
        for ours, theirs in ((names[1], names[0]), (names[2], names[0]), (names[1], names[3])):
            gain = worths(scores[ours]) - worths(scores[theirs])
            error = gain.std() / np.sqrt(len(gain) - 1)
            print(f"  {ours} beats {theirs} by {gain.mean():.2f} +- {error:.2f} s (drop by drop)")
        plain = drawn(request.setup.doubt, PLAIN, 12)
        print(f"  expected by the table, and by {PLAIN} plain drops")
        for at in (exact, found.answer, shorter(found.answer)):
            told = found.expected.at(at.wait, at.hold)
            seen = played(plan, catalog, (at.wait, at.hold), plain)
            off = np.hypot(told.window_error, seen.expected_error)
            print(
                f"    wait {at.wait:g}, hold {at.hold:g}: {told.window:.2f} +- "
                f"{told.window_error:.2f} s, plain {seen.expected:.2f} +- "
                f"{seen.expected_error:.2f} s ({(told.window - seen.expected) / off:+.1f} errors); "
                f"touches {100 * told.touch:.1f}, plain {100 * seen.any_touch:.1f} %"
            )
        for at, gain in zip(INPUTS, found.worth.gain, strict=True):
            print(f"  knowing {at}: {gain:.2f} s, {found.worth.of(at)[1]:.2f} error")


def as_rarely(plan: Plan, found: SteadyPlan) -> SteadyAnswer:
    """The exact answer, were its clearance such that it touches as rarely as the steady one."""
    expected = found.expected
    total = plan.map.total[:, : len(expected.holds)]
    calm = np.where(expected.touch <= found.allowed, total, -1.0)
    near = calm >= calm.max() - FINE
    k = int(np.flatnonzero(near.any(axis=0))[0])
    waits = np.flatnonzero(near[:, k])
    return answer_at(expected, int(waits[len(waits) // 2]), k)


def shorter(answer: SteadyAnswer) -> SteadyAnswer:
    """Four seconds less of hold."""
    return replace(answer, hold=max(answer.hold - 4.0, 0.0))


if __name__ == "__main__":
    main()
