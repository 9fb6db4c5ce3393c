"""What was done at an instant of a live run, as an entry of the log keeps it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from app.log.entry import HOLDS, SPEEDS, WAITS
from app.log.from_setup import from_setup, weather_of
from app.scenario.setup import LINES_OUT, Setup
from app.session.live_run import LiveRun
from physics.checks import Limits
from physics.environment.rip import side_of_rip
from physics.simulation.lure_facts import FALLING, RISING, TURNED, phase_of
from physics.vessel.boat import SPEED

BACK = 600.0
"""The run is asked no further back than this, s."""

STRAIGHT = 1e-6
"""A wheel that asks for less than this, 1/m, is amidships."""


def known_then(live_run: LiveRun, at: float, side: str) -> dict[str, Any]:
    """What was so at ``at`` s: setup, speed, heading, also to the tide, and side of the rip,
    which is ``side`` where a person said it."""
    setup, boat = setup_then(live_run, at), live_run.run.boat(at)
    told = from_setup(setup) | weather_of(setup, boat.heading % (2.0 * math.pi))
    del told["hold"]
    told["speed"] = min(max(boat.speed, SPEEDS.low), SPEEDS.high)
    told["side"] = side or side_then(live_run, at)
    return told


def side_then(live_run: LiveRun, at: float) -> str:
    """Side of the rip that the lures were on, where all were on one. Asked of out of gear and
    not of the hit, so that it is known alike with a hit and without."""
    if at < live_run.now - BACK:
        return ""
    places, _ = live_run.run.lures_at(at)
    bottom = live_run.scenario.water.bottom
    sides = {side_of_rip(bottom, x, y) for x, y, _ in places.tolist()}
    return sides.pop() if len(sides) == 1 else ""


def helm_then(live_run: LiveRun, out: float | None) -> dict[str, Any]:
    """Wait and hold as done: no wait without a mark, no hold before it is over."""
    if out is None:
        return {"wait": None, "hold": 0.0}
    spells = dict(live_run.spells())
    back, mark = spells.get(out, math.inf), live_run.mark()
    wait = None
    if mark is not None and mark.time <= out and not any(
        mark.time <= other < out for other in spells
    ):  # fmt: skip
        wait = out - mark.time
    hold = back - out if back <= live_run.now else None
    return {"wait": kept(wait, WAITS), "hold": kept(hold, HOLDS)}


def due_of(live_run: LiveRun, out: float | None) -> float | None:
    """When the model is to be asked again: once the lures of the drop have turned."""
    if out is None:
        return None
    back = dict(live_run.spells()).get(out, math.inf)
    return None if math.isinf(back) else back + TURNED


def setup_then(live_run: LiveRun, at: float) -> Setup:
    """The setup as it was at ``at`` s: her speed and course, and the line that was out."""
    setup, boat = live_run.document.setup, live_run.run.boat(at)
    if setup.motion is None:
        speed = min(max(boat.speed, SPEED.low), SPEED.high)
        setup = replace(setup, speed=speed, heading=boat.heading % (2.0 * math.pi))
    outs = live_run.run.lines_out(at)
    if len(outs) != len(setup.rods):
        return setup
    rods = tuple(
        rod if rod.sections is not None or abs(out - rod.line_out) < 1e-3
        else replace(rod, line_out=min(max(float(out), LINES_OUT.low), LINES_OUT.high))
        for rod, out in zip(setup.rods, outs, strict=True)
    )  # fmt: skip
    return replace(setup, rods=rods)


def outcome_of(live_run: LiveRun, line: int, at: float) -> str:
    """What a hit at ``at`` s was on, from what boat and lure were doing."""
    others = [mass for number, mass in enumerate(live_run.run.fish_on(at)) if number != line]
    if any(others):
        return "slowing"
    _, speeds = live_run.run.lures_at(at)
    doing = phase_of(float(speeds[line][2]))
    if doing == FALLING:
        return "drop"
    if doing == RISING:
        return "lift"
    return "turn" if abs(live_run.wheel()) > STRAIGHT else "troll"


def kept(value: float | None, limits: Limits) -> float | None:
    """A number as an entry keeps it: nothing where it is longer than anybody means."""
    return None if value is None or value > limits.high else value
