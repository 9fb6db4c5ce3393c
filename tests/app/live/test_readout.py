"""A line's figures in words, for cards, hover and screen readers."""

from dataclasses import replace

import numpy as np
import pytest

from app.common.units import FOOT
from app.live.readout import STEADY, read_line
from app.session.look_ahead import LineAhead, LookAhead
from app.session.picture import Picture, PlacedMark
from app.ui.preferences import Preferences
from physics.simulation.drop_facts import TOUCHING
from tests.app.by_hand import Live


@pytest.fixture
def picture(live: Live) -> Picture:
    """The steady tow at the start, boat at the origin."""
    return live.live_run.picture


def sunk(picture: Picture, by: float) -> Picture:
    """The same picture with the first line's every node ``by`` m deeper."""
    nodes = picture.nodes[0].copy()
    nodes[2, 1:] -= by
    lure = picture.lure.copy()
    lure[0, 2] -= by
    return replace(picture, nodes=(nodes, *picture.nodes[1:]), lure=lure)


def test_that_a_lure_at_the_surface_is_not_told_as_over_it(
    picture: Picture, preferences: Preferences
) -> None:
    floats = sunk(picture, by=float(picture.lure[0, 2]) - 0.01)
    assert read_line(floats, 0, 50.0, None, preferences).depth == "0.0"


def rising(picture: Picture, speed: float) -> Picture:
    velocity = picture.lure_velocity.copy()
    velocity[0, 2] = speed
    return replace(picture, lure_velocity=velocity)


def ahead(picture: Picture, *, in_gear: bool = True, **changes: object) -> LookAhead:
    """A made-up look-ahead: 24 ft deepest in 8 s, lifting in 9, not touching, no mark."""
    line = LineAhead(
        time=picture.time + np.arange(3.0),
        place=np.zeros((3, 3)),
        dots=np.zeros((0, 4)),
        deepest=(picture.time + 8.0, FOOT.to_si(24.0)),
        at_mark=None,
        touches_at=None,
        lifts_at=picture.time + 9.0 if in_gear else None,
    )
    line = replace(line, **changes)  # type: ignore[arg-type]
    return LookAhead(picture.time, in_gear, (line, line))


def test_that_depth_and_height_add_up_to_the_bottom(
    picture: Picture, preferences: Preferences
) -> None:
    reading = read_line(picture, 0, 50.0, None, preferences)
    assert reading.depth_unit == "ft"
    assert float(reading.depth) + float(reading.off_bottom) == pytest.approx(30.0, abs=0.11)


def test_that_meters_replace_feet_everywhere(picture: Picture, preferences: Preferences) -> None:
    feet = read_line(picture, 0, 50.0, None, preferences)
    preferences.set_length("meters")
    meters = read_line(picture, 0, 50.0, None, preferences)
    assert meters.depth_unit == "m"
    assert float(meters.depth) == pytest.approx(FOOT.to_si(float(feet.depth)), abs=0.07)
    assert meters.pull == "50.0 N pull"
    assert feet.pull == "11.2 lb pull"
    assert meters.astern.endswith(" m astern")
    assert meters.rate_word.startswith("m/s ")


@pytest.mark.parametrize(
    ("speed", "word"),
    [(0.5, "lifting"), (-0.5, "falling"), (0.9 * STEADY, "holding"), (-0.9 * STEADY, "holding")],
)
def test_that_a_lure_lifts_falls_or_holds(
    picture: Picture, preferences: Preferences, speed: float, word: str
) -> None:
    reading = read_line(rising(picture, speed), 0, 0.0, None, preferences)
    assert reading.rate_word == f"ft/s {word}"
    assert float(reading.rate) == pytest.approx(abs(FOOT.from_si(speed)), abs=0.051)


def test_that_the_mark_is_ahead_at_or_past(picture: Picture, preferences: Preferences) -> None:
    assert read_line(picture, 0, 0.0, None, preferences).mark == "no mark yet"
    x, y, _ = picture.lure[0]
    way = picture.ahead()
    for meters, words in ((6.096, "mark 20 ft ahead"), (-6.096, "20 ft past the mark"),
                          (0.5, "at the mark")):  # fmt: skip
        mark = PlacedMark(0.0, x + meters * way[0], y + meters * way[1], 5.0)
        assert read_line(replace(picture, mark=mark), 0, 0.0, None, preferences).mark == words


