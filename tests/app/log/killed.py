"""A process that writes entries and is killed while it does; what it had confirmed by then.

``python -m tests.app.log.killed LOG COUNT SEED`` writes, and tells each entry once it is kept.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

from app.log.store import Store
from tests.app.log.made import a_drop, season

ROOT = Path(__file__).parents[3]

WRITES = 200
"""Entries written if nobody kills the writer."""


def confirmed(path: Path, seed: int) -> tuple[set[str], int]:
    """Ids of what a writer had confirmed when it was killed after a random number of them, and
    that number."""
    lot = random.Random(seed)
    many, told = lot.randrange(1, WRITES), set[str]()
    with subprocess.Popen(
        [sys.executable, "-m", "tests.app.log.killed", str(path), str(WRITES), str(seed)],
        stdout=subprocess.PIPE, text=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as process:  # fmt: skip
        assert process.stdout is not None
        for line in process.stdout:
            told.add(line.strip())
            if len(told) == many:
                process.kill()
        # what it said between the last line read and its end counts, too
    return told, many


def main(path: Path, count: int, seed: int) -> None:
    store = Store(path)
    for entry in season(count, seed):
        store.change([(None, entry)])
        store.flush()
        sys.stdout.write(f"{entry.id}\n")
        sys.stdout.flush()
    store.change([(None, replace(a_drop(), note="all"))])
    store.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
