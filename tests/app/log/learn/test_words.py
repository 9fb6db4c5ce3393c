import re
from dataclasses import replace

import numpy as np
import pytest

from app.common.units import METER, MILE_PER_HOUR
from app.log.learn.factors import BY_KEY
from app.log.learn.findings import Learned, learn
from app.log.learn.suggest import Change
from app.log.learn.table import Columns
from app.log.learn.words import Saying
from tests.app.log.learn.world import World

NONE = Columns([], [], [], [], {})


def days(number: int, effect: float, seed: int = 1) -> Learned:
    world = World(whole=-1.5, effect={"hold": np.array([0.0, 0.0, 0.0, 0.0, effect])})
    return learn(world.fish(np.random.default_rng(seed), number, 12, 4), NONE)


def test_that_what_differs_is_said_with_how_sure_and_of_these_drops() -> None:
    found = days(20, 2.0).of("hold")
    assert found is not None
    said = Saying().sentence(found)
    assert re.match(
        r"In your drops 30 s had more hits than the rest, more than luck would give: "
        r"about \d+ in 100 line-drops \(80 % range \d+ to \d+\) against \d+\.",
        said,
    )


def test_that_what_cannot_be_told_is_said_with_how_many_drops_would_tell_it() -> None:
    found = days(1, 0.0).of("lure")
    assert found is not None
    said = Saying().sentence(found)
    assert re.match(
        r"12 drops: no difference shown yet; (about \d+ more would show|it would take more than "
        r"1,000 more for) one of this size \(.* plug: \d+ of \d+, the rest: \d+ of \d+\)\.",
        said,
    )


def test_that_large_counts_are_told_as_everywhere() -> None:
    found = days(40, 0.0).of("lure")
    assert found is not None
    assert re.search(r": \d+ of \d{3}, the rest: \d+ of 1,\d{3}\)", Saying().sentence(found))


def test_that_one_level_is_nothing_to_compare() -> None:
    rows = Columns(["a"] * 3, list("abc"), [1.0, 0.0, 0.0], [60.0] * 3, {"hold": [20.0] * 3})
    found = learn(rows, NONE).of("hold")
    assert found is not None
    assert Saying().sentence(found) == "3 drops, all at 20 s: nothing to compare yet."


def test_that_the_reasons_leave_a_lures_name_as_it_is() -> None:
    found = days(20, 2.0)
    lures = found.of("lure")
    assert lures is not None
    old, new = lures.levels[:2]
    assert isinstance(new, str)
    said = Saying().why(replace(found, changes=(Change("lure", old, new),)))
    assert said.startswith(f"So far {new} had ")
    said = Saying().why(replace(found, changes=(Change("lure", old, "my jig"),)))
    assert said == "So far my jig was never tried; it is next to what was."


@pytest.mark.parametrize("learned", [days(20, 2.0), days(1, 0.0), Learned()])
def test_that_nothing_is_said_of_fish_in_general_nor_of_probability(learned) -> None:
    saying = Saying()
    said = [saying.sentence(found) for found in learned.findings]
    said += [saying.next(learned), saying.why(learned)]
    for text in said:
        assert not re.search(r"prefer|\bp\b|signific|probab|confiden", text), text


def test_that_every_change_has_its_reason() -> None:
    learned = days(6, 1.0)
    assert learned.changes
    why = Saying().why(learned)
    for change in learned.changes:
        name = Saying().level(BY_KEY[change.key], change.new)
        assert name.lower() in why.lower()


def test_that_nothing_is_called_better_whose_range_does_not_lie_above_the_others() -> None:
    told = 0
    for seed in range(3):
        learned = days(3, 0.0, seed)
        why = Saying().why(learned)
        for change in learned.changes:
            found = learned.of(change.key)
            assert found is not None
            low, high = dict(zip(found.levels, found.by_drop.low, strict=True)), found.by_drop.high
            above = change.new in low and low[change.new] > high[found.levels.index(change.old)]
            told += "which may be luck" in why
            assert above or "likely better" not in why
    assert told


def test_that_levels_are_told_in_the_units_in_use() -> None:
    saying = Saying(METER, MILE_PER_HOUR)
    assert saying.level(BY_KEY["off_bottom"], 2.4384) == "2.4 m"
    assert saying.level(BY_KEY["speed"], 3.0866) == "6.9 mph"
    assert Saying().level(BY_KEY["off_bottom"], 2.4384) == "8 ft"
    assert Saying().level(BY_KEY["colors"], 45.72) == "5 colors"
