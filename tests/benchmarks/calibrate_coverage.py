"""How often 80 % intervals of a fit hold the truth, where the truth is of another model.

Run ``python -m tests.benchmarks.calibrate_coverage``; ``--repeats 400`` for closer figures.
*Before* is the same fit that takes the model, and every row, at its word. The model on a grid of
factors and speeds stands in for itself, so that thousands of fits are cheap.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any
from unittest.mock import patch

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from physics.answers.doubt import MIDDLE_ROUGHNESS
from physics.calibration import calibrate as calibrating
from physics.calibration import model_error, predict
from physics.calibration.calibrate import calibrate
from physics.calibration.factors import Factors, Gear
from physics.calibration.forecast import forecasts
from physics.calibration.measured import CoastDown, DockFall, Row, TowDepth
from physics.line.drag import cylinder_drag
from physics.line.tackle import Rod
from tests.physics.measurements import (
    BOAT,
    CORE,
    GEAR,
    LEADER,
    PLUG,
    ROD,
    WATER,
    misread,
    with_measured,
)
from tests.physics.other_models import Law, constant, power, towed_depth

Array = NDArray[np.float64]

KNOT = 1852.0 / 3600.0
LINE = replace(CORE, drag_multiplier=MIDDLE_ROUGHNESS)
SWINGS = replace(PLUG, swing=math.radians(20.0))
SHIPPED = replace(GEAR, rod=replace(ROD, sections=(LINE, LEADER), lure=SWINGS))

LOGS = np.linspace(-1.0, 1.0, 9)
SPEEDS = np.linspace(math.log(1.0 * KNOT), math.log(9.0 * KNOT), 23)


class StandIn:
    """Depths of tows of one gear on a grid of two factors and speed, joined by cubics."""

    def __init__(self, depth: Array) -> None:
        self._log = RegularGridInterpolator(
            (LOGS, LOGS[::2], SPEEDS), np.log(depth), method="cubic",
            bounds_error=False, fill_value=None,
        )  # fmt: skip

    @classmethod
    def of(cls, gear: Gear) -> StandIn:
        """That of our own model."""
        rows = [TowDepth(float(np.exp(u)), 1.0) for u in SPEEDS]
        many = [
            Factors(line_drag=float(np.exp(a)), lure_drag=float(np.exp(b)))
            for a in LOGS for b in LOGS[::2]
        ]  # fmt: skip
        found = predict.predict(gear, rows, many)
        return cls(found.reshape(len(LOGS), len(LOGS[::2]), len(SPEEDS)))

    def depths(self, line_drag: Array, lure_drag: Array, speed: Array) -> Array:
        points = np.log(np.stack(np.broadcast_arrays(line_drag, lure_drag, speed), axis=-1))
        out: Array = np.exp(self._log(points))
        return out

    def work(self, _gear: Gear, rows: Sequence[Row], many: Sequence[Factors], *_: Any) -> Array:
        """In place of the lines of rows under way."""
        speeds = np.array([row.speed for row in rows if isinstance(row, TowDepth)])
        line, lure = (np.array([getattr(f, n) for f in many])[:, None]
                      for n in ("line_drag", "lure_drag"))  # fmt: skip
        return self.depths(line, lure, speeds)


@contextmanager
def at_its_word() -> Iterator[None]:
    """A fit as if the model were right, clocks unbiased, and no row wrong."""
    with (
        patch.dict(model_error.SHARES, dict.fromkeys(model_error.SHARES, 0.0)),
        patch.dict(model_error.TILTS, dict.fromkeys(model_error.TILTS, (0.0, 0.0))),
        patch.object(calibrating, "in_common", lambda rows, _: np.zeros((len(rows),) * 2)),
        patch.object(calibrating, "TAILS", 1e9),
    ):
        yield


Truth = Callable[[np.random.Generator], Callable[[Sequence[Row]], Array]]
"""Draws a sea; that tells the exact number of each row."""


def of_our_plug(stand_in: StandIn) -> Truth:
    """A line of constant drag with our plug on it."""

    def draw(rng: np.random.Generator) -> Callable[[Sequence[Row]], Array]:
        line, lure = np.exp(0.22 * rng.normal()), np.exp(0.25 * rng.normal())
        return lambda rows: stand_in.depths(
            np.array(line),
            np.array(lure),
            np.array([row.speed for row in rows]),  # type: ignore[union-attr]
        )

    return draw


def of_a_point(rod: Rod, law: Law, friction: float = 1.0) -> Truth:
    """A line of a law with a point on its end, on a grid of factors as the stand-in is."""
    line, lure, speed = np.meshgrid(LOGS, LOGS[::2], SPEEDS, indexing="ij")
    flat = [np.exp(part.ravel()) for part in (line, lure, speed)]
    depth = towed_depth(
        rod, WATER, flat[2], lambda re: MIDDLE_ROUGHNESS * flat[0] * law(re), flat[1], friction
    )
    return of_our_plug(StandIn(depth.reshape(line.shape)))


def strumming(reynolds: Array) -> Array:
    """A drag half as large again where the line strums, about a Reynolds number of 200."""
    away = np.log(np.maximum(reynolds, 1.0) / 200.0) / 0.4
    out: Array = 1.25 * (1.0 + 0.5 * np.exp(-0.5 * away**2))
    return out


def of_a_swing(degrees: float) -> Truth:
    """Our own line, and a plug that swings otherwise than is assumed."""
    lure = replace(SWINGS, swing=math.radians(degrees))
    return of_our_plug(StandIn.of(replace(SHIPPED, rod=replace(SHIPPED.rod, lure=lure))))


def of_coasts(linear: float, power_of: float = 2.0) -> Truth:
    """A boat slowed by a share ``linear`` of drag as the speed, the rest as a power of it."""

    def draw(rng: np.random.Generator) -> Callable[[Sequence[Row]], Array]:
        half = BOAT.half_time * float(np.exp(0.4 * rng.normal()))
        return lambda rows: np.array([
            coasted(linear, power_of, half, row.start, row.seconds)
            for row in rows if isinstance(row, CoastDown)
        ])  # fmt: skip

    return draw


def coasted(linear: float, power_of: float, half: float, start: float, seconds: float) -> float:
    """Speed, m/s, after du/dt = -a [s u/u_r + (1 - s) (u/u_r)^p], half of u_r after ``half``."""
    u_r = BOAT.trolling_speed

    def rate(u: Array | float) -> Any:
        return linear * u / u_r + (1.0 - linear) * (u / u_r) ** power_of

    # the time from speed to speed is a quadrature: to half of u_r it is the half time
    nodes, weights = np.polynomial.legendre.leggauss(24)

    def time(high: float, low: float) -> float:
        v = 0.5 * (np.log(high / low) * nodes + np.log(high * low))
        u = np.exp(v)
        return float(0.5 * np.log(high / low) * (weights * u / rate(u)).sum())

    scale = half / time(u_r, 0.5 * u_r)
    low, high = 1e-6 * start, start
    for _ in range(50):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if scale * time(start, middle) > seconds else (low, middle)
    return middle


def coverage(
    gear: Gear,
    rows: Sequence[Row],
    unseen: Sequence[Row],
    truth: Truth,
    repeats: int,
    spoil: Callable[[list[Row], np.random.Generator], list[Row]] | None = None,
) -> Array:
    """Share of intervals (unseen,) that hold the true number of each row not measured."""
    rng, held = np.random.default_rng(7), np.zeros(len(unseen))
    done = 0
    for _ in range(repeats):
        sea = truth(rng)
        exact = [*rows, *unseen]
        numbers = sea(exact)
        try:
            taken = [
                misread(with_measured(row, value), rng)
                for row, value in zip(rows, numbers, strict=False)
            ]
            found = calibrate(gear, taken if spoil is None else spoil(taken, rng))
        except ValueError:
            continue  # a reading nobody would have put down
        done += 1
        for k, (told, value) in enumerate(
            zip(forecasts(found, unseen), numbers[len(rows) :], strict=True)
        ):
            held[k] += told.low < value < told.high
    return held / max(done, 1)


def one_wrong(rows: list[Row], rng: np.random.Generator) -> list[Row]:
    """One row half as deep again, as if a color had been miscounted."""
    k = int(rng.integers(len(rows)))
    return [with_measured(r, 1.5 * r.measured) if i == k else r for i, r in enumerate(rows)]


def slow_thumb(rows: list[Row], _: np.random.Generator) -> list[Row]:
    """Every fall timed 0.3 s long."""
    return [with_measured(row, row.measured + 0.3) for row in rows]


def dock_sea(rng: np.random.Generator) -> Callable[[Sequence[Row]], Array]:
    factors = Factors(lure_drag=float(np.exp(0.25 * rng.normal())))
    return lambda rows: predict.predict(GEAR, rows, [factors])[0]


TOWS = [TowDepth(knots * KNOT, 1.0) for knots in (2.5, 3.0, 3.5, 4.0, 4.0, 4.5)]
FAR_TOWS = [TowDepth(knots * KNOT, 1.0) for knots in (2.0, 3.25, 5.0, 6.0, 7.0)]
FALLS = [DockFall(depth, 1.0) for depth in (3.0, 3.0, 4.0, 5.0)]
FAR_FALLS = [DockFall(depth, 1.0) for depth in (2.0, 4.0, 8.0)]
COASTS = [CoastDown(3.0, seconds, 0.01) for seconds in (2.0, 4.0, 6.0, 9.0, 13.0)]
FAR_COASTS = [
    CoastDown(start, seconds, 0.01)
    for start, seconds in ((3.0, 5.0), (3.0, 20.0), (2.0, 4.0), (2.0, 12.0), (4.0, 6.0))
]


TUNED = (
    "constant drag, our plug", "constant drag, a point for a plug", "our law, a point for a plug",
    "our law, a plug that swings by 10 degrees",
)  # fmt: skip
"""Truths on which model_error's numbers under way were chosen; the others are tests of it."""


