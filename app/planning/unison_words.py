"""How nearly at once the lures lift, and what would mend it, in a mate's words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.common.units import COLOR, FOOT, Unit
from app.planning.mends import Mend
from app.planning.plan import Plan
from physics.answers.unison import Unison

TOGETHER = 0.5
"""Lures that lift within this of each other lift together, s."""


def unison_words(plan: Plan, unit: Unit = FOOT, point: tuple[float, float] | None = None) -> str:
    """The unison at a (wait, hold), by default the plan's own; empty for one line."""
    if len(plan.rods) < 2:
        return ""
    names = [rod.name for rod in plan.rods]
    here = plan.point if point is None else point
    text = apart_words(plan.unison(here[1]), names, unit)
    answer = plan.answer
    if answer is None or here != (answer.wait, answer.hold) or not plan.mends:
        return text
    return f"{text} Nearer together: {mends_words(plan.mends, names)}."


def apart_words(found: Unison, names: Sequence[str], unit: Unit = FOOT) -> str:
    """How far apart in time and depth they lift, and which never do."""
    moments = found.moments.tolist()
    missing = [name for name, at in zip(names, moments, strict=True) if not np.isfinite(at)]
    if found.apart is None or found.depths_apart is None:
        return "The lures do not lift through the mark's depths together."
    who = "The lures lift" if not missing else f"Without {', '.join(missing)} the lures lift"
    if found.apart < TOGETHER:
        return f"{who} together, within {found.apart:.1f} s of each other."
    first, last = names[int(np.nanargmin(moments))], names[int(np.nanargmax(moments))]
    return (
        f"{who} within {found.apart:.1f} s of each other, {first} first and {last} last; halfway "
        f"they are {unit.text(found.depths_apart)} apart in depth."
    )


def mends_words(mends: Sequence[Mend], names: Sequence[str]) -> str:
    """Such as ``starboard: 1.5 colors more (1.2 s apart), or hold 4 s less (2.0 s)``."""
    out = []
    for mend in mends:
        way = "more" if mend.more > 0.0 else "less"
        if mend.number is None:
            what = f"hold {_short(abs(mend.more))} s {way}"
        else:
            by = COLOR.from_si(abs(mend.more))
            color = "color" if round(by, 2) <= 1.0 else "colors"
            what = f"{names[mend.number]}: {_short(by)} {color} {way}"
        out.append(f"{what} ({mend.apart:.1f} s apart)")
    return ", or ".join(out)


def _short(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
