"""How many hostile files of each kind are read, refused, or bring the program down.

``python -m tests.benchmarks.hostile [--count N] [--seed S] [--kind K] [--case N]``; exit code 1
when anything failed. A file that failed is made again by its kind, number and seed.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from tests.app.hostile_reading import KINDS, MOST_MEMORY, SLOWEST, file_of, outcome


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.hostile")
    parser.add_argument("--count", type=int, default=3000, help="files of each kind (3000)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", choices=list(KINDS), action="append")
    parser.add_argument("--case", type=int, help="only this one; its bytes go to hostile.case")
    given = parser.parse_args()
    kinds = given.kind or list(KINDS)
    if given.case is not None:
        Path("hostile.case").write_bytes(file_of(kinds[0], given.case, given.seed))
    print(f"{'kind':12}{'files':>7}{'read':>7}{'refused':>9}{'failed':>8}"
          f"{'slowest s':>11}{'MB more':>9}{'longest message':>17}")  # fmt: skip
    failed = 0
    for kind in kinds:
        numbers = range(given.count) if given.case is None else [given.case]
        with tempfile.TemporaryDirectory() as folder:
            found = [outcome(kind, number, given.seed, Path(folder)) for number in numbers]
        bad = []
        for number, one in zip(numbers, found, strict=True):
            trouble = one.trouble
            if one.seconds > SLOWEST:
                trouble = trouble or f"took {one.seconds:.1f} s"
            if one.memory > MOST_MEMORY:
                trouble = trouble or f"took {one.memory / 1e6:.0f} MB more"
            if trouble:
                bad.append((number, trouble))
        read = sum(one.read for one in found)
        print(f"{kind:12}{len(found):7}{read:7}{len(found) - read:9}{len(bad):8}"
              f"{max(one.seconds for one in found):11.2f}"
              f"{max(one.memory for one in found) / 1e6:9.0f}"
              f"{max(len(one.message) for one in found):17}", flush=True)  # fmt: skip
        for number, trouble in bad[:20]:
            print(f"    {kind} {number}: {trouble}")
        failed += len(bad)
    return int(failed > 0)


if __name__ == "__main__":
    raise SystemExit(main())
