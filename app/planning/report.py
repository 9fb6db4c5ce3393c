"""A plan as text: a page in trade units, and JSON in SI."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np

from app.common import units
from app.planning.plan import Plan
from app.planning.rods import RodPlan
from app.planning.shortfalls import Miss, Shortfall
from app.planning.steady import SteadyPlan
from app.planning.steady_words import (
    COUNTED,
    matters_sentence,
    steady_sentence,
    trade_sentence,
)
from app.planning.unison_words import unison_words
from app.planning.words import (
    already_out_sentence,
    answer_sentence,
    band_words,
    how_sure,
    misses_words,
    notes,
    shortfall_words,
)
from app.scenario.json_keys import FORMAT, Keys, as_is, keyed, si
from physics.answers.chances import Chances
from physics.answers.doubt import INPUTS
from physics.answers.steady import SteadyAnswer
from physics.answers.timing import Answer
from physics.answers.unison import Unison

KEYS: Keys = {
    Answer: si(wait="s", hold="s", window="s", each_line="s"),
    RodPlan: si(
        run_depth="m", deepest="m", deepest_at="s", sank_on="s", least_height="m", at_mark="m",
        at_mark_rate="mps", lifting="s", falling="s", miss="m", lifts_at="m",
    ),
    Shortfall: si(hold="s", off="m", rate="mps"),
    Miss: si(by="m", window="s"),
    Unison: si(apart="s", depths_apart="m") | as_is(moments="moments_s", depths="depths_m"),
    SteadyAnswer: si(wait="s", hold="s", window="s", window_error="s")
    | as_is(touch="touch", touch_error="touch_error"),
}  # fmt: skip
"""Units of what a plan says."""

HEADINGS = (
    ("max safe", "hold, s"),
    ("deepest", "ft"),
    ("at", "s"),
    ("sinks on", "in gear, s"),
    ("least", "ft off"),
    ("at the mark", "ft off"),
    ("rising", "there, ft/s"),
    ("lifting in", "window, s"),
    ("falling in", "window, s"),
    ("closest", "to mark, ft"),
)

WIDTH = 12
"""Of a column, characters."""


def as_page(plan: Plan, found: Chances | None = None, steady: SteadyPlan | None = None) -> str:
    """The plan for a person; ``found`` adds how sure it is, ``steady`` what is right most often."""
    lines = [plan.situation.scenario.name, _asked(plan), ""]
    lines += [answer_sentence(plan), already_out_sentence(plan), ""]
    if steady is not None:
        lines += [*steady_lines(plan, steady), ""]
    lines.append(f"With a wait of {plan.point[0]:g} s and a hold of {plan.point[1]:g} s:")
    widest = max(len(rod.name) for rod in plan.rods)
    lines += [
        " " * widest + "".join(f"{heading[part]:>{WIDTH}}" for heading in HEADINGS)
        for part in (0, 1)
    ]
    for rod, reach in zip(plan.rods, plan.reach, strict=True):
        lines.append(rod.name.ljust(widest) + _row(rod, reach))
    if len(plan.rods) > 1:
        added_up = sum(rod.lifting for rod in plan.rods)
        lines.append(f"Lifting in window, all lines added up: {added_up:.1f} s")
    together = [text] if (text := unison_words(plan)) else []
    said = [*together, *notes(plan), *misses_words(plan), *map(shortfall_words, plan.shortfalls)]
    if found is not None:
        said += ["", how_sure(found, plan), *band_words(found, plan)]
    if said:
        lines += ["", *said] if said[0] else said
    return "\n".join(line.rstrip() for line in lines) + "\n"


def steady_lines(plan: Plan, steady: SteadyPlan) -> list[str]:
    """What a steady plan says, a sentence each."""
    said = (
        steady_sentence(steady, plan.request.setup.doubt, len(plan.rods)),
        trade_sentence(steady),
        COUNTED if steady.drops > 1 and steady.answer is not None else "",
        matters_sentence(steady.worth),
    )
    return [words for words in said if words]


def as_json(
    plan: Plan, found: Chances | None, version: str, steady: SteadyPlan | None = None
) -> str:
    """Everything a plan says, SI; ``null`` where there is no number.

    ``steady``, where it was asked for: ``touch_chance`` is what is allowed, ``answer`` and
    ``exact`` what is expected of the steady wait and hold and of ``answer`` above: ``window_s``
    the mean of all lines added up, a drop in which any line touches counted as none, and
    ``touch`` the share of drops in which one does, each with its standard error, over so many
    ``drops``. ``map`` has both for every wait (rows) and hold. ``worth`` is what knowing
    an input would add to the ``window_s`` of the best wait and hold, ``evident`` those it can be
    told of.
    """
    request, table = plan.request, plan.map
    whole: dict[str, Any] = {
        "leadfall": version,
        "format": FORMAT,
        "name": plan.situation.scenario.name,
        "mark": keyed(plan.situation.aim.mark),
        "radius_m": request.radius,
        "clearance_m": request.clearance,
        "bottom_at_mark_m": plan.situation.depth,
        "answer": keyed(plan.answer, KEYS),
        "already_out": keyed(plan.already_out, KEYS),
        "sentence": answer_sentence(plan),
        "point": {"wait_s": plan.point[0], "hold_s": plan.point[1]},
        "rods": [
            {**keyed(rod, KEYS), "hold_to_clearance_s": reach, "touches": rod.touches}
            for rod, reach in zip(plan.rods, plan.reach, strict=True)
        ],
        "unison": keyed(plan.unison(plan.point[1]), KEYS),
        "mends": [
            {
                "rod": None if mend.number is None else plan.rods[mend.number].name,
                "more_line_m": None if mend.number is None else mend.more,
                "more_hold_s": mend.more if mend.number is None else None,
                "apart_s": mend.apart,
            }
            for mend in plan.mends
        ],
        "shortfalls": keyed(plan.shortfalls, KEYS),
        "misses": keyed(plan.misses, KEYS),
        "map": {
            "waits_s": table.waits.tolist(),
            "holds_s": table.holds.tolist(),
            "window_s": table.total.tolist(),
            "clear": table.allowed(request.clearance).tolist(),
        },
    }
    if found is not None:
        whole["chances"] = {
            "words": how_sure(found, plan),
            "time_s": found.time.tolist(),
            "depth_10_50_90_m": found.bands.tolist(),
            "touch": dict(zip([rod.name for rod in plan.rods], found.touch.tolist(), strict=True)),
            "driver": found.driver,
            "longest_hold_s": found.longest,
            "hold_10_50_90_s": found.holds.tolist(),
            "band_words": band_words(found, plan),
        }
    if steady is not None:
        whole["steady"] = _steady(plan, steady)
    return json.dumps(plain(whole), allow_nan=False, ensure_ascii=False) + "\n"


def _steady(plan: Plan, steady: SteadyPlan) -> dict[str, Any]:
    expected, worth = steady.expected, steady.worth
    return {
        "words": steady_lines(plan, steady),
        "touch_chance": steady.allowed,
        "drops": steady.drops,
        "answer": keyed(steady.answer, KEYS),
        "exact": keyed(steady.exact, KEYS),
        "map": {
            "waits_s": expected.waits.tolist(),
            "holds_s": expected.holds.tolist(),
            "window_s": expected.window.tolist(),
            "touch": expected.touch.tolist(),
        },
        "worth": {
            "window_s": worth.window,
            "gain_s": dict(zip(INPUTS, worth.gain.tolist(), strict=True)),
            "error_s": dict(zip(INPUTS, worth.error.tolist(), strict=True)),
            "evident": list(worth.evident),
        },
    }


def _asked(plan: Plan) -> str:
    found, request = plan.situation, plan.request
    mark = found.aim.mark
    depth, off = units.FOOT.text(mark.depth, 0), units.FOOT.text(found.depth - mark.depth)
    own = request.mark or request.setup.mark
    given = f"mark at {depth}" if own else f"no mark given, taken at {depth}"
    return (
        f"{request.setup.speed_unit.text(found.scenario.speed)}; {given}, {off} off bottom; "
        f"every line to keep {units.FOOT.text(request.clearance)} off bottom"
    )


def _row(rod: RodPlan, reach: float | None) -> str:
    cells = (
        reach,
        units.feet(rod.deepest),
        rod.deepest_at,
        rod.sank_on,
        units.feet(rod.least_height),
        None if rod.at_mark is None else units.feet(rod.at_mark),
        None if rod.at_mark_rate is None else units.feet_per_second(rod.at_mark_rate),
        rod.lifting,
        rod.falling,
        units.feet(rod.miss),
    )
    return "".join(f"{'-' if cell is None else f'{cell:z.1f}':>{WIDTH}}" for cell in cells)


def plain(value: Any) -> Any:
    """With None for every number that is none."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    return None if isinstance(value, float) and not math.isfinite(value) else value