def cases() -> Iterator[tuple[str, Gear, list[Row], list[Row], Truth, dict[str, Any]]]:
    """Name, gear, rows, rows not measured, truth, and what is spoiled."""
    core, leader = (replace(s, normal_drag=c) for s, c in ((LINE, 1.5), (LEADER, 1.25)))
    other = StandIn.of(replace(SHIPPED, rod=replace(SHIPPED.rod, sections=(core, leader)), line=""))
    tows: tuple[Gear, list[Row], list[Row]] = (SHIPPED, [*TOWS], [*FAR_TOWS])
    ours = of_our_plug(other)
    yield "constant drag, our plug", *tows, ours, {}
    yield "constant drag, our plug, one row wrong", *tows, ours, {"spoil": one_wrong}
    for name, law, friction in (
        ("our law", lambda re: cylinder_drag(np.maximum(re, 0.1))[0], 1.0),
        ("constant drag", constant(1.25), 1.0),
        ("drag as Re^-0.15", power(1.25, -0.15), 1.0),
        ("drag as Re^-0.3", power(1.25, -0.3), 1.0),
        ("drag as Re^-0.5", power(1.25, -0.5), 1.0),
        ("a line that strums", strumming, 1.0),
        ("constant drag, three times the friction", constant(1.25), 3.0),
    ):
        yield f"{name}, a point for a plug", *tows, of_a_point(ROD, law, friction), {}
    for degrees in (0.0, 10.0, 30.0):
        name = f"our law, a plug that swings by {degrees:g} degrees"
        yield name, *tows, of_a_swing(degrees), {}
    yield "falls, a slow thumb", GEAR, [*FALLS], [*FAR_FALLS], dock_sea, {"spoil": slow_thumb}
    coasts: tuple[Gear, list[Row], list[Row]] = (Gear(WATER, BOAT), [*COASTS], [*FAR_COASTS])
    for name, share in (("quadratic", 0.0), ("linear", 1.0), ("half and half", 0.5)):
        yield f"coast-down, {name}", *coasts, of_coasts(share), {}
    yield "coast-down, cubic", *coasts, of_coasts(0.0, 3.0), {}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=100)
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    ours = StandIn.of(SHIPPED)
    # made before the stand-in takes the model's place, or truths were that too
    known_cases = [case for case in cases() if asked.only in case[0]]
    with patch.dict(predict._KINDS, {TowDepth.kind: ours.work}):
        for name, gear, rows, unseen, truth, extra in known_cases:
            with at_its_word():
                before = coverage(gear, rows, unseen, truth, asked.repeats, **extra)
            after = coverage(gear, rows, unseen, truth, asked.repeats, **extra)
            known = " (tuned)" if name in TUNED else ""
            print(f"{name + known:70s} before {told(before)}   after {told(after)}", flush=True)


def told(shares: Array) -> str:
    each = " ".join(f"{100 * share:3.0f}" for share in shares)
    return f"{100 * shares.mean():3.0f} % ({each})"


if __name__ == "__main__":
    main()
