"""A thing on its own: followed for long enough to time it to every depth that is told."""

from __future__ import annotations

import pytest

from app.common.units import FOOT
from app.gear.catalog import Catalog
from app.tackle.job import FALL_SECONDS, LONGEST_FALL, MARKS, trial
from physics.environment.water import Bottom, Water

DEEPEST = FOOT.to_si(MARKS[-1])


@pytest.fixture(scope="module")
def water() -> Water:
    return Water(Bottom.level(20.0))


@pytest.mark.parametrize("name", ["sinking plug, 4 in", "light jig, 1 oz", "heavy spoon, 5 in"])
def test_that_a_sinking_lure_is_timed_to_the_deepest_mark(
    name: str, catalog: Catalog, water: Water
) -> None:
    found = trial(catalog.lures[name], water)
    seconds = found.seconds_to(DEEPEST)
    assert seconds is not None
    # it settles within a second or two and then falls at its rate
    assert seconds == pytest.approx(DEEPEST / found.rate, abs=2.0)
    assert found.time[-1] >= FALL_SECONDS


def test_that_a_float_is_timed_on_its_way_up(catalog: Catalog, water: Water) -> None:
    found = trial(catalog.lures["floating lipped plug, 4 in"], water)
    assert found.rate < 0.0
    assert found.seconds_to(-DEEPEST) is not None


def test_that_every_leadcore_is_timed_to_the_deepest_mark(catalog: Catalog, water: Water) -> None:
    for name in catalog.of_role("leadcore"):
        found = trial(catalog.lines[name], water)
        seconds = found.seconds_to(DEEPEST)
        assert seconds == pytest.approx(DEEPEST / found.rate), name


def test_that_what_hardly_sinks_is_not_followed_for_ever(catalog: Catalog, water: Water) -> None:
    found = trial(catalog.lines["30 lb mono backing"], water)
    assert found.time[-1] == LONGEST_FALL
    assert found.seconds_to(DEEPEST) is None
