"""README's install, and some tests, with other Pythons, and with the oldest libraries allowed.

``python -m tests.benchmarks.versions [PYTHON ...] [--lowest] [--tests FILE ...]``; each PYTHON is
a command (python3.12). A copy of what is committed is installed in a fresh environment each. With
``--lowest`` every library that the program needs is the oldest that pyproject.toml allows, found
by ``uv``, which must be there (``pip install uv``): with the oldest Python, since old libraries do
not know new ones. Exit code 1 when anything failed.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]

TESTS = (
    "tests/physics/test_catenary.py", "tests/physics/test_compiled.py", "tests/app/common",
    "tests/app/shell/test_check.py", "tests/app/shell/test_pages.py",
    "tests/app/shell/window/test_opening.py",
)  # fmt: skip

TOOLS = ("pytest>=8.2", "pytest-qt>=4.4", "hypothesis>=6.100", "pypdf>=4")
"""What those tests need: with the oldest libraries only the program's own are to be old."""


def tried(python: str, lowest: bool, tests: list[str]) -> bool:
    """Install and test in a fresh environment; whether all went well."""
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        copy = subprocess.run(["git", "archive", "HEAD"], cwd=ROOT, check=True, capture_output=True)
        subprocess.run(["tar", "-x"], cwd=place, check=True, input=copy.stdout)
        own = place / ".venv" / ("Scripts" if os.name == "nt" else "bin")
        inside = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
        inside |= {"QT_QPA_PLATFORM": "offscreen", "VIRTUAL_ENV": str(place / ".venv")}
        uv = ["uv", "pip", "install", "-q", "--resolution"]
        pip = [str(own / "pip"), "install", "-q"]
        steps = [[python, "-m", "venv", ".venv"]]
        steps += [[*uv, "lowest-direct", "."] if lowest else [*pip, "."]]
        steps += [[str(own / "leadfall"), "--check"]]
        steps += [[*uv, "highest", *TOOLS] if lowest else [*pip, *TOOLS]]
        steps += [[str(own / "python"), "-m", "pytest", "-q", "-p", "no:cacheprovider", *tests]]
        for words in steps:
            done = subprocess.run(
                words, cwd=place, env=inside, text=True, check=False,
                stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
            )  # fmt: skip
            if words[-1] == "--check" or words is steps[-1] or done.returncode:
                print(done.stdout, flush=True)
            if done.returncode:
                break
    well = not done.returncode
    print(f"{python}{', oldest libraries' * lowest}: {'well' if well else 'NOT WELL'}, "
          f"{time.monotonic() - begun:.0f} s", flush=True)  # fmt: skip
    return well


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.versions")
    parser.add_argument("pythons", nargs="*", default=[sys.executable])
    parser.add_argument("--lowest", action="store_true")
    parser.add_argument("--tests", nargs="+", default=list(TESTS))
    given = parser.parse_args()
    results = [tried(one, given.lowest, given.tests) for one in given.pythons]
    return int(not all(results))


if __name__ == "__main__":
    raise SystemExit(main())
