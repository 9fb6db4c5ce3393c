"""A plan in a mate's words: the answer, how sure it is, and what cannot be done."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from app.common.units import FOOT, FOOT_PER_SECOND, METER_PER_SECOND, Unit
from app.planning.plan import Plan
from app.planning.shortfalls import Miss, Shortfall
from app.planning.situation import PlanRequest
from physics.answers.chances import Chances
from physics.answers.timing import Answer
from physics.checks import InvalidValue
from physics.environment.water import Bottom

DRIVERS = {
    "line_drag": "Mostly the drag of your line: find its true running depth once.",
    "line_weight": "Mostly the weight of your line: weigh a color of it.",
    "lure_weight": "Mostly the weight of your lures: weigh them.",
    "coast_down": "Mostly your boat's coast-down: time it.",
    "speed": "Mostly your speed through the water: check it both ways over a measured run.",
    "bottom": "Mostly the depth of the bottom: watch the sounder.",
    "lure_drag": "Mostly the drag of your lures: find their true running depth once.",
    "lure_swing": "Mostly how far your lures swing: watch them beside the boat.",
}
"""What to do about the input that matters most, by its name in physics.answers.doubt."""

STILL_FALLING = 0.03
"""A lure falling slower than this at the end of a hold hangs, m/s."""

RARE = 0.01
"""Touches less likely than this are not told."""


def answer_sentence(plan: Plan, unit: Unit = FOOT) -> str:
    """The answer in one sentence."""
    if plan.answer is None:
        return (
            "No wait and hold here lifts a lure through the mark with every line "
            f"{unit.text(plan.request.clearance)} off bottom."
        )
    longest = plan.request.holds[-1]
    edge = ""
    if plan.answer.hold >= longest:
        edge = f" No hold over {tidy(longest)} s was tried; a longer one may do better."
    return f"{_do(plan.answer)}: {lifts_words(plan.answer.each_line)}.{edge}"


def already_out_sentence(plan: Plan, unit: Unit = FOOT) -> str:
    """What to hold when the boat is out of gear as the mark passes, and where the lures lift."""
    if plan.already_out is not None:
        hold = f"hold {tidy(plan.already_out.hold)} s"
        lifts = lifts_words(plan.already_out.each_line)
        return f"Already out of gear at the mark: {hold}; {lifts}."
    clear = np.flatnonzero(plan.map.allowed(plan.request.clearance)[0])
    if not len(clear):
        return "Already out of gear at the mark: go in gear; no hold keeps every line clear."
    hold_s = float(plan.map.holds[clear[-1]])
    places = [rod.lifts_at for rod in plan.at(0.0, hold_s)]
    where = _stretch(min(places), max(places), unit)
    return (
        f"Already out of gear at the mark: no hold lifts a lure through it; "
        f"after {tidy(hold_s)} s they lift {where}."
    )


def how_sure(found: Chances, plan: Plan, unit: Unit = FOOT) -> str:
    """What chances at the plan's point say, and what to do about it."""
    lowest = found.clearance.min(axis=1)
    low, high = (float(x) for x in np.quantile(np.maximum(lowest, 0.0), (0.1, 0.9)))
    if not np.any(found.correlation):
        return "Nothing is in doubt here, so nothing is said about how sure this is."
    near, far = unit.from_si(low), unit.from_si(high)
    words = [
        f"In 8 drops of 10 the lowest line comes within {near:.1f} to {far:.1f} "
        f"{unit.symbol} of bottom."
    ]
    for rod, chance, error in zip(plan.rods, found.touch, found.touch_error, strict=True):
        if chance >= RARE:
            often = of_drops(chance)
            if error >= 0.005:
                often += f", give or take {100 * error:.0f},"
            words.append(f"In {often} {rod.name} touches bottom.")
    return " ".join([*words, DRIVERS[found.driver]])


def band_words(found: Chances, plan: Plan, unit: Unit = FOOT) -> list[str]:
    """For each rod how deep its lure gets, and the hold it needs, in 8 drops of 10."""
    out = []
    for number, rod in enumerate(plan.rods):
        shallow, middle, deep = (unit.from_si(found.bands[i, number].max()) for i in range(3))
        words = (
            f"{rod.name}: deepest {shallow:z.1f} to {deep:z.1f} {unit.symbol} in 8 drops of 10, "
            f"{middle:z.1f} in the middle."
        )
        near = f"within {unit.text(plan.request.clearance)} of bottom"
        holds = [float(hold) for hold in found.holds[:, number]]
        out.append(f"{words} {_hold_words(holds, found.longest, near)}".rstrip())
    return out


