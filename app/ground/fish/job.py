"""A fish on one line of a setup, worked out, and what came of it in a mate's words."""

from __future__ import annotations

from dataclasses import replace

from app.common import scales
from app.common.quantities import Quantity, spell
from app.common.scales import always
from app.common.units import KNOT, SECOND, Unit
from app.gear.catalog import Catalog
from app.scenario import keys
from app.scenario.setup import Setup
from physics.answers.clear_speed import ClearSpeed, clear_speed
from physics.answers.doubt import Doubt
from physics.answers.fights import FISH_ON, STEERING, Fight, followed, orders
from physics.answers.fought import Fought, LineFought, fight_fish
from physics.checks import InvalidValue
from physics.progress import ProgressCallback
from physics.vessel.boat import Boat

STEP = KNOT.to_si(0.1)
"""Speeds are looked for in whole tenths of a knot."""

FIGHT = {
    "at": Quantity(
        "at", spell("at", "s"), FISH_ON, None, always(SECOND, 0, 5.0),
        "seconds into the run the fish is on",
    ),
    "throttle": replace(
        keys.HELM_SPEED, attribute="throttle", scales=always(KNOT, 1, 0.1), words="slows to"
    ),
    "fish": replace(keys.FISH, attribute="fish"),
    "rate": replace(keys.RATE, scales=scales.FINE_RATE, words="line comes in at"),
    "left": replace(keys.ORDERED_OUT, attribute="left", scales=scales.DEPTH,
                    words="line left out, above the leader"),
    "fish_depth": replace(keys.FISH_DEPTH, attribute="fish_depth", words="depth the fish swims to"),
    "fish_rate": replace(keys.FISH_RATE, attribute="fish_rate", scales=scales.FINE_RATE,
                         words="how fast the fish swims up or down"),
}  # fmt: skip
"""The numbers of a Fight; no file keeps them."""

KEPT = (*STEERING, "mark")
"""Orders to the helm that stand when those of a fight are put in; the others give way."""

AT_SURFACE = 0.15
"""A lure no deeper than this is at the surface, m."""


def run_fight(
    setup: Setup, catalog: Catalog, fight: Fight, progress: ProgressCallback | None = None
) -> Fought:
    """What the other lines do. Raises InvalidValue, ConvergenceError, Cancelled."""
    return fight_fish(setup.scenario(catalog), _asked(setup, fight), progress=progress)


def find_speed(
    setup: Setup, catalog: Catalog, fight: Fight, progress: ProgressCallback | None = None
) -> ClearSpeed:
    """The slowest speed that keeps the others clear.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    return clear_speed(setup.scenario(catalog), _asked(setup, fight), STEP, progress)


def _asked(setup: Setup, fight: Fight) -> Fight:
    """With the clearance that the setup's plans keep to."""
    return replace(fight, needed=setup.timing.clearance)


def bearing_on(setup: Setup) -> Setup:
    """A setup without what a fight takes no notice of: equal for two that it goes alike in."""
    steering = tuple(order for order in setup.orders if order.action in STEERING)
    return replace(
        setup.untold(), name="", notes="", mark=None, orders=steering, doubt=Doubt(),
        duration=90.0, timing=replace(setup.timing, radius=1.0),
    )  # fmt: skip


def boat_of(setup: Setup, catalog: Catalog) -> Boat:
    """The setup's boat."""
    return catalog.boats[setup.boat] if isinstance(setup.boat, str) else setup.boat


def with_fight(setup: Setup, catalog: Catalog, fight: Fight) -> Setup:
    """The setup with the fish on among its orders, in place of those to gear and engines and
    about the lines, and of its hold. Raises InvalidValue."""
    scenario = setup.scenario(catalog)
    helm, line = orders(fight, scenario.boat)
    kept = [order for order in setup.orders if order.action in KEPT]
    return replace(
        setup,
        orders=tuple(sorted((*kept, *helm), key=lambda order: order.time)),
        line_orders=line,
        hold=None,
        wait=None,
        duration=max(setup.duration, fight.at + followed(scenario, fight)),
    )


