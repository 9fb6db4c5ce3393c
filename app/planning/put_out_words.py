"""What to put out, in a mate's words: each change, what it gains, why, and what stops it."""

from __future__ import annotations

from collections.abc import Sequence

from app.common.units import COLOR, FOOT, Unit
from app.planning.put_out import PutOut
from app.planning.put_out_check import Looked
from app.planning.put_out_full import Suggestion
from app.planning.put_out_limits import Limit
from app.planning.unison_words import TOGETHER
from app.planning.words import added_up, lifts_words, of_drops, tidy
from app.scenario.setup import RodSetup, Setup

TITLES = {
    "best": "The longest window",
    "speed": "At the speed of now",
    "lines": "With the lines as they are",
    "tackle": "With the lures and leaders of now",
    "one": "One line changed",
    "other": "At another speed",
    "free": "The longest window, were all numbers exact",
}

GIVEN_UP = {
    "unison": "the lures lift less nearly at once than you asked",
    "together": "the lures do not lift together",
    "hold": "another hold",
    "wait": "another wait",
    "speed": "slower or faster than you allowed",
    "line": "more line than you allowed",
    "touch": "a line touches more often than you allow",
    "cross": "lines cross",
}
"""What the nearest thing is called by the wishes that it does not keep."""

LESS = 0.25
"""Seconds of window, and of unison, that are worth a word."""


def title(one: Suggestion) -> str:
    """What a suggestion is called."""
    if one.gives_up:
        return "The nearest thing, but " + "; ".join(GIVEN_UP[wish] for wish in one.gives_up)
    return TITLES[one.kind]


def changes(before: Setup, after: Setup) -> list[str]:
    """What there is to do, one thing a line; nothing where all stays."""
    out = []
    if abs(after.speed - before.speed) > 1e-6:
        unit = before.speed_unit
        out.append(f"{_tidy(after.speed, unit, 2)} instead of {_tidy(before.speed, unit, 2)}")
    for old, new in zip(before.rods, after.rods, strict=True):
        parts = _rod_changes(old, new)
        if parts:
            out.append(f"{old.name}: {', '.join(parts)}")
    return out


def _rod_changes(old: RodSetup, new: RodSetup) -> list[str]:
    parts = []
    if abs(new.line_out - old.line_out) > 1e-6:
        parts.append(f"{colors(new.line_out)} colors instead of {colors(old.line_out)}")
    if new.lure != old.lure:
        was = old.lure if isinstance(old.lure, str) else old.lure.name
        parts.append(f"{new.lure} instead of {was}")
    if new.leader != old.leader:
        parts.append(f"{new.leader} instead of {old.leader}")
    return parts


def todo(one: Looked) -> str:
    """What to do at the mark."""
    wait = "Out of gear on the mark" if one.wait == 0.0 else f"Wait {tidy(one.wait)} s"
    return f"{wait}, hold {tidy(one.hold)} s"


def gains(before: Looked, after: Looked, unit: Unit = FOOT) -> list[str]:
    """What a change brings and what it costs, each against now."""
    out = [f"{_capital(lifts_words(after.each_line))}; now {lifts_words(before.each_line)}."]
    if len(after.each_line) > 1:
        out.append(f"{_apart(after)}; now {_apart(before, short=True)}.")
    near = f"The lowest line stays {unit.text(after.clearance)} off bottom"
    out.append(f"{near}; now {unit.text(max(before.clearance, 0.0))}.")
    return out


def _apart(one: Looked, short: bool = False) -> str:
    """How nearly at once the lures lift."""
    lifting = sum(1 for x in one.unison.moments if x == x)
    if one.unison.apart is None or lifting < len(one.each_line):
        comes = "comes" if lifting == 1 else "come"
        only = f"only {lifting} of {len(one.each_line)} {comes}" if lifting else "none comes"
        text = f"{only} up through the mark's depths"
        return text if short else _capital(text)
    if one.unison.apart < TOGETHER:
        return "together" if short else "They lift together"
    text = f"within {one.unison.apart:.1f} s of each other"
    return text if short else f"They lift {text}"


