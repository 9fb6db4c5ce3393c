"""A drill with its times and workers in a test's hands, and players that follow a script."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.drill.model import Drill
from app.drill.page import DrillPage
from app.drill.round import Round, make_round
from app.drill.score import Best, Taken, find_best, measure, score
from app.gear.catalog import Catalog
from app.shell.window import Window
from physics.simulation.run import Run
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Order
from tests.app.by_hand import HandBackground, HandTime

WAITS = tuple(float(n) for n in range(0, 41, 2))
HOLDS = tuple(float(n) for n in range(0, 49, 4))
"""What the tests' best answers are of: coarser than the program's own, and quicker."""

EVERY_HOLD = tuple(float(n) for n in range(49))
"""Where the best itself is to be off by nothing; no more are run for it."""

REACTION = 1.0
"""A perfect player answers the call this long after it, s."""


class DrillHand:
    """The drill, moved frame by frame."""

    def __init__(self, drill: Drill, time: HandTime, screen: HandTime) -> None:
        self.drill, self.time, self.screen = drill, time, screen
        self.said: list[str] = []
        drill.trouble.connect(self.said.append)

    @property
    def worker(self) -> HandBackground:
        worker = self.drill.background
        assert isinstance(worker, HandBackground)
        return worker

    @property
    def now(self) -> float:
        assert self.drill.live_run is not None
        return self.drill.live_run.now

    def settle(self) -> None:
        """Let the steady tow be found, where it is looked for."""
        live_run = self.drill.live_run
        assert live_run is not None
        worker = live_run.background
        assert isinstance(worker, HandBackground)
        # a run that is remembered would remember its orders, too
        worker.memory = None
        if live_run.settling:
            worker.deliver("settle")

    def sail_to(self, until: float, frame: float = 0.1) -> None:
        """Frames of at most ``frame`` wall seconds until a time, or the end of the round."""
        live_run = self.drill.live_run
        assert live_run is not None
        clock = live_run.clock
        while clock.now < until - 1e-9 and self.drill.stage == "play":
            step = min(frame, (until - clock.now) / clock.speed)
            self.time.go_by(step)
            self.screen.go_by(step)
            live_run.tick()

    def to_the_end(self, frame: float = 0.1) -> None:
        self.sail_to(1e4, frame)
        assert self.drill.stage == "debrief"

    def play_best(self, frame: float = 0.1) -> None:
        """The best answer, by the lever, to the end of the round; then the debrief."""
        drill = self.drill
        assert drill.live_run is not None
        assert drill.round is not None
        if drill.best is None:
            self.worker.deliver("best")
        assert drill.best is not None
        wait, hold = drill.best.plan.point
        for time in (wait, wait + hold):
            self.sail_to(drill.round.mark.time + time, frame)
            drill.live_run.shift()
        self.to_the_end(frame)
        self.worker.deliver("measure")


def best_of(round_: Round, catalog: Catalog) -> Best:
    return find_best(round_, catalog, WAITS, HOLDS)


def perfect_orders(round_: Round, best: Best) -> list[Order]:
    """The best answer as orders to the helm."""
    return drop_orders(round_, best, *best.plan.point)


def drop_orders(round_: Round, best: Best, wait: float, hold: float) -> list[Order]:
    """A drop as orders to the helm; a call is answered as best can be."""
    out = round_.mark.time + wait
    orders = [Order(out, "out of gear"), Order(out + hold, "in gear")]
    call = round_.call_time(orders)
    if call is not None:
        orders.append(Order(call + REACTION, "engines", 1))
        assert best.throttle is not None
        orders.append(Order(call + REACTION, "throttle", best.throttle))
    return orders


def random_orders(round_: Round, seed: int) -> list[Order]:
    """Out of gear within 12 s of the mark, for 5 to 40 s: anything somebody might try."""
    dice = np.random.default_rng(seed)
    out = round_.mark.time + float(dice.uniform(0.0, 12.0))
    return [Order(out, "out of gear"), Order(out + float(dice.uniform(5.0, 40.0)), "in gear")]


def played(round_: Round, orders: Sequence[Order], catalog: Catalog) -> Trajectory:
    """A round with its orders known from the start."""
    run = Run([round_.setup.scenario(catalog)])
    for order in orders:
        run.order(order)
    run.boat(round_.mark.time + 200.0)
    run.advance(round_.end_time(run.track().orders))
    return run.trajectory()


def taken(round_: Round, orders: Sequence[Order], catalog: Catalog) -> Taken:
    return measure(round_, played(round_, orders, catalog))


def points_off(level: int, off: float, catalog: Catalog, seeds: Sequence[int] = (1, 2)) -> float:
    """Mean points of drops ``off`` s early, late, long and short, in rounds of a level.

    All else is done as the best player does it.
    """
    points = []
    for seed in seeds:
        round_ = make_round(level, seed, catalog)
        best = find_best(round_, catalog, WAITS, EVERY_HOLD)
        wait, hold = best.plan.point
        for later, longer in ((off, 0.0), (-off, 0.0), (0.0, off), (0.0, -off)):
            # nobody marks a fish before it is there
            orders = drop_orders(round_, best, max(wait + later, 0.0), max(hold + longer, 0.0))
            points.append(score(taken(round_, orders, catalog), best).points)
    return float(np.mean(points))


class Page:
    """The Drill page in front, its drill in a test's hands."""

    def __init__(self, window: Window, hand: DrillHand) -> None:
        self.window, self.hand = window, hand
        self.page: DrillPage = window.pages.drill
        self.drill = hand.drill

    def press(self, key: Qt.Key) -> None:
        QTest.keyClick(self.window, key)

    def begin(self, level: int = 1) -> None:
        self.press(getattr(Qt.Key, f"Key_{level}"))
        self.press(Qt.Key.Key_Return)
        assert self.drill.stage == "play"
        self.hand.settle()

    def states(self) -> list[str]:
        return [result.state for result in self.drill.results()]