# ---- words


def headline(found: Fought, unit: Unit, speed: Unit) -> str:
    """What happens to the other lines, in one sentence."""
    first = found.first
    if not found.others:
        return "No other line is out."
    if first is None or first.fouls is None:
        return f"All other lines stay clear at {speed.text(found.speed)}."
    when = "At once" if first.fouls < 0.5 else f"{first.fouls:.0f} s after you slow"
    if first.touches is not None and first.fouls == first.touches:
        return f"{when} {first.rod} touches bottom."
    return f"{when} {first.rod} is within {unit.text(found.fight.needed, 0)} of the bottom."


def speed_words(found: ClearSpeed, trolling: float, unit: Unit) -> str:
    """The speed that keeps all others clear, in one sentence."""
    if found.speed is None:
        return f"Not even {unit.text(trolling)} keeps all others clear."
    if found.fouls_at is None:
        return f"Any speed down to {unit.text(found.speed)} keeps all others clear."
    return f"{unit.text(found.speed)} keeps all others clear; {unit.text(found.fouls_at)} does not."


def crossings(found: Fought) -> str:
    """Which lines cross first, or that none do."""
    pairs: dict[frozenset[str], float] = {}
    for line in found.lines:
        if line.crosses is not None:
            when, other = line.crosses
            pair = frozenset((line.rod, other or found.fight.hooked))
            pairs[pair] = min(when, pairs.get(pair, when))
    if not pairs:
        return "" if not found.others else "No lines cross."
    said = []
    for pair, when in sorted(pairs.items(), key=lambda one: one[1]):
        names = " and ".join(line.rod for line in found.lines if line.rod in pair)
        said.append(f"{names} cross " + ("already" if when < 0.5 else f"after {when:.0f} s"))
    return "; ".join(said) + "."


def cells(line: LineFought, found: Fought, unit: Unit) -> tuple[str, ...]:
    """A row of the table: ran at, settles at, least off, too near, nearest line."""
    settles = "surface" if line.settles < AT_SURFACE else f"{unit.from_si(line.settles):.1f}"
    if line.rod != found.fight.hooked:
        settles += ", not yet" if line.settled is None else f" in {line.settled:.0f} s"
    return (
        f"{unit.from_si(line.before):z.1f}",
        settles,
        "touches" if line.touches is not None else f"{unit.from_si(line.least):.1f}",
        _too_near(line),
        _nearest(line, found, unit),
    )


def _too_near(line: LineFought) -> str:
    if line.fouls is None:
        return "never"
    return f"{line.fouls:.0f} s"


def _nearest(line: LineFought, found: Fought, unit: Unit) -> str:
    if line.crosses is not None:
        when, other = line.crosses
        return f"crosses {other or found.fight.hooked} after {when:.0f} s"
    gaps = [(gap.apart, name) for gap, name in (
        (line.to_hooked, found.fight.hooked), (line.to_other, line.other),
    ) if gap is not None]  # fmt: skip
    if not gaps:
        return ""
    apart, name = min(gaps, key=lambda one: one[0])
    return f"{unit.text(apart, 0)}, {name}"


WHY = {
    "slow to": "This boat has one engine only: give a speed to slow to.",
    "line left out": "So much line is not out: leave less of it out.",
    "fish depth": "The line left out does not reach so deep: leave more out, or say less deep.",
    "motion": "The boat's motion is a table here, so that she cannot be slowed.",
    "hooked line": "There is no such line any more: choose another.",
}
"""What is wrong, by the field that is."""


def refusal(error: Exception) -> str:
    """Why there is no answer."""
    if isinstance(error, InvalidValue):
        plain = f"Cannot be rehearsed: {error.field} is {error.value}; wanted is {error.allowed}."
        return WHY.get(error.field, plain)
    return f"This could not be computed ({error}). Try a gentler rate, or more line left out."
