"""A fit kept as tackle and boats of the user's own."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date

from app.common.names import free_name
from app.gear.catalog import OWN_SOURCE, Catalog
from app.gear.measured_kinds import KINDS
from app.gear.own_tackle import Item
from app.gear.tackle_file import LineKind
from physics.calibration.calibrate import Calibration, shares_left
from physics.line.tackle import Lure
from physics.vessel.boat import Boat

CHANGED = {
    "line_drag": "drag_multiplier",
    "lure_drag": "broadside_area",
    "lure_weight": "mass",
    "coast_down": "half_time",
    "exponent": "exponent",
}
"""The attribute of an item that each fitted factor changes."""

LONGEST_SOURCE = 400


@dataclass(frozen=True, slots=True)
class Kept:
    """A calibrated copy of one thing, and the name of what it is ``copied`` from."""

    item: Item
    copied: str


def calibrated_items(result: Calibration, catalog: Catalog, today: date) -> tuple[Kept, ...]:
    """Copies of line, lure and boat with what was fitted, under new names.

    A line is copied only if the catalog has it; one made of sections of a scenario has no
    kind to copy.
    """
    fitted = {part.name for part in result.fitted}
    tuned, out, names = result.tuned, [], {*catalog.lines, *catalog.lures, *catalog.boats}
    if "line_drag" in fitted and result.gear.rod is not None:
        wanted = result.gear.line
        kinds = dict.fromkeys(
            s.name for s in result.gear.rod.sections if wanted in ("", s.name)
        )  # fmt: skip
        for old in kinds:
            if old in catalog.lines:
                kind = catalog.lines[old]
                factor = result.of("line_drag").factor
                new = replace(
                    kind,
                    name=_new_name(old, today, names),
                    drag_multiplier=_short(kind.drag_multiplier * factor),
                )
                out.append(_kept(kind.role, old, new, ("line_drag",), result, catalog, today))
    if fitted & {"lure_drag", "lure_weight"} and tuned.falling is not None:
        lure, old = tuned.falling, tuned.falling.name
        lure = replace(
            lure, name=_new_name(old, today, names),
            mass=_short(lure.mass), broadside_area=_short(lure.broadside_area),
        )  # fmt: skip
        out.append(_kept("lure", old, lure, ("lure_drag", "lure_weight"), result, catalog, today))
    if fitted & {"coast_down", "exponent"} and tuned.boat is not None:
        boat, old = tuned.boat, tuned.boat.name
        boat = replace(
            boat, name=_new_name(old, today, names),
            half_time=_short(boat.half_time), exponent=_short(boat.exponent),
        )  # fmt: skip
        out.append(_kept("boat", old, boat, ("coast_down", "exponent"), result, catalog, today))
    return tuple(out)


def fitted_from(result: Calibration, name: str, today: date) -> str:
    """Where a fitted value comes from, in words: date, rows, interval, and what to beware of."""
    part = result.of(name)
    counts = Counter(row.row.kind for row in result.rows)
    rows = ", ".join(
        f"{n} {KINDS[kind].many if n > 1 else KINDS[kind].one}" for kind, n in counts.items()
    )
    low, high = sorted((part.low, part.high))
    text = (
        f"fitted {today.isoformat()} to {rows}: {part.factor:.3g} times the value before, "
        f"80 % range {low:.3g} to {high:.3g}"
    )
    if result.single:
        text += "; one row, so it rests mostly on what was assumed"
    elif name in result.poorly_known:
        text += "; still mostly as assumed"
    if part.bound:
        text += "; ran into its bound"
    if result.contradictory:
        text += "; rows contradict each other"
    return text


def _kept(
    group: str,
    old: str,
    new: LineKind | Lure | Boat,
    about: tuple[str, ...],
    result: Calibration,
    catalog: Catalog,
    today: date,
) -> Kept:
    sources = dict(catalog.sources.get(old, {"default": OWN_SOURCE}))
    spreads, left = {}, shares_left(result)
    for name in about:
        if name in left:
            attribute = CHANGED[name]
            before = sources.get(attribute, sources["default"])
            said = f"{fitted_from(result, name, today)}; before: {before}"
            sources[attribute] = said[:LONGEST_SOURCE]
            spreads[attribute] = _short(left[name])
    return Kept(Item(group, new, sources, spreads), old)


def _new_name(old: str, today: date, taken: set[str]) -> str:
    """A name not taken yet, such as '27 lb leadcore, calibrated 2026-11-25'; then it is taken."""
    tail = f", calibrated {today.isoformat()}"
    name = free_name(old.partition(", calibrated ")[0], taken, tail)
    taken.add(name)
    return name


def _short(value: float) -> float:
    return float(f"{value:.4g}")
