"""What tests of the Rehearse page share."""

import pytest

from app.rehearse.spread_editor import SpreadEditor
from app.shell.window import Window
from tests.app.rehearse.spread_by_hand import opened


@pytest.fixture
def editor(window: Window) -> SpreadEditor:
    return opened(window)
