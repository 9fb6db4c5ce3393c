"""How far a lure's depth is off a finer line's in tight turns. Nothing is asserted.

Run ``python -m tests.benchmarks.turns``. For every turn of ``tests.physics.tight_turns`` the
largest share of the depth by which the default cut, and others, are ever off a line three times
finer than the default, and what each cut takes.
"""

from __future__ import annotations

import time

import numpy as np

from physics.line.mesh import STRAIGHT, Resolution
from tests.physics.tight_turns import TURNS, error, fine_depth

CUTS = (Resolution(24, 3, 1.0), STRAIGHT, Resolution(48, 6, 2.0), Resolution())


def name(cut: Resolution) -> str:
    graded = f" graded {cut.grading:g}" if cut.grading > 1.0 else ""
    own = ", the default" if cut == Resolution() else ""
    return f"{cut.line_elements} + {cut.leader_elements}{graded}{own}"


def main() -> None:
    names = [name(cut) for cut in CUTS]
    print(f"| lure, radius, angle, line, speed, water | {' | '.join(names)} |")
    print("| --- " * (1 + len(CUTS)) + "|")
    rows, spent = [], np.zeros(len(CUTS))
    for turn in TURNS:
        fine = fine_depth(turn)
        row = []
        for k, cut in enumerate(CUTS):
            start = time.thread_time()
            row.append(100.0 * error(turn, cut, fine))
            spent[k] += time.thread_time() - start
        rows.append(row)
        print(f"| {turn} | {' | '.join(f'{share:.2f} %' for share in row)} |", flush=True)
    worst = np.max(rows, axis=0)
    print(f"| worst | {' | '.join(f'{share:.2f} %' for share in worst)} |")
    print(f"| processor time | {' | '.join(f'{t / spent[0]:.2f}' for t in spent)} |")


if __name__ == "__main__":
    main()