def _hold_words(holds: list[float], longest: float, near: str) -> str:
    """What 10, 50 and 90 % of the shortest hold say, s; inf is beyond the longest."""
    low, middle, high = holds
    most = tidy(longest)
    if math.isnan(low):
        return ""
    if math.isinf(low):
        return f"In 9 drops of 10 not even {most} s of hold bring it {near}."
    if math.isinf(high):
        rare = "1 drop of 10" if math.isfinite(middle) else "half of the drops"
        return f"{low:.0f} s of hold or more bring it {near}; in {rare} or more not even {most} s."
    if round(low) == round(high):
        return f"About {low:.0f} s of hold bring it {near}."
    return f"{low:.0f} to {high:.0f} s of hold bring it {near} in 8 drops of 10."


def shortfall_words(short: Shortfall, unit: Unit = FOOT) -> str:
    """Which line does not reach bottom, why, and what would do it."""
    rate = FOOT_PER_SECOND if unit is FOOT else METER_PER_SECOND
    if short.rate > STILL_FALLING:
        why = f"still falling at {rate.text(short.rate)} when she goes in gear"
    else:
        why = "no longer falling by then: it hangs on all the line it has"
    text = (
        f"With {tidy(short.hold)} s of hold {short.rod} comes no nearer bottom than "
        f"{unit.text(short.off)}, {why}."
    )
    texts = [remedy.text for remedy in short.remedies]
    if len(texts) == 1:
        text += f" It would reach with {texts[0]}."
    elif texts:
        text += " It would reach with any one of: " + "; ".join(texts[:-1]) + f"; or {texts[-1]}."
    elif short.tried:
        text += " Neither a few colors more, nor slower, nor a heavier lure brought it down."
    return text


def miss_words(miss: Miss, asked: PlanRequest, unit: Unit = FOOT) -> str:
    """Which lure cannot lift through the mark, and what keeps it from it."""
    by = f"{unit.from_si(miss.by):.0f} {unit.symbol}"
    off = unit.text(asked.clearance)
    longest = f"{tidy(asked.holds[-1])} s"
    waits = f"{tidy(asked.waits[0])} to {tidy(asked.waits[-1])} s"
    lure = f"The lure of {miss.rod}"
    return {
        "foul": f"{lure} would lift through the mark for up to {miss.window:.1f} s, but never "
        f"with every line {off} off bottom: {_left(miss, unit)}.",
        "ground": f"For {miss.rod} every wait and hold here brings a line within {off} of bottom; "
        f"the most that is left is {unit.text(max(miss.by, 0.0))}.",
        "shallow": f"{lure} stays {unit.text(miss.by)} above the mark with any hold up to "
        f"{longest}.",
        "deep": f"{lure} runs {unit.text(miss.by)} below the mark all the time.",
        "aside": f"{lure} passes {by} to {miss.side} of the mark, for {_aside(asked)}: leave "
        f"the mark {by} to {miss.side}.",
        "waits": f"{lure} comes up through the mark's depth {by} from its place at best, with "
        f"waits of {waits} and holds up to {longest}.",
        "lift": f"{lure} is never lifting at the mark's depth.",
    }[miss.why]


def _aside(asked: PlanRequest) -> str:
    """Why lines that run straight astern pass a mark to one side."""
    water = asked.setup.water
    if any(water.current) or any(water.wind):
        return "the set carries boat and lines at an angle"
    return "its rod is that far to the side"


def _left(miss: Miss, unit: Unit) -> str:
    """What the best of the drops that foul the ground leaves."""
    if miss.by <= 0.0:
        return f"{miss.near} touches bottom on each of those drops"
    return f"on the best of those drops {miss.near} comes within {unit.text(miss.by)} of it"


def misses_words(plan: Plan, unit: Unit = FOOT) -> list[str]:
    """Every miss; one sentence where the set carries the whole spread past the mark."""
    misses = plan.misses
    sides = {miss.side for miss in misses if miss.why == "aside"}
    if len(sides) != 1 or len(misses) < max(2, len(plan.rods)) or any(not m.side for m in misses):
        return [miss_words(miss, plan.request, unit) for miss in misses]
    by = sorted(unit.from_si(miss.by) for miss in misses)
    (side,) = sides
    return [
        f"The lines pass {by[0]:.0f} to {by[-1]:.0f} {unit.symbol} to {side} of the mark, for "
        f"{_aside(plan.request)}. Leave the mark about "
        f"{0.5 * (by[0] + by[-1]):.0f} {unit.symbol} to {side} of the boat to have them over it."
    ]


