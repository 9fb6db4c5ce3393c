"""What a fit says, in a mate's words."""

from __future__ import annotations

from app.common.units import FOOT, Unit
from physics.calibration.calibrate import Calibration
from physics.calibration.forecast import Forecast
from physics.calibration.measured import CoastDown, DockFall, DropTouch, Row, TowDepth
from physics.calibration.next_row import Suggestion

FACTOR = {
    "line_drag": "the line's drag",
    "lure_drag": "the lure's drag broadside",
    "lure_weight": "the lure's weight in water",
    "coast_down": "the boat's time to half speed",
    "exponent": "how the boat's drag grows with speed",
}
"""What may be fitted, within a sentence."""

TITLE = {
    "line_drag": "Drag factor (smooth line = 1)",
    "lure_drag": "Lure drag area, broadside",
    "lure_weight": "Lure weight in water",
    "coast_down": "Time to half speed",
    "exponent": "Drag growth with speed (2 = square)",
}
"""The same, alone."""

OUTLIER = 3.0
"""A row off by more errors than this is named."""


def remarks(result: Calibration) -> list[str]:
    """What to know before trusting a fit, one sentence each; empty if nothing."""
    out = []
    if result.single:
        out.append("One row only: nothing checks it, and the ranges rest mostly on what "
                   "was assumed.")  # fmt: skip
    if result.contradictory:
        out.append(
            "The rows contradict each other, or what was assumed: they scatter "
            f"{(result.chi_square / len(result.rows)) ** 0.5:.1f} times as far as their errors "
            "allow. Rows far from the rest count for less."
        )
    for number, row in enumerate(result.rows, start=1):
        if abs(row.normalized_residual) > OUTLIER:
            out.append(
                f"Row {number} is off by {abs(row.normalized_residual):.1f} times its error."
            )
    for name in result.bounds_hit:
        end = "lowest" if result.of(name).bound < 0 else "highest"
        out.append(f"{_capital(FACTOR[name])} ran into the {end} value allowed: "
                   "do not trust its range.")  # fmt: skip
    out += [
        f"{_capital(FACTOR[name])} is still mostly as assumed: these rows say little of it."
        for name in result.poorly_known
        if name not in result.bounds_hit
    ]
    return out


def foretold(found: Forecast, length: Unit, speed: Unit) -> str:
    """A depth under way that was not measured, and how sure it is."""
    assert isinstance(found.row, TowDepth)
    return (
        f"Under way at {speed.text(found.row.speed)} it runs {length.text(found.value)}; "
        f"80 % range {length.from_si(found.low):.1f} to {length.text(found.high)}."
    )


def advice(suggestion: Suggestion, length: Unit, speed: Unit) -> str:
    """A measurement worth making, and what it would do, in units of length and boat speed."""
    name, share = max(suggestion.shrinks, key=lambda pair: pair[1])
    narrower = 1.0 - (1.0 - share) ** 0.5
    gain = f"would narrow {FACTOR[name]} by {100.0 * narrower:.0f} %"
    return f"{_capital(what(suggestion.row, length, speed))} {gain}."


def what(row: Row, length: Unit, speed: Unit) -> str:
    """A measurement as one would ask for it."""
    # a foot is near enough, a meter is not
    deep = length.text(getattr(row, "depth", 0.0), 0 if length is FOOT else 1)
    if isinstance(row, DockFall):
        return f"timing a fall of {deep} at the dock"
    if isinstance(row, CoastDown):
        return (f"timing a coast-down from {speed.text(row.start)} to {speed.text(row.speed)} "
                f"(about {row.seconds:.0f} s)")  # fmt: skip
    if isinstance(row, DropTouch):
        return (f"a drop from {speed.text(row.speed)} held {row.hold:.0f} s onto bottom at "
                f"{deep}")  # fmt: skip
    return f"a known depth near {deep} under way at {speed.text(row.speed)}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
