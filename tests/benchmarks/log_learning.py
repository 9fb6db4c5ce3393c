"""How honestly the log learns from made-up days, how much its suggestions gain, and how fast.

Run ``python -m tests.benchmarks.log_learning``; ``--worlds 500`` for closer figures.
"""

from __future__ import annotations

import argparse
import os
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from app.log.learn.findings import learn
from app.log.learn.table import Columns
from tests.app.log.learn.coverage import SIZES, count
from tests.app.log.learn.learners import at_random, first_that_hit, hit_rate, suggested
from tests.app.log.learn.world import World

ENTRIES = (100, 1_000, 10_000, 100_000)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--worlds", type=int, default=60)
    worlds = parser.parse_args().worlds
    print("days x drops x lines: truth in 80 % intervals; worlds in which a difference is told")
    for nothing in (True, False):
        for size in SIZES:
            out = count(worlds, size, nothing)
            right = f", {out.right / max(out.claims, 1):.0%} of claims right" * (not nothing)
            print(
                f"{'nothing matters' if nothing else 'some matters':>16} "
                f"{' x '.join(map(str, size)):>12}: per drop {np.mean(out.held):.1%}, per hour "
                f"{np.mean(out.held_hourly):.1%}; {out.claimed / out.runs:.1%}{right}"
            )
    print(f"hits a line-drop after 60 drops, {worlds} worlds, with standard errors")
    rates = {}
    for skipper in (at_random, first_that_hit, suggested):
        found = np.array([
            hit_rate(World.random(np.random.default_rng(seed)), skipper, 60, seed)
            for seed in range(worlds)
        ])  # fmt: skip
        rates[skipper] = found
        print(f"{skipper.__name__:>16}: {found.mean():.4f} +- {found.std() / worlds**0.5:.4f}")
    for other in (at_random, first_that_hit):
        won = rates[suggested] - rates[other]
        error = won.std() / worlds**0.5
        print(f"{'gain over ' + other.__name__:>26}: {won.mean():.4f} +- {error:.4f}")
    print("rows (one a line-drop) and processor seconds to learn from them")
    none = Columns([], [], [], [], {})
    rng = np.random.default_rng(1)
    learn(World().fish(rng, 2, 5, 4), none)
    for rows in ENTRIES:
        fished = World.random(rng).fish(rng, max(rows // 60, 1), 15, 4)
        start = time.process_time()
        learn(fished, none)
        print(f"{len(fished.hits):>16,}: {time.process_time() - start:.3f}")


if __name__ == "__main__":
    main()
