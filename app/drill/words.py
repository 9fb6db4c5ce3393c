"""What the drill says: the orders of a round, one sentence of advice, safety notes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.common.units import COLOR, Unit
from app.drill.round import FREE, LEVELS, Round
from app.drill.score import ENGINE_TIME, Best, Taken
from app.planning.words import added_up

TOLERANCE = 2.0
"""A wait or hold off by no more than this is called right, s."""

ENOUGH = 0.95
"""With this share of the strike window won a wait or hold is called right, too."""

ERRORS = {
    "no drop": "Never out of gear",
    "early out": "Out of gear too early",
    "late out": "Out of gear too late",
    "long hold": "Held too long",
    "short hold": "Held too short",
    "touched": "A line touched bottom",
    "crossed": "Lines came close",
    "late engine": "Late on one engine",
}
"""Kinds of error, as kept, and in words."""

SAFETY = (
    "Look aft before you go in gear: lines drift toward the propellers as she loses way.",
    "A boat lying without way can swing beam to the sea. Drop only where that is safe.",
    "Leadcore and lead tackle: wash your hands, and keep line off hands and feet.",
    "Watch weather, sea and other boats; one person does nothing but keep watch.",
    "Local rules and a licensed skipper decide. This is a rehearsal aid; every round is invented.",
)


def briefing(round_: Round, unit: Unit, speed: Unit) -> str:
    """What the trainee is told before the round."""
    setup = round_.setup
    count = len(setup.rods)
    out = sorted({COLOR.from_si(rod.line_out) for rod in setup.rods})
    colors = f"{out[0]:g}" if len(out) == 1 else f"{out[0]:g} to {out[-1]:g}"
    ground = setup.water.bottom
    deep = f"bottom {unit.text(ground.deepest, 0)}"
    if not ground.is_level:
        deep += f", rising to {unit.text(ground.shallowest, 0)}"
    said = [
        f"{count} line{'s' if count > 1 else ''}, {colors} colors out, "
        f"{speed.text(setup.speed)}, {deep}.",
        f"A mark will come under the sounder at {unit.text(round_.mark.depth, 0)}. Have the lures "
        "lift through it, and no line on the bottom.",
    ]
    east, north = setup.water.current
    if east or north:
        along = east * np.sin(setup.heading) + north * np.cos(setup.heading)
        way = "with you" if along > 0.0 else "against you"
        said.append(f"Current {speed.text(float(np.hypot(east, north)))}, {way}.")
    if round_.hooked is not None:
        said.append(
            f"Some time after the drop a fish is on {round_.hooked}. At the call: one engine "
            f"within {ENGINE_TIME:.0f} s, and keep the other lines off the bottom with throttle "
            "or gear. The hooked line is its angler's from then on and counts no more."
        )
    return " ".join(said)


def title(round_: Round) -> str:
    """The round by name."""
    if round_.level == FREE:
        return f"Own scenario, round {round_.seed}"
    return f"Level {round_.level}: {LEVELS[round_.level].title.lower()}, round {round_.seed}"


def errors(taken: Taken, best: Best) -> tuple[str, ...]:
    """Kinds of error made, of ERRORS, the largest first."""
    answer = best.plan.answer
    out: list[tuple[float, str]] = []
    if taken.wait is None or taken.hold is None:
        out.append((100.0, "no drop"))
    elif answer is not None and (
        _in_drop(taken)
        or not set(taken.crossed) <= set(best.crossed)
        or taken.window < ENOUGH * answer.window
    ):
        early, long = taken.wait - answer.wait, taken.hold - answer.hold
        if abs(early) > TOLERANCE:
            out.append((abs(early), "late out" if early > 0.0 else "early out"))
        if abs(long) > TOLERANCE:
            out.append((abs(long), "long hold" if long > 0.0 else "short hold"))
    found = [kind for _, kind in sorted(out, reverse=True)]
    found += ["touched"] * bool(taken.touched) + ["crossed"] * bool(taken.crossed)
    return (*found, *["late engine"] * taken.late)


def advice(taken: Taken, best: Best, unit: Unit, speed: Unit) -> str:
    """One sentence from the numbers: what went wrong, what came of it, what to do."""
    answer = best.plan.answer
    if answer is None:
        return "No lure can lift through this mark with every line clear, whatever the helm does."
    todo = f"{_best(best, unit)}."
    if taken.wait is None or taken.hold is None:
        return f"She never went out of gear for the mark, so nothing counts: {todo}"
    cause = []
    for kind in errors(taken, best):
        if kind in ("late out", "early out"):
            by = abs(taken.wait - answer.wait)
            cause.append(f"out of gear {by:.0f} s too {kind.split()[0]}")
        elif kind in ("long hold", "short hold"):
            cause.append(f"held {abs(taken.hold - answer.hold):.0f} s too {kind.split()[0]}")
    came = [f"{_listed(_in_drop(taken))} touched"] if _in_drop(taken) else []
    came += [f"{_listed(taken.sank)} touched with the fish on"] if taken.sank else []
    came += [f"{pair} came close" + ", as in the best drop there is" * (pair in best.crossed)
             for pair in taken.crossed]  # fmt: skip
    came += ["one engine came late"] if taken.late else []
    if taken.by_throttle >= 0.5:
        came += [f"{taken.by_throttle:.1f} s of lift were there without the drop and do not count"]
    if not came and taken.window < ENOUGH * answer.window:
        seconds = f"{taken.window:.1f} s of the {best.window:.1f} s there were"
        came = [seconds + added_up(len(taken.rods))]
    if not cause and not came:
        return (
            f"Well timed: {taken.window:.1f} s of the {best.window:.1f} s strike window there "
            f"was{added_up(len(taken.rods))}, out of gear {taken.wait:.0f} s after the mark for "
            f"{taken.hold:.0f} s."
        )
    first = " and ".join(cause) or "well timed, but"
    joint = ": " if cause and came else " " if came else ""
    if not cause and best.throttle is not None and (taken.sank or taken.late):
        todo = f"on one engine give {speed.text(best.throttle)} of throttle."
    text = f"{first}{joint}{', '.join(came)}; {todo}"
    return text[0].upper() + text[1:]


def _in_drop(taken: Taken) -> tuple[str, ...]:
    """Lines that touched before any fish was on."""
    return tuple(name for name in taken.touched if name not in taken.sank)


def _listed(names: Sequence[str]) -> str:
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)


def _best(best: Best, unit: Unit) -> str:
    answer = best.plan.answer
    assert answer is not None
    time, place = best.path()
    bottom = best.plan.situation.bottom
    number = max(range(len(place)), key=lambda k: best.plan.rods[k].deepest)
    here = [np.interp(answer.wait + answer.hold, time, place[number, :, axis]) for axis in range(3)]
    off = float(bottom.depth_at(np.array([here[0]]), np.array([here[1]]))[0] + here[2])
    name = best.plan.rods[number].name
    alone = len(best.plan.rods) == 1
    return (
        f"go out of gear {answer.wait:.0f} s after the mark, and in gear {answer.hold:.0f} s later "
        f"as {'the lure' if alone else name} passes {unit.text(off, 0)} off bottom"
    )