def sure_words(before: Looked, after: Looked) -> str:
    """What to expect over all drops; empty where nothing is in doubt."""
    if after.chances is None or not after.chances.correlation.any():
        return ""
    then, now = after.chances, before.chances
    text = (
        f"On average {then.expected:.1f} s of window a drop{added_up(len(after.each_line))}, none "
        "in one that touches"
    )
    text += "" if now is None else f"; now {now.expected:.1f} s"
    text += f". A line touches bottom in {of_drops(then.any_touch)}"
    error = 100 * then.any_touch_error
    if error >= 0.5:
        text += f", give or take {error:.0f}"
    return text + (f"; now {100 * now.any_touch:.0f}." if now is not None else ".")


def reasons(before: Looked, after: Looked) -> str:
    """Why it is better, out of what the runs gave."""
    out = []
    names = [rod.name for rod in after.setup.rods]
    woken = [
        name
        for name, was, now in zip(names, before.each_line, after.each_line, strict=True)
        if was <= 0.0 < now
    ]
    if woken and len(woken) < len(names):
        does = "does" if len(woken) == 1 else "do"
        out.append(f"{_listed(woken)} did not lift through the mark before, and now {does}")
    elif woken:
        who = "no lure lifted" if len(names) > 1 else "the lure did not lift"
        out.append(f"{who} through the mark before")
    elif sum(after.each_line) > sum(before.each_line) + LESS:
        out.append("the lures are longer on their way up through the mark's depths")
    was, now = before.unison.apart, after.unison.apart
    if len(names) > 1 and was is not None and now is not None and was > now + LESS:
        out.append("the lines turn up more nearly at once and run and fall more alike")
    if before.touches_too_often and not after.touches_too_often:
        out.append("no line touches bottom more often than you allow")
    elif before.clearance + 0.15 < after.clearance:
        out.append("the lowest line keeps farther off bottom")
    if before.crossing is not None and after.crossing is None:
        out.append("no lines cross")
    deeper = after.depth[:, 0].mean() > before.depth[:, 0].mean() + 0.15
    slower = after.setup.speed < before.setup.speed - 1e-6
    if slower and deeper and after.hold < before.hold - 0.5:
        out.append("slower, they hang deeper before the drop and need less hold")
    if not out:
        as_well = (
            "it does as well, and keeps" if after.expected >= before.expected - LESS else "it keeps"
        )
        out.append(f"{as_well} what you asked for")
    return "Why: " + "; ".join(out) + "."


def limits_words(found: PutOut, unit: Unit = FOOT) -> list[str]:
    """What stops it; one sentence for all lines that one limit stops."""
    every = found.limits
    return [
        _limit_words([one for one in every if one.what == what], found, unit)
        for what in dict.fromkeys(limit.what for limit in every)
    ]


