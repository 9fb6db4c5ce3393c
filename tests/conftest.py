"""What every test shares: no window on screen, and long runs only when asked for."""

import os

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

ONLY_WHEN_ASKED = ("long", "speed")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out long searches and benchmarks unless ``-m`` says what to run."""
    if config.option.markexpr:
        return
    left_out = [i for i in items if any(i.get_closest_marker(m) for m in ONLY_WHEN_ASKED)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [i for i in items if i not in left_out]
