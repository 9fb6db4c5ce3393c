"""A run as text: CSV, JSON, and a table in the trade's units."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence
from typing import Any

from app.common import csv_text, units
from app.common.units import Unit
from app.scenario.json_keys import FORMAT, keyed
from app.scenario.order_words import OrderUnits, sentence
from app.shell.report import RodReport
from physics.simulation.events import Event
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import Sampled

COLUMNS = (
    ("depth_m", "depth"),
    ("astern_m", "astern"),
    ("height_m", "height"),
    ("tension_n", "tension"),
)
"""What follows each rod's name in a CSV heading, and where it is in a Sampled."""


def as_csv(sampled: Sampled, rods: Sequence[str]) -> str:
    """One row per sample, SI: time, boat speed, gear, then four columns a rod."""
    names = [f"{rod}.{column}" for rod in rods for column, _ in COLUMNS]
    rows = [["time_s", "boat_speed_mps", "gear", *names]]
    columns = [getattr(sampled, attribute)[k] for k in range(len(rods)) for _, attribute in COLUMNS]
    for i, time in enumerate(sampled.time):
        row = [f"{time:.10g}", f"{sampled.boat_speed[i]:.6f}"]
        row.append("in" if sampled.in_gear[i] else "out")
        row += [f"{column[i]:.6f}" for column in columns]
        rows.append(row)
    return csv_text.as_csv(rows)


def as_json(
    sampled: Sampled,
    scenario: Scenario,
    events: Sequence[Event],
    reports: Sequence[RodReport],
    version: str,
) -> str:
    """Everything about a run in SI: inputs used, events, running depths, sampled arrays."""
    rods = {
        rod.name: {column: getattr(sampled, name)[k].tolist() for column, name in COLUMNS}
        for k, rod in enumerate(scenario.rods)
    }
    whole: dict[str, Any] = {
        "leadfall": version,
        "format": FORMAT,
        "inputs": keyed(scenario),
        "running_depth_m": {report.name: report.run_depth for report in reports},
        "events": keyed(events),
        "time_s": sampled.time.tolist(),
        "boat_speed_mps": sampled.boat_speed.tolist(),
        "gear": ["in" if engaged else "out" for engaged in sampled.in_gear],
        "rods": rods,
    }
    return json.dumps(whole, allow_nan=False, ensure_ascii=False) + "\n"


HEADINGS = (
    ("running", "ft deep"),
    ("deepest", "ft deep"),
    ("at", "s"),
    ("sank on", "s in gear"),
    ("least off", "bottom ft"),
    ("above the", "mark ft"),
    ("towing", "pull lb"),
)

WIDTH = 11
"""Of a column, characters."""

LONGEST = 88
"""A line of orders longer than this is folded, characters."""


def as_table(
    scenario: Scenario, events: Sequence[Event], reports: Sequence[RodReport], speed: Unit
) -> str:
    """A run for a person: the helm, what was ordered, with speeds in a unit, then a row a rod."""
    lines = [scenario.name, _helm(scenario, speed), *_orders(scenario, events, speed), ""]
    widest = max(len(report.name) for report in reports)
    lines += [
        " " * widest + "".join(f"{heading[part]:>{WIDTH}}" for heading in HEADINGS)
        for part in (0, 1)
    ]
    lines += [report.name.ljust(widest) + _row(report) for report in reports]
    touches = [event for event in events if event.kind.endswith("touches")]
    lines += [f"{event.rod}: {event.kind} bottom at {event.time:.1f} s" for event in touches]
    lines += [strength_words(event) for event in events if event.kind == "over strength"]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def strength_words(event: Event) -> str:
    """A line pulled beyond its strength, in the trade's units."""
    pull, stands = (units.POUND_FORCE.text(event.values[k], 0) for k in ("tension_n", "strength_n"))
    return (
        f"{event.rod}: the {event.section} would part at {event.time:.1f} s: "
        f"it is pulled by up to {pull} and stands {stands}"
    )


def _helm(scenario: Scenario, speed: Unit) -> str:
    bottom = scenario.water.bottom
    shallow, deep = units.feet(bottom.shallowest), units.feet(bottom.deepest)
    ground = f"{deep:.0f} ft" if bottom.is_level else f"{shallow:.0f} to {deep:.0f} ft"
    other = units.MILE_PER_HOUR if speed is units.KNOT else units.KNOT
    text = f"{speed.text(scenario.speed)} ({other.text(scenario.speed)}) over a bottom of {ground}"
    if scenario.mark is not None:
        mark = scenario.mark
        text += f"; mark at {units.feet(mark.depth):.0f} ft under the sounder at {mark.time:.1f} s"
    return text


def _orders(scenario: Scenario, events: Sequence[Event], speed: Unit) -> list[str]:
    """What the helm and then each line is told within the run, one after the other."""
    gear = ("out of gear", "in gear")
    told = [(event.time, event.kind) for event in events if event.kind in gear]
    trade = OrderUnits(speed=speed)
    told += [(o.time, sentence(o, trade)) for o in scenario.orders if o.action not in gear]
    lines = _told(told, scenario.duration, "")
    for rod in scenario.rods:
        mine = [(o.time, sentence(o, trade)) for o in scenario.line_orders if o.rod == rod.name]
        lines += _told(mine, scenario.duration, f"{rod.name}: ")
    return lines


def _told(told: list[tuple[float, str]], end: float, who: str) -> list[str]:
    """``who`` is told what when, folded where it is long."""
    words = [f"{what} at {time:.1f} s" for time, what in sorted(told, key=_first) if time <= end]
    # folded between orders, not within one
    text = ", ".join(word.replace(" ", "\u00a0") for word in words)
    folded = textwrap.wrap(text, LONGEST - len(who))
    return [
        (who if not number else "  ") + line.replace("\u00a0", " ")
        for number, line in enumerate(folded)
    ]


def _first(told: tuple[float, str]) -> float:
    return told[0]


def _row(report: RodReport) -> str:
    cells = (
        units.feet(report.run_depth),
        units.feet(report.deepest),
        report.deepest_time,
        report.after_in_gear,
        units.feet(report.least_height),
        None if report.above_mark is None else units.feet(report.above_mark),
        units.pounds(report.pull),
    )
    return "".join(f"{'-' if cell is None else f'{cell:.1f}':>{WIDTH}}" for cell in cells)
