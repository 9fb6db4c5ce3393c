"""An order by hand is carried out as if known beforehand, or the person is told that it is not."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import pytest

from app.common.units import BOAT_SPEEDS
from app.scenario.setup import Setup
from physics.simulation import run as drop
from physics.simulation.run import Run, simulate
from physics.vessel.boat import SPEED
from tests.app.by_hand import Live

SAME = 1e-3
"""How near the live answer must be to the one computed in one go, m."""


@pytest.mark.parametrize(("first", "then"), [(120.0, 91.44), (150.0, 60.0)])
def test_that_a_haul_by_hand_changed_before_it_is_done_keeps_its_depth(
    live: Live, demo: Setup, first: float, then: float
) -> None:
    live_run = live.live_run
    port, starboard = (rod.name for rod in demo.rods[:2])
    live.sail(2.0)
    live_run.order_line(port, "line to", first)
    live.sail(2.0)
    live_run.order_line(port, "line to", then)
    live.sail(55.5)
    orders = live_run.run.line_orders()
    assert [order.time for order in orders] == pytest.approx([2.0, 4.0])
    sure = simulate(replace(live_run.scenario, line_orders=orders, duration=60.0))
    at = np.array([59.0])
    ours = live_run.run.trajectory().depth(0, at)
    assert ours == pytest.approx(sure.depth(0, at), abs=SAME)
    live_run.order_line(starboard, "line to", 110.0)
    live.sail(2.0)
    assert live_run.picture.going[1] > 0.0
    assert live.said == []


def test_that_an_order_that_fails_is_told_and_changes_nothing(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    live_run = live.live_run
    name = live_run.scenario.rods[0].name
    logged: list[str] = []
    monkeypatch.setattr(sys, "excepthook", lambda _kind, error, _trace: logged.append(str(error)))

    def broken(*_: object) -> None:
        raise ValueError("broken for the test")

    live.sail(2.0)
    reached = live_run.run.reached()
    with monkeypatch.context() as patch:
        patch.setattr(drop, "handle", broken)
        live_run.order_line(name, "line to", 120.0)
    with monkeypatch.context() as patch:
        patch.setattr(Run, "order", broken)
        live_run.shift()
    assert logged == ["broken for the test"] * 2
    assert len(live.said) == 2
    assert "not taken (broken for the test)" in live.said[0]
    assert live_run.run.reached() == reached
    assert live_run.run.line_orders() == ()
    live_run.shift()
    live.sail(1.0)
    assert not live_run.in_gear
    assert len(live.said) == 2


def test_that_a_failure_of_any_kind_pauses_the_drop_and_is_told(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **_words: object) -> None:
        raise ValueError("broken for the test")

    logged: list[str] = []
    monkeypatch.setattr(sys, "excepthook", lambda _kind, error, _trace: logged.append(str(error)))
    live.sail(2.0)
    with monkeypatch.context() as patch:
        patch.setattr(Run, "advance", broken)
        for _ in range(4):
            live.frame(0.05)
    assert live.live_run.clock.paused
    assert logged == ["broken for the test"]
    (words,) = live.said
    assert "could not be computed beyond" in words


@pytest.mark.parametrize("order", ["line", "throttle"])
def test_that_an_answer_from_before_an_order_is_not_shown_and_a_new_one_comes(
    live: Live, order: str
) -> None:
    """Also while time stands still, when nothing else would ask for it."""
    live_run = live.live_run
    live.sail(2.0)
    live_run.pause()
    live_run.shift()
    live.worker.waiting.clear()
    live.screen.go_by(2.0)
    live_run.tick()
    assert live.worker.busy("ahead")
    if order == "line":
        live_run.order_line(live_run.scenario.rods[0].name, "line to", 120.0)
    else:
        live_run.set_throttle(2.0)
    live.worker.deliver("events")
    live.worker.deliver("ahead")
    assert live_run.ahead is None
    live.screen.go_by(2.0)
    live_run.tick()
    live.worker.deliver()
    assert live_run.ahead is not None


@pytest.mark.parametrize(("unit", "words"), [("kn", " kn"), ("mph", " mph")])
def test_that_a_throttle_she_cannot_have_is_refused_in_the_unit_on_screen(
    live: Live, unit: str, words: str
) -> None:
    live_run = live.live_run
    setup = live_run.document.setup
    live_run.document.edit(replace(setup, speed_in=unit), "another unit")
    live.sail(1.0)
    before = live_run.throttle()
    fastest = min(live_run.scenario.boat.fastest, SPEED.high)
    most = BOAT_SPEEDS[unit].from_si(fastest)
    for speed in (1.01 * fastest, 2.0 * SPEED.high, 0.0):
        live_run.set_throttle(speed)
        assert "m/s" not in live.said[-1]
        told = live.said[-1].removeprefix("Throttle: allowed is ").removesuffix(f"{words}.")
        assert float(told.split(" to ")[1]) == pytest.approx(most, abs=0.11)
        assert live_run.throttle() == before
    live_run.set_throttle(0.9 * fastest)
    assert len(live.said) == 3
