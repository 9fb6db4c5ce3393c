"""Moments of a rehearsal worth painting, from the plain to the awkward."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from app.common.units import COLOR, FOOT
from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from physics.environment.water import Bottom
from physics.vessel.motion import PrescribedMotion
from tests.app.by_hand import Live


def lines(demo: Setup, count: int, name: str = "line {}") -> Setup:
    """The demo with so many lines, side by side."""
    return replace(
        demo,
        rods=tuple(
            replace(demo.rods[k % 2], name=name.format(k + 1), abeam=1.2 * k - 3.0)
            for k in range(count)
        ),
    )


def steady(live: Live) -> None:
    live.sail(1.0)


def dropping(live: Live) -> None:
    """Out of gear, the mark astern, the look-ahead there."""
    live.live_run.auto_hold.set(False, 20.0)
    live.live_run.set_speed(8)
    live.sail(10.5)
    live.live_run.shift()
    live.sail(12.0)
    live.look()


def lifting(live: Live) -> None:
    """In gear again, the lures past their deepest, events there."""
    dropping(live)
    live.live_run.shift()
    live.sail(32.0)
    live.look()


def paused(live: Live) -> None:
    dropping(live)
    live.live_run.pause()
    live.frame(0.05)


def long_ago(live: Live) -> None:
    """Long enough for tracks and events to leave the view."""
    lifting(live)
    live.sail(70.0)
    live.look()


@dataclass(frozen=True)
class Stage:
    """A setup made from the first demo, and what is done with it."""

    setup: Callable[[Setup, Catalog], Setup]
    play: Callable[[Live], None]


def _as_it_is(demo: Setup, _catalog: Catalog) -> Setup:
    return demo


def _shoal(_demo: Setup, catalog: Catalog) -> Setup:
    return scenario_file.load(scenario_file.demos()[1], catalog)


def _prescribed(demo: Setup, _catalog: Catalog) -> Setup:
    motion = PrescribedMotion(((0.0, 3.0, 0.0), (10.0, 1.0, 0.3), (20.0, 0.0, 0.6)))
    return replace(demo, motion=motion, hold=None, speed=3.0)


def _short_and_deep(demo: Setup, _catalog: Catalog) -> Setup:
    deep = replace(demo.water, bottom=Bottom.level(FOOT.to_si(500.0)))
    rods = tuple(replace(rod, line_out=COLOR.to_si(1.0)) for rod in demo.rods)
    return replace(demo, water=deep, rods=rods)


STAGES = {
    "steady": Stage(_as_it_is, steady),
    "dropping": Stage(_as_it_is, dropping),
    "lifting": Stage(_as_it_is, lifting),
    "long ago": Stage(_as_it_is, long_ago),
    "paused": Stage(_as_it_is, paused),
    "one line": Stage(lambda demo, _: lines(demo, 1), lifting),
    "six lines": Stage(lambda demo, _: lines(demo, 6), lifting),
    "long names": Stage(lambda demo, _: lines(demo, 3, "line {} with a " + "long " * 9), dropping),
    "markup in names": Stage(lambda demo, _: lines(demo, 2, "<b>{} & 魚</b>"), lifting),
    "no mark": Stage(lambda demo, _: replace(demo, mark=None), lifting),
    "profile bottom": Stage(_shoal, lifting),
    "prescribed motion": Stage(_prescribed, steady),
    "on bottom": Stage(
        lambda demo, _: replace(
            demo, mark=None, water=replace(demo.water, bottom=Bottom.level(FOOT.to_si(18.0)))
        ),
        lifting,
    ),
    "short and deep": Stage(_short_and_deep, dropping),
}
