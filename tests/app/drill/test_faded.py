"""A look-ahead that fades says less than the whole one, and nothing else."""

from collections.abc import Callable

import pytest

from app.drill.round import make_round
from app.gear.catalog import Catalog
from app.live.readout import read_line
from app.scenario.setup import Setup
from app.session.look_ahead import HORIZON, LookAhead
from app.session.picture import Picture
from app.ui.preferences import Preferences
from tests.app.by_hand import Live

REACHES = (0.0, 0.5, 2.0, 5.0, 10.0, 15.0, 25.0, HORIZON)


def sentences(
    picture: Picture, ahead: LookAhead, number: int, preferences: Preferences
) -> set[str]:
    """Everything a card says of one line, a statement each."""
    reading = read_line(picture, number, 0.0, ahead, preferences)
    lead, _, said = reading.ahead.partition(": ")
    foreseen = {f"{lead}: {part}" for part in said.split("; ") if part}
    return foreseen | {reading.status_text, reading.off_bottom, reading.mark, reading.rate_word}


@pytest.mark.parametrize("hold", [0.5, 6.0, 14.0, 40.0])
def test_that_a_faded_card_says_nothing_the_whole_one_does_not(
    make_live: Callable[[Setup], Live], catalog: Catalog, preferences: Preferences, hold: float
) -> None:
    live = make_live(make_round(2, 1, catalog).setup)
    live.live_run.auto_hold.set(False, 20.0)
    live.sail(20.0)
    live.live_run.shift()
    live.sail(hold)
    live.look()
    whole, picture = live.live_run.ahead, live.live_run.picture
    assert whole is not None
    told = 0
    for reach in REACHES:
        faded = whole.shortened(reach)
        for number, line in enumerate(whole.lines):
            said = sentences(picture, faded, number, preferences)
            extra = said - sentences(picture, whole, number, preferences)
            # of now alone, and so no word against a touch to come
            assert extra <= {"clear now"} | {s for s in extra if s.endswith("to bottom")}, reach
            told += any(": " in sentence for sentence in said)
            if line.turn is not None and line.turn[0] > whole.now + reach:
                assert not any("lifts" in sentence for sentence in said)
    assert told, "a test of sentences needs some"
