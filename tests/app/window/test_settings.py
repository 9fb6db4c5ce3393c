"""Settings are there again at the next start, and damaged ones do no harm."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings

from app import scenario_file
from app.catalog import Catalog
from app.window import Window, first_setup
from tests.app.window.hands import warning


def test_that_look_units_size_and_scenario_are_there_again(
    start: Callable[..., Window], own: Path
) -> None:
    window = start()
    window.open_file(own)
    window.preferences.set_look("dark")
    window.preferences.set_length("meters")
    # the offscreen screen is 800 px square
    window.resize(window.width(), 700)
    window.page.splitter.setSizes([200, 400])
    sizes = window.page.splitter.sizes()
    assert window.close()
    again = start()
    assert again.path == own
    assert (again.preferences.look.name, again.preferences.length_name) == ("dark", "meters")
    assert again.height() == 700
    assert again.page.splitter.sizes() == pytest.approx(sizes, abs=8)


def test_that_the_last_demo_is_shown_again_as_a_demo(start: Callable[..., Window]) -> None:
    window = start()
    window.open_file(scenario_file.demos()[2], demo=True)
    assert window.close()
    again = start()
    assert again.rehearsal.setup.name == "Slow lake tow with a floating plug"
    assert again.path is None


def test_that_a_last_scenario_that_has_gone_is_told_and_the_demo_shown(
    start: Callable[..., Window], own: Path
) -> None:
    start(own).open_file(own)
    own.unlink()
    window = start()
    assert own.name in warning(window)
    assert window.rehearsal.setup.name == "Two rods, level bottom"


@pytest.mark.parametrize(
    "content",
    [
        b"\x00\xff\xfe garbage",
        b"[General]\nlook=sepia\nlength=fathoms\ngeometry=nonsense\nsplitter=12\nscenario=\n",
        b"[General]\nlook=1, 2\nlength=@Invalid()\ngeometry=@ByteArray(xyz)\nsplitter=a, b\n",
        b"[General]\ngeometry=@Variant(\x00\x01)\nsplitter=@Size(1 2)\n",
    ],
)
def test_that_damaged_settings_are_no_reason_not_to_start(
    start: Callable[..., Window], settings: QSettings, content: bytes
) -> None:
    Path(settings.fileName()).write_bytes(content)
    window = start()
    assert (window.preferences.look.name, window.preferences.length_name) == ("light", "feet")
    assert window.width() >= 600


def test_that_nothing_is_opened_from_an_empty_setting(
    settings: QSettings, catalog: Catalog
) -> None:
    settings.setValue("scenario", "")
    setup, path, message = first_setup(None, settings, catalog)
    assert (setup.name, path, message) == ("Two rods, level bottom", None, "")
