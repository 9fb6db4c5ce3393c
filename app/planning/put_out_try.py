"""Every option at one speed, tried: the job that a search of what to put out is made of."""

from __future__ import annotations

import numpy as np

from app.gear.catalog import Catalog
from app.planning.plan import holds_to_run
from app.planning.put_out_grid import Families, PutOutRequest, at_speed, options_of
from app.planning.situation import HOLDS, WAITS, PlanRequest, situation
from physics.answers.options import COARSE, Fineness
from physics.answers.put_out import Tried, try_options
from physics.checks import InvalidValue
from physics.line.march import ConvergenceError
from physics.progress import ProgressCallback

RUN_HOLDS = (1.0, 7.0, 15.0, 28.0)
"""Holds run when the hold is free, s, with the longest one.

On two and four lines of 1 to 10 colors, over a level bottom and a shoal, every hold from 4 to
42 s between, and every half color between five lengths, is within 0.1 m (95 % within 4 cm) of a
full run in clearance and within 0.5 s in when it lifts.
"""

SHEAR_HOLDS = (0.0, 2.0, 4.0, *(3.0 * n for n in range(2, 20)))
"""Those in a current that changes with depth: a power law of 1 m/s over 9 and 12 m is then within
0.07 m and 0.2 s, with RUN_HOLDS up to 0.9 m and 4.3 s off. What is offered is run by the plan."""

FIRST_WAITS = tuple(2.0 * n for n in range(46))
FIRST_HOLDS = tuple(2.5 * n for n in range(25))
"""Waits and holds looked at first, s; the best of them is gone about in whole seconds."""

ABOUT = 5.0
"""How far about a first choice its wait and hold are looked at again, s."""


FINENESS = Fineness(tolerance=0.1, longest=4.0, after=COARSE.after)


def try_speed(
    request: PutOutRequest,
    catalog: Catalog,
    speed: float,
    families: tuple[Families, ...],
    about: tuple[float, float] | None = None,
    progress: ProgressCallback | None = None,
) -> Tried | None:
    """Every option at one speed, m/s; ``about`` a (wait, hold), s, looked at again, in seconds.

    None where a line finds no answer, or the boat is not driven so fast. Raises InvalidValue,
    Cancelled.
    """
    try:
        found = situation(PlanRequest(at_speed(request.setup, speed, catalog)), catalog)
    except InvalidValue:
        return None
    rods = [
        options_of(now, own, catalog) for now, own in zip(request.setup.rods, families, strict=True)
    ]
    waits, holds = FIRST_WAITS, FIRST_HOLDS
    if about is not None:
        waits = tuple(x for x in WAITS if abs(x - about[0]) <= ABOUT)
        holds = tuple(x for x in HOLDS if abs(x - about[1]) <= ABOUT)
    waits = waits if request.wait is None else (request.wait,)
    holds = holds if request.hold is None else (request.hold,)
    run = holds_to_run(request.setup.water, FIRST_HOLDS[-1], RUN_HOLDS, SHEAR_HOLDS)
    if request.hold is not None:
        run = (request.hold,)
    elif about is not None:
        run = tuple(np.linspace(holds[0], holds[-1], min(4, len(holds))).tolist())
    try:
        return try_options(
            found.scenario, rods, found.aim, found.bottom, waits, holds, run, FINENESS, progress
        )
    except ConvergenceError:
        return None