def _limit_words(limits: Sequence[Limit], found: PutOut, unit: Unit) -> str:
    request, what = found.request, limits[0].what
    one = len(limits) == 1
    names, by = _listed([limit.rod for limit in limits]), sorted(limit.by for limit in limits)
    speed_unit = request.setup.speed_unit
    speeds = request.speeds or (request.setup.speed, request.setup.speed)
    low, high = (_tidy(x, speed_unit, 2) for x in speeds)
    at = f"at {low}" if low == high else f"at {low} to {high}"
    at += "" if request.hold is None else f" with a hold of {tidy(request.hold)} s"
    off = unit.text(request.setup.timing.clearance)
    span = unit.text(by[0]) if one else f"{unit.from_si(by[0]):.1f} to {unit.text(by[-1])}"
    if what == "ground":
        comes, it = ("comes", "it lifts") if one else ("come", "they lift")
        left = unit.text(max(by[0], 0.0))
        return (
            f"Whatever is out, {names} {comes} nearer bottom than {off} before {it} through the "
            f"mark {at}: at best {left} are left."
        )
    if what == "shallow":
        stays = "stays" if one else "stay"
        return f"The mark is too deep for the line allowed {at}: {names} {stays} {span} above it."
    if what == "aside":
        passes, side = ("passes" if one else "pass"), limits[0].side
        middle = unit.text(0.5 * (by[0] + by[-1]), 0)
        return (
            f"Whatever is out, {names} {passes} {span} to {side} of the mark. Leave the mark "
            f"about {middle} to {side} of the boat."
        )
    if what == "place":
        comes = "comes" if one else "come"
        return (
            f"Whatever is out, {names} {comes} up through the mark's depths {at}, but never near "
            "its place."
        )
    if what == "lift":
        return f"Whatever is out, {names} never {'lifts' if one else 'lift'} through the mark {at}."
    if what == "together":
        return f"Each line could do it by itself {at}, but not all at one speed, wait and hold."
    if what == "unison":
        return (
            f"The lures could lift through the mark {at}, but not all of them within "
            f"{request.unison or 0.0:g} s of each other."
        )
    if what == "touch":
        most = of_drops(request.setup.timing.touch_chance, 1)
        return f"What keeps every other wish {at} touches bottom in more than {most}."
    return f"What lifts longest {at} has lines that cross."


def crossing_words(one: Looked) -> str:
    """Which lines cross and when; empty where none do."""
    if one.crossing is None:
        return ""
    names = [rod.name for rod in one.setup.rods]
    a, b = names[one.crossing.first], names[one.crossing.second]
    return _capital(f"{one.crossing.when} {a} and {b} cross.")


def verdict(found: PutOut) -> str:
    """The whole in one sentence."""
    if found.suggestions:
        best = found.suggestions[0].looked
        return f"{_capital(todo(best))}: {lifts_words(best.each_line)}."
    if found.nearest is not None:
        return "Nothing keeps every wish. The nearest thing that can be done is below."
    if found.limits or not found.kept:
        return "Nothing does it, with all that may change here."
    return "What is out now is as good as anything that was tried and keeps every wish."


def as_page(found: PutOut, unit: Unit = FOOT) -> str:
    """The answer for a person."""
    before, setup = found.before, found.request.setup
    lines = [setup.name, _asked(found, unit), "", verdict(found), ""]
    lines += limits_words(found, unit)
    if found.limits:
        lines.append("")
    every = found.suggestions or (() if found.nearest is None else (found.nearest,))
    for number, one in enumerate(every, 1):
        after = one.looked
        lines.append(f"{number}. {title(one)}: {todo(after)}")
        lines += [f"   {text}" for text in changes(setup, after.setup) or ["nothing changes"]]
        said = [*gains(before, after, unit), reasons(before, after), sure_words(before, after)]
        said.append(crossing_words(after))
        lines += [f"   {text}" for text in said if text]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _asked(found: PutOut, unit: Unit) -> str:
    request, before = found.request, found.before
    text = f"mark at {unit.text(before.mark_depth, 0)}, bottom at {unit.text(before.bottom, 0)}"
    if request.hold is not None:
        text += f"; hold {tidy(request.hold)} s"
    if request.wait is not None:
        text += f"; wait {tidy(request.wait)} s"
    if request.unison is not None and len(request.setup.rods) > 1:
        text += f"; all lures within {request.unison:g} s of each other"
    return _capital(text)


def colors(length: float) -> str:
    """A length of line in colors: ``6.5``."""
    return f"{COLOR.from_si(length):.2f}".rstrip("0").rstrip(".")


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + f" and {names[-1]}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _tidy(value: float, unit: Unit, digits: int) -> str:
    number = f"{unit.from_si(value):.{digits}f}".rstrip("0").rstrip(".")
    return f"{number} {unit.symbol}"
