"""The README's pictures are of this program, not of one it used to be.

On a difference, look at what changed; if it was meant, make them anew with
``python -m tests.benchmarks.pictures``.
"""

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from app.common.resources import asset
from tests.benchmarks.pictures import NAMES, SIZE, make

COARSE = QSize(128, 80)
"""Size at which fonts hardly matter and the layout still does."""

ALIKE = 0.12
"""Mean difference allowed, as a share of the picture's own spread of gray."""

README = Path(__file__).parents[3] / "README.md"

of_page = pytest.mark.parametrize("name", [name for name in NAMES if name != "spread.png"])


@pytest.fixture(scope="module")
def fresh(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pictures as this program makes them now."""
    folder = tmp_path_factory.mktemp("pictures")
    qapp.setStyle("Fusion")
    make(folder)
    qapp.setStyleSheet("")
    return folder


def coarse(path: Path) -> NDArray[np.float64]:
    """A picture as a small gray one, 0 to 1."""
    image = QImage(str(path)).convertToFormat(QImage.Format.Format_Grayscale8)
    assert not image.isNull(), path
    small = image.scaled(
        COARSE, Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
    )
    rows = np.array(small.constBits(), np.uint8).reshape(COARSE.height(), -1)
    return rows[:, : COARSE.width()] / 255.0


def difference(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    """Mean difference as a share of the gray between the 5th and 95th percentile of ``b``."""
    spread = np.percentile(b, 95) - np.percentile(b, 5)
    return float(np.abs(a - b).mean() / spread)


@pytest.mark.parametrize("name", NAMES)
def test_that_the_picture_is_there(name: str) -> None:
    assert asset(f"pictures/{name}").is_file()


@of_page
def test_that_a_picture_of_the_page_is_1280_by_800(name: str) -> None:
    size = QImage(str(asset(f"pictures/{name}"))).size()
    assert (size.width(), size.height()) == SIZE == (1280, 800)


@pytest.mark.parametrize("name", NAMES)
def test_that_the_program_still_looks_like_its_picture(fresh: Path, name: str) -> None:
    assert difference(coarse(fresh / name), coarse(asset(f"pictures/{name}"))) < ALIKE


@of_page
def test_that_another_layout_would_be_noticed(name: str) -> None:
    picture = coarse(asset(f"pictures/{name}"))
    for other in (picture[:, ::-1], picture[::-1], np.roll(picture, 24, axis=1)):
        assert difference(other, picture) > 1.5 * ALIKE


def test_that_the_readme_shows_a_picture_that_is_there() -> None:
    text = README.read_text(encoding="utf-8")
    shown = [name for name in NAMES if f"assets/pictures/{name}" in text]
    assert shown