def notes(plan: Plan) -> list[str]:
    """What the reader must know about this plan: touches, and what was left out."""
    words = []
    for rod in plan.rods:
        if rod.touches:
            words.append(f"On this wait and hold {rod.name} touches bottom.")
            if plan.touched is None:
                words[-1] += " From there on its path is what it would be over deeper water."
    if any(o.action not in ("out of gear", "in gear", "mark") for o in plan.request.setup.orders):
        words.append("The scenario's throttle, engine and wheel orders are left out of the plan.")
    if plan.request.setup.line_orders:
        words.append("The scenario's orders about the lines are left out of the plan.")
    if plan.coarse:
        words.append("A first answer; the full one follows.")
    return words


def refusal_words(error: InvalidValue, bottom: Bottom, there: float, unit: Unit = FOOT) -> str:
    """Why a plan is refused, over the bottom asked for, which is ``there`` m deep at the mark."""
    where = "" if bottom.is_level else " where it is shallowest"
    texts = {
        "mark depth": f"The mark is below the bottom, which is {unit.text(there)} deep"
        f"{'' if bottom.is_level else ' there'}.",
        "clearance": "The distance to keep off bottom has to be less than the water is deep, "
        f"{unit.text(bottom.shallowest)}{where}.",
        "mark band": f"The bottom of the mark has to be {error.allowed}.",
    }
    plain = f"{error.field[:1].upper()}{error.field[1:]}: allowed is {error.allowed}."
    return texts.get(error.field, plain)


def _do(answer: Answer) -> str:
    hold = f"hold {tidy(answer.hold)} s"
    if answer.wait == 0.0:
        return f"Go out of gear on the mark, {hold}"
    return f"Wait {tidy(answer.wait)} s after the mark, {hold}"


def of_drops(chance: float, digits: int = 0) -> str:
    """A chance, to ``digits`` of a drop at the most, such as ``12 drops of 100``."""
    count = f"{round(100.0 * chance, digits):g}"
    return f"{count} {'drop' if count == '1' else 'drops'} of 100"


def added_up(lines: int) -> str:
    """What is said of seconds that are a sum over several lines."""
    return ", all lines added up" if lines > 1 else ""


def lifts_words(each_line: Sequence[float]) -> str:
    """How long the lures lift through the mark, each by itself, of the seconds of each line."""
    some = [seconds for seconds in each_line if seconds > 0.0]
    count = len(each_line)
    if not some:
        return "no lure lifts through the mark"
    if count == 1:
        return f"the lure lifts through the mark for {spanned(some)} s"
    who = "each lure" if len(some) == count else f"{len(some)} of {count} lures"
    lift = "lift" if 1 < len(some) < count else "lifts"
    return f"{who} {lift} through the mark for {spanned(some)} s"


def spanned(seconds: Sequence[float]) -> str:
    """The least and most of some, to a tenth: ``3.3 to 4.1``, or ``3.3`` where they are alike."""
    low, high = f"{min(seconds):.1f}", f"{max(seconds):.1f}"
    return low if low == high else f"{low} to {high}"


def line_seconds(names: Sequence[str], seconds: Sequence[float]) -> str:
    """How long each lure lifts through the mark and, apart, all of them added up; one has none."""
    if len(seconds) < 2:
        return ""
    each = ", ".join(f"{name} {value:.1f} s" for name, value in zip(names, seconds, strict=True))
    return f"Through the mark: {each}; all lines added up, {sum(seconds):.1f} s."


def risk_figure(found: Chances) -> tuple[str, str]:
    """The chance that any line touches bottom: percent, and give or take."""
    drops, chance = len(found.clearance), found.any_touch
    if not np.any(found.correlation):
        return f"{100 * chance:.0f}", "nothing is in doubt"
    if chance in (0.0, 1.0):
        # what is rarer than one of the draws they cannot tell
        rare = math.ceil(100 / drops)
        figure = f"<{rare:.0f}" if chance == 0.0 else f">{100 - rare:.0f}"
        return figure, f"{'none' if chance == 0.0 else 'all'} of {drops} drops"
    return f"{100 * chance:.0f}", f"give or take {100 * found.any_touch_error:.0f}"


def _stretch(near: float, far: float, unit: Unit) -> str:
    """Where along the way, ``near`` to ``far`` m past the mark's place."""
    a, b = round(unit.from_si(near)), round(unit.from_si(far))
    if b <= 0:
        span = f"{-b}" if a == b else f"{-b} to {-a}"
        return f"{span} {unit.symbol} short of it"
    if a >= 0:
        span = f"{a}" if a == b else f"{a} to {b}"
        return f"{span} {unit.symbol} past it"
    return f"between {-a} {unit.symbol} short of it and {b} {unit.symbol} past it"


def tidy(value: float) -> str:
    """Seconds to a tenth, whole ones without it."""
    return f"{value:.1f}".removesuffix(".0")
