"""Wall time to rehearsal time."""

import pytest

from app.session.clock import LATE_SHOWN_FOR, MOST_CATCH_UP, SPEEDS, Clock
from tests.app.by_hand import HandTime


@pytest.fixture
def time() -> HandTime:
    return HandTime()


@pytest.fixture
def clock(time: HandTime) -> Clock:
    return Clock(time)


def test_that_rehearsal_time_follows_wall_time_however_it_is_sliced(
    clock: Clock, time: HandTime
) -> None:
    slices = [0.016, 0.04, 0.001, 0.0, 0.099, 0.0004]
    gained = 0.0
    for seconds in slices:
        time.go_by(seconds)
        gained += clock.tick()
    assert clock.now == pytest.approx(sum(slices), abs=1e-12)
    assert gained == pytest.approx(clock.now, abs=1e-12)
    assert not clock.late


@pytest.mark.parametrize("speed", SPEEDS)
def test_that_speed_multiplies_time(clock: Clock, time: HandTime, speed: int) -> None:
    clock.speed = speed
    for _ in range(10):
        time.go_by(0.02)
        clock.tick()
    assert clock.now == pytest.approx(0.2 * speed, abs=1e-12)


def test_that_time_spent_in_pause_is_never_made_up(clock: Clock, time: HandTime) -> None:
    clock.paused = True
    time.go_by(50.0)
    assert clock.tick() == 0.0
    clock.paused = False
    time.go_by(0.02)
    clock.tick()
    assert clock.now == pytest.approx(0.02, abs=1e-12)
    assert not clock.late


def test_that_a_long_frame_is_made_up_for_in_part_and_shown_as_late(
    clock: Clock, time: HandTime
) -> None:
    clock.speed = 4
    time.go_by(3.0)
    assert clock.tick() == pytest.approx(4 * MOST_CATCH_UP, abs=1e-12)
    assert clock.late


def test_that_late_is_shown_for_a_while_and_then_no_more(clock: Clock, time: HandTime) -> None:
    time.go_by(0.5)
    clock.tick()
    for _ in range(int(LATE_SHOWN_FOR / 0.05) - 1):
        time.go_by(0.05)
        clock.tick()
    assert clock.late
    time.go_by(0.099)
    clock.tick()
    assert not clock.late


def test_that_a_computation_that_falls_behind_holds_the_clock_and_says_so(
    clock: Clock, time: HandTime
) -> None:
    time.go_by(0.1)
    clock.tick()
    clock.hold_back(0.03)
    assert clock.now == 0.03
    assert clock.late


def test_that_a_wall_clock_set_back_never_turns_rehearsal_time_back(
    clock: Clock, time: HandTime
) -> None:
    time.go_by(0.05)
    clock.tick()
    time.go_by(-10.0)
    assert clock.tick() == 0.0
    assert clock.now == pytest.approx(0.05, abs=1e-12)


def test_that_starting_over_keeps_pause_and_speed(clock: Clock, time: HandTime) -> None:
    clock.speed, clock.paused = 3, True
    time.go_by(7.0)
    clock.restart()
    assert (clock.now, clock.speed, clock.paused, clock.late) == (0.0, 3, True, False)
    clock.paused = False
    time.go_by(0.01)
    assert clock.tick() == pytest.approx(0.03, abs=1e-12)
