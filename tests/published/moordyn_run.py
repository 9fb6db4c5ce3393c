"""Run MoorDyn itself on the reference's kind of gear."""

from __future__ import annotations

import ctypes
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import moordyn
import numpy as np

STEP = 1.0 / 1024.0
"""Its own step, s: the largest at which 1.8 m elements stay stable with room to spare."""

COUPLING = 1.0 / 128.0
"""How often the tow point's motion is handed over, s."""

WARM_UP = 70.0
"""Time to reach steady tow before the maneuver, s: two and a half line lengths."""

RAMP = 5.0
"""Time to get under way, s."""

INPUT = """--------------------- MoorDyn Input File -----------------------------
a towed line and a point for a lure
----------------------- LINE TYPES -----------------------------------
TypeName   Diam    Mass/m    EA     BA/-zeta   EI     Cd     Ca    CdAx   CaAx
(name)     (m)     (kg/m)    (N)    (N-s/-)  (N-m^2)  (-)    (-)   (-)    (-)
leadcore   {d}     {m}       {EA}      -1.0    0     {Cdn}      {Can}     {Cdt}     {Cat}
leader     {d_ldr} {m_ldr}   {EA_ldr}  -1.0    0     {Cdn_ldr}  {Can_ldr} {Cdt_ldr} {Cat_ldr}
---------------------- POINTS ----------------------------------------
ID   Attachment   X    Y    Z    M    V    CdA    Ca
(#)     (-)      (m)  (m)  (m)  (kg) (m^3) (m^2)  (-)
1    Coupled    {x1}   {y}    0    0    0    0      0
2    Free       {x2}   {y}  {z2}   0    0    0      0
3    Free       {x3}   {y}  {z3} {m_lure} {V_lure} {CdA_lure} {Ca_lure}
---------------------- LINES -----------------------------------------
ID   LineType   AttachA   AttachB   UnstrLen   NumSegs   Outputs
(#)  (name)       (#)       (#)       (m)        (-)       (-)
1    leadcore     1         2         {L}        {N}        -
2    leader       2         3         {L_ldr}    {N_ldr}    -
---------------------- OPTIONS ---------------------------------------
0            writeLog
midpoint4    tScheme
{step}       dtM
{g}          g
{rho}        WtrDnsty
{water_depth}  WtrDpth
1e5          kbot
1.5e3        cbot
0            TmaxIC
{currents}   Currents
---------------------- need this line --------------------------------
"""

CURRENT = """steady current
at depths

"""
"""Three lines it skips, before rows of height, and velocity east, north and up."""

Layer = tuple[float, float, float]
"""Depth under the tow point, m, and the water's velocity east and north there, m/s."""

Place = Callable[[float], tuple[float, float]]
"""Tow point (east, north) in m at a time in s; steady east before t = 0."""


LineOut = Callable[[float], tuple[float, float]]
"""Length of the upper line, m, and the rate at which it goes out, m/s, at a time in s."""


@contextmanager
def hush() -> Iterator[None]:
    """Send what the library itself prints to nowhere."""
    kept = os.dup(1)
    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        try:
            yield
        finally:
            os.dup2(kept, 1)
            os.close(kept)


def write_input(
    folder: Path,
    gear: dict,
    start: tuple[float, float],
    step: float = STEP,
    current: Sequence[Layer] = (),
) -> Path:
    """An input file: tow point at ``start`` (east, north), m, line laid astern, sloping down
    one in ten.

    With a ``current`` one of it, too, in rows that go down, straight between.
    """
    down, (east, north) = 0.1, start
    back = np.sqrt(1.0 - down**2)
    first, both = gear["L"], gear["L"] + gear["L_ldr"]
    text = INPUT.format(
        **gear, step=step, currents=int(bool(current)), x1=east, y=north,
        x2=east - first * back, z2=-first * down, x3=east - both * back, z3=-both * down,
    )  # fmt: skip
    if current:
        rows = [f"{-depth} {flow[0]} {flow[1]} 0.0\n" for depth, *flow in reversed(current)]
        (folder / "current_profile.txt").write_text(CURRENT + "".join(rows), encoding="utf-8")
    path = folder / "lines.txt"
    path.write_text(text, encoding="utf-8")
    return path


def tow(
    folder: Path,
    gear: dict,
    speed: float,
    place: Place,
    until: float,
    every: float = 0.25,
    line_out: LineOut | None = None,
    step: float = STEP,
    current: Sequence[Layer] = (),
    warm_up: float = WARM_UP,
    lowest: bool = False,
) -> np.ndarray:
    """Rows (time, lure depth, lure north, tow-point force) of one run, from t = 0 on.

    With ``lowest`` the depth is that of the lowest point of lure and upper line.
    ``line_out`` says how much of the upper line is out from then on; the library
    shares it out evenly among the segments. ``place`` and ``speed`` are through the water at
    the surface, which drifts with the first row of a ``current``.
    """
    drift = current[0][1:] if current else (0.0, 0.0)

    def through_water(time: float) -> tuple[float, float]:
        if time >= 0.0:
            return place(time)
        away = time + warm_up
        if away < RAMP:  # under way from rest
            return speed * (away**2 / (2.0 * RAMP) + 0.5 * RAMP - warm_up), 0.0
        return speed * time, 0.0

    def tip(time: float) -> tuple[float, float]:
        east, north = through_water(time)
        return east + drift[0] * time, north + drift[1] * time

    rows = []
    keep = round(every / COUPLING)
    with hush():
        here = tip(-warm_up)
        file = write_input(folder, gear, here, step, current)
        system = moordyn.Create(str(file))
        moordyn.SetVerbosity(system, moordyn.LEVEL_NONE)
        start = round(warm_up / COUPLING)
        moordyn.Init(system, [*here, 0.0], [0.0, 0.0, 0.0])
        lure, line = moordyn.GetPoint(system, 3), moordyn.GetLine(system, 1)
        for number in range(-start, round(until / COUPLING)):
            there = tip((number + 1) * COUPLING)
            if line_out is not None and number >= 0:
                length, rate = line_out((number + 0.5) * COUPLING)
                moordyn.SetLineUnstretchedLength(line, length)
                moordyn.SetLineUnstretchedLengthVel(line, rate)
                for _ in range(2):  # each of these takes a reference to None too many
                    ctypes.pythonapi.Py_IncRef(ctypes.py_object(None))
            pace = [(b - a) / COUPLING for a, b in zip(here, there, strict=True)]
            force = moordyn.Step(
                system, [*here, 0.0], [*pace, 0.0], (number + start) * COUPLING, COUPLING
            )
            here = there
            if number + 1 >= 0 and (number + 1) % keep == 0:
                _, north, up = moordyn.GetPointPos(lure)
                if lowest:
                    nodes = range(gear["N"] + 1)
                    up = min(up, *(moordyn.GetLineNodePos(line, n)[2] for n in nodes))
                rows.append(((number + 1) * COUPLING, -up, north, np.linalg.norm(force)))
        moordyn.Close(system)
    return np.array(rows)
