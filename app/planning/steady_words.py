"""The steady answer in a mate's words: what it does, what it costs and gains, what matters."""

from __future__ import annotations

from app.planning.doubts import in_doubt
from app.planning.steady import SteadyPlan
from app.planning.words import added_up, of_drops, tidy
from app.scenario.keys import DOUBT_WORDS
from physics.answers.doubt import Doubt
from physics.answers.steady import SteadyAnswer
from physics.answers.worth import Worth

TO_DO = {
    "line_drag": "find its true running depth once",
    "line_weight": "weigh a color of it",
    "lure_weight": "weigh them",
    "coast_down": "time it",
    "speed": "check it both ways over a measured run",
    "bottom": "watch the sounder",
    "lure_drag": "find their true running depth once",
    "lure_swing": "watch them beside the boat",
}
"""What to do about an input, by its name in physics.answers.doubt."""

MEASURED_BY = {"line_drag": "tow", "lure_weight": "dock", "coast_down": "coast", "lure_drag": "tow"}
"""The kind of measurement that tells of an input most directly, where there is one."""

COUNTED = "Windows are averages over all drops; a drop in which any line touches counts as none."
"""What a window of the steady answer means."""

ALIKE = 0.05
"""Windows that differ by less are told as the same, s."""


def steady_sentence(found: SteadyPlan, doubt: Doubt, lines: int) -> str:
    """The steady answer in one sentence."""
    if not in_doubt(doubt):
        return "Nothing is in doubt here, so the answer is right every time."
    if found.answer is None:
        return (
            "No wait and hold here lifts a lure through the mark and touches bottom in "
            f"{of_drops(found.allowed, 1)} at most."
        )
    if found.same:
        return f"The answer is also the steady one: {outcome(found.answer, lines)}."
    do = f"wait {tidy(found.answer.wait)} s, hold {tidy(found.answer.hold)} s"
    return f"Steady: {do}; {outcome(found.answer, lines)}."


def outcome(answer: SteadyAnswer, lines: int) -> str:
    """What is expected of a wait and hold: seconds a drop, and how often it touches."""
    error, often = f"{100 * answer.touch_error:.0f}", of_drops(answer.touch)
    if error != "0":
        often = f"{100 * answer.touch:.0f} ± {error} drops of 100"
    return f"{answer.window:.1f} s a drop{added_up(lines)}, touches in {often}"


def trade_sentence(found: SteadyPlan) -> str:
    """What the steady answer costs and gains against the one for exact numbers."""
    steady, exact = found.answer, found.exact
    if steady is None or exact is None or found.same:
        return ""
    changes = [
        f"{verb} {tidy(abs(by))} s {'more' if by > 0.0 else 'less'}"
        for verb, by in (("hold", steady.hold - exact.hold), ("wait", steady.wait - exact.wait))
        if abs(by) > 1e-9
    ]
    do = ", ".join(changes)
    touches = f"touches in {of_drops(steady.touch)} instead of {100 * exact.touch:.0f}"
    if round(100 * steady.touch) == round(100 * exact.touch):
        touches = f"touches as often, in {of_drops(steady.touch)}"
    by = steady.window - exact.window
    if abs(by) < ALIKE:
        gain = "for as much window"
    elif by > 0.0:
        gain = f"and {by:.1f} s more window a drop"
    else:
        gain = f"for {-by:.1f} s less window a drop"
    return f"{do[:1].upper()}{do[1:]}: {touches}, {gain}."


def matters_sentence(worth: Worth) -> str:
    """Which input is worth knowing, what that would buy, and what to do."""
    if not worth.evident:
        if worth.window <= 0.0:
            return ""
        return "What matters: no one of the unsure numbers is worth measuring for this drop."
    first, *others = worth.evident
    gain, _ = worth.of(first)
    words = (
        f"What matters most: {DOUBT_WORDS[first]}. Known, it would buy about {gain:.1f} s more "
        f"window a drop, on top of {worth.window:.1f} s: {TO_DO[first]}."
    )
    if others:
        rest = ", ".join(f"{DOUBT_WORDS[name]} {worth.of(name)[0]:.1f} s" for name in others)
        words += f" Next: {rest}."
    return words