def test_that_a_lure_well_clear_is_calm(picture: Picture, preferences: Preferences) -> None:
    reading = read_line(picture, 0, 0.0, ahead(picture), preferences)
    assert (reading.status, reading.status_text) == ("calm", "clear")


def test_that_clear_is_of_now_alone_where_not_all_is_foreseen(
    picture: Picture, preferences: Preferences
) -> None:
    for future in (None, ahead(picture).shortened(4.0)):
        reading = read_line(picture, 0, 0.0, future, preferences)
        assert (reading.status, reading.status_text) == ("calm", "clear now")


def test_that_a_lure_near_bottom_says_how_near(picture: Picture, preferences: Preferences) -> None:
    room = float(picture.nodes[0][2, -2:].min() + picture.ground[0])
    reading = read_line(sunk(picture, room - 0.305), 0, 0.0, None, preferences)
    assert (reading.status, reading.status_text) == ("near", "1.0 ft to bottom")


def test_that_a_lure_on_bottom_alarms(picture: Picture, preferences: Preferences) -> None:
    room = float(picture.nodes[0][2, -2:].min() + picture.ground[0])
    reading = read_line(sunk(picture, room - 0.5 * TOUCHING), 0, 0.0, None, preferences)
    assert (reading.status, reading.status_text) == ("touch", "lure on bottom")


def test_that_a_line_on_bottom_alarms_though_its_lure_is_clear(
    picture: Picture, preferences: Preferences
) -> None:
    nodes = picture.nodes[0].copy()
    nodes[2, 5] = -picture.ground[0]
    sagging = replace(picture, nodes=(nodes, *picture.nodes[1:]))
    reading = read_line(sagging, 0, 0.0, None, preferences)
    assert (reading.status, reading.status_text) == ("touch", "line on bottom")


def test_that_a_touch_foreseen_alarms_before_it_happens(
    picture: Picture, preferences: Preferences
) -> None:
    future = ahead(picture, touches_at=picture.time + 4.0)
    reading = read_line(picture, 0, 0.0, future, preferences)
    assert (reading.status, reading.status_text) == ("touch", "touches in 4 s")


def test_that_the_look_ahead_tells_what_follows(picture: Picture, preferences: Preferences) -> None:
    def told(future: LookAhead | None) -> str:
        return read_line(picture, 0, 0.0, future, preferences).ahead

    assert told(None) == ""
    assert told(ahead(picture)) == "if in gear now: 24 ft deep in 8 s"
    assert told(ahead(picture, in_gear=False)) == "if nothing changes: 24 ft deep in 8 s"
    here = picture.time, FOOT.to_si(24.0)
    assert told(ahead(picture, deepest=here)) == "if in gear now: lifts in 9 s"
    soon = picture.time + 0.7
    assert told(ahead(picture, deepest=here, lifts_at=soon)) == "if in gear now: lifts at once"
    never = ahead(picture, deepest=here, lifts_at=None)
    assert told(never) == "if in gear now: holds its depth"
    assert told(never.shortened(4.0)) == ""
    assert told(ahead(picture, in_gear=False, deepest=here)) == ""
    assert told(ahead(picture, deepest=None).shortened(4.0)) == ""
    passing = (picture.time + 5.0, FOOT.to_si(3.0), FOOT.to_si(27.0))
    assert told(ahead(picture, at_mark=passing)) == (
        "if in gear now: 24 ft deep in 8 s; 3 ft off bottom at the mark"
    )
    assert told(ahead(picture, in_gear=False, deepest=here, at_mark=passing)) == (
        "if nothing changes: 3 ft off bottom at the mark"
    )


def test_that_a_look_ahead_of_a_smaller_spread_is_left_out(
    picture: Picture, preferences: Preferences
) -> None:
    one = replace(ahead(picture), lines=ahead(picture).lines[:1])
    assert read_line(picture, 1, 0.0, one, preferences).ahead == ""


def test_that_a_line_pulled_beyond_its_strength_alarms_and_says_which(
    picture: Picture, preferences: Preferences
) -> None:
    assert picture.over == ("", "")
    weak = replace(picture, over=("50 lb mono leader", ""))
    reading = read_line(weak, 0, 50.0, ahead(picture), preferences)
    assert (reading.status, reading.status_text) == ("touch", "line would part")
    assert reading.ahead == "the 50 lb mono leader is pulled beyond its strength"
    other = read_line(weak, 1, 50.0, ahead(picture), preferences)
    assert (other.status, other.ahead[:10]) == ("calm", "if in gear")
