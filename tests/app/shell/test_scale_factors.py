"""Pages fit on screens whose pixels are finer: Qt takes its scale factor once, at the start."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = Path(__file__).parents[3]


def fits(factor: str, test: str) -> None:
    """Whether a test of what fits passes at a scale factor."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(HERE / test)],
        env={**os.environ, "QT_SCALE_FACTOR": factor, "PYTHONPATH": str(ROOT)},
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout
    assert "1 passed" in done.stdout


def test_that_every_page_fits_at_a_scale_between_whole_pixels() -> None:
    fits(
        "1.5",
        "test_larger_text.py::test_that_pages_made_while_text_is_larger_fit_without_scrolling_to_the_side",
    )


@pytest.mark.long
@pytest.mark.parametrize("factor", ["1", "1.25", "1.5", "2"])
def test_that_every_page_fits_at_every_size_and_scale(factor: str) -> None:
    fits(factor, "test_fit.py::test_that_every_page_fits_at_every_size")
