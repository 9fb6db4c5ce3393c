"""A suggestion put into a setup, as far as a setup has what it changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.gear.catalog import Catalog
from app.log.learn.factors import BY_KEY
from app.log.learn.suggest import Change
from app.scenario.known_doubt import known_doubt
from app.scenario.setup import HOLD_LIMITS, LINES_OUT, Setup


@dataclass(frozen=True, slots=True)
class Applied:
    """The ``setup`` with what of the changes it has, and the changes that are ``left`` for the
    skipper: courses, sides, and lures that the catalog no longer has."""

    setup: Setup
    left: tuple[Change, ...] = ()


def applied(setup: Setup, changes: Sequence[Change], catalog: Catalog) -> Applied:
    """The setup with a suggestion's changes, in as much doubt as its tackle is."""
    left, new = [], setup
    for change in changes:
        changed = _one(new, change, catalog)
        if changed is None:
            left.append(change)
        else:
            new = changed
    return Applied(replace(new, doubt=known_doubt(new, setup, catalog)), tuple(left))


def _one(setup: Setup, change: Change, catalog: Catalog) -> Setup | None:
    """The setup with one change; None if it has no such thing."""
    new = change.new
    if change.key == "hold" and isinstance(new, float) and setup.motion is None:
        return replace(setup, hold=min(max(new, HOLD_LIMITS.low), HOLD_LIMITS.high))
    if change.key == "speed" and isinstance(new, float):
        return replace(setup, speed=new)
    if change.key == "lure" and isinstance(new, str) and new in catalog.lures:
        at = _rod(change, [rod.lure for rod in setup.rods])
        return setup if at is None else setup.with_rod(at, replace(setup.rods[at], lure=new))
    if change.key == "colors" and isinstance(new, float):
        step = BY_KEY["colors"].step
        outs = [round(rod.line_out / step) * step for rod in setup.rods]
        at = _rod(change, outs)
        out = min(max(new, LINES_OUT.low), LINES_OUT.high)
        return setup if at is None else setup.with_rod(at, replace(setup.rods[at], line_out=out))
    return None


def _rod(change: Change, values: Sequence[object]) -> int | None:
    """The first rod at the old value, or the first that is not yet at the new; None for none."""
    for wanted in (
        [k for k, value in enumerate(values) if value == change.old],
        [k for k, value in enumerate(values) if value != change.new],
    ):
        if wanted:
            return wanted[0]
    return None
