"""What every test shares: no window on screen, and long runs only when asked for."""

import gc
import os
from collections.abc import Iterator

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

ONLY_WHEN_ASKED = ("long", "speed")

COLLECTED_EVERY = 25
"""Tests from one collection of dead cycles to the next. Windows come and go here as nowhere else:
a collector that starts while a signal is being connected waits for ever for the library's lock."""

_run = 0


def pytest_sessionstart() -> None:
    """Leave the collector to us."""
    gc.disable()


def pytest_collection_finish() -> None:
    """What is loaded by now stays, the sources that static tests have parsed above all: the
    collector need not walk it."""
    gc.freeze()


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol() -> Iterator[None]:
    """Collect between two tests."""
    global _run
    yield
    _run += 1
    if _run % COLLECTED_EVERY == 0:
        gc.collect()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out long searches and benchmarks unless ``-m`` says what to run."""
    if config.option.markexpr:
        return
    left_out = [i for i in items if any(i.get_closest_marker(m) for m in ONLY_WHEN_ASKED)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [i for i in items if i not in left_out]
