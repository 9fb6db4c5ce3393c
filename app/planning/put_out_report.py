"""What to put out as JSON, SI."""

from __future__ import annotations

import json
from typing import Any

from app.planning.put_out import PutOut
from app.planning.put_out_check import Looked
from app.planning.put_out_full import Suggestion
from app.planning.put_out_words import (
    changes,
    crossing_words,
    gains,
    limits_words,
    reasons,
    sure_words,
    title,
    verdict,
)
from app.planning.report import KEYS, plain
from app.scenario.json_keys import FORMAT, keyed


def as_json(found: PutOut, version: str) -> str:
    """Everything it says; ``null`` where there is no number."""
    request = found.request
    low, high = request.speeds or (request.setup.speed, request.setup.speed)
    whole: dict[str, Any] = {
        "leadfall": version,
        "format": FORMAT,
        "name": request.setup.name,
        "asked": {
            "speeds_mps": [low, high],
            "hold_s": request.hold,
            "wait_s": request.wait,
            "unison_s": request.unison,
            "clearance_m": request.setup.timing.clearance,
            "touch_chance": request.setup.timing.touch_chance,
        },
        "sentence": verdict(found),
        "before": _looked(found.before),
        "suggestions": [_suggested(one, found) for one in found.suggestions],
        "limits": [
            {
                "what": one.what,
                "rod": one.rod,
                "by_m": one.by if one.what in ("ground", "shallow", "aside") else None,
            }
            for one in found.limits
        ],
        "limits_words": limits_words(found),
        "nearest": None if found.nearest is None else _suggested(found.nearest, found),
    }
    return json.dumps(plain(whole), allow_nan=False, ensure_ascii=False) + "\n"


def _suggested(one: Suggestion, found: PutOut) -> dict[str, Any]:
    before, after = found.before, one.looked
    return {
        "title": title(one),
        "gives_up": list(one.gives_up),
        **_looked(after),
        "changes": changes(found.request.setup, after.setup),
        "gains": gains(before, after),
        "reason": reasons(before, after),
        "how_sure": sure_words(before, after),
        "crossing": crossing_words(after),
    }


def _looked(one: Looked) -> dict[str, Any]:
    return {
        "speed_mps": one.setup.speed,
        "wait_s": one.wait,
        "hold_s": one.hold,
        "window_s": sum(one.each_line),
        "each_line_s": list(one.each_line),
        "expected_window_s": one.expected,
        "clearance_m": one.clearance,
        "touch": None if one.chances is None else one.chances.any_touch,
        "keeps_every_wish": one.serves,
        "unison": keyed(one.unison, KEYS),
        "rods": [
            {
                "name": rod.name,
                "line_out_m": rod.line_out,
                "lure": rod.lure if isinstance(rod.lure, str) else rod.lure.name,
                "leader": rod.leader,
            }
            for rod in one.setup.rods
        ],
    }
