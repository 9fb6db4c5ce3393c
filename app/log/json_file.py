"""Entries as JSON, every one back as it was; keys carry their SI units."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from app.common.bad_input import BadInput
from app.log.entry import EARLIEST, SAID_ALWAYS, Entry, LineEntry, Said, check, in_utc
from physics.checks import InvalidValue
from physics.progress import ProgressCallback, report_progress

FORMAT = 1
"""Version of the file."""

SOME = 200
"""Progress is told after so many entries."""

ALLOWED = "a log as JSON, as Leadfall writes it"

ENTRY_KEYS = {
    "id": "id", "at": "at", "rehearsal": "rehearsal", "wait": "wait_s", "hold": "hold_s",
    "lasted": "lasted_s", "speed": "speed_m_s", "heading": "heading_rad", "side": "side",
    "tide": "tide", "stage": "stage", "part": "part", "wind_speed": "wind_speed_m_s",
    "wind_from": "wind_from_rad", "place": "place_deg", "light": "light", "note": "note",
    "tags": "tags", "setup": "setup", "lines": "lines", "changed": "changed",
}  # fmt: skip
LINE_KEYS = {
    "rod": "rod", "lure": "lure", "out": "out_m", "outcome": "outcome", "after": "after_s",
    "landed": "landed", "fish": "fish", "fouled": "fouled", "weed": "weed",
    "touched": "touched_bottom", "said": "model",
}  # fmt: skip
SAID_KEYS = {
    "depth": "depth_m", "off_bottom": "off_bottom_m", "speed": "speed_m_s", "phase": "phase",
    "least_off": "least_off_bottom_m", "fell": "fell_s", "lifted": "lifted_s", "ran": "ran_s",
    "version": "version", "tackle": "tackle", "lift_off_bottom": "off_bottom_at_lift_m",
    "lift_speed": "speed_at_lift_m_s",
}  # fmt: skip
"""Attributes and their keys in a file."""

_FLOATS = {
    "wait", "hold", "lasted", "speed", "heading", "wind_speed", "wind_from", "out", "after",
    "depth", "off_bottom", "least_off", "fell", "lifted", "ran", "lift_off_bottom", "lift_speed",
}  # fmt: skip
_YES_OR_NO = {"rehearsal", "fouled", "weed", "touched"}


def dumps(entries: Iterable[Entry]) -> str:
    """Entries as a JSON text, one a line."""
    rows = ",\n".join(json.dumps(table_of(entry), ensure_ascii=False) for entry in entries)
    return f'{{"leadfall_log": {FORMAT}, "entries": [\n{rows}\n]}}\n'


def table_of(entry: Entry) -> dict[str, Any]:
    """An entry as a JSON object; what is not known is left out."""
    out = _plain(entry, ENTRY_KEYS)
    out["at"], out["changed"] = entry.at.isoformat(), entry.changed.isoformat()
    out["lines"] = []
    for line in entry.lines:
        row = _plain(line, LINE_KEYS)
        if line.said is not None:
            row["model"] = _plain(line.said, SAID_KEYS)
        out["lines"].append(row)
    return out


def _plain(owner: Any, keys: Mapping[str, str]) -> dict[str, Any]:
    values = ((key, getattr(owner, name)) for name, key in keys.items())
    return {key: value for key, value in values if value is not None}


def loads(
    text: str, name: str, now: datetime, progress: ProgressCallback | None = None
) -> list[Entry]:
    """The entries of a JSON text; ``name`` is what messages call it. Raises BadInput and
    Cancelled."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadInput(name, "", None, ALLOWED, "is not JSON") from error
    if not isinstance(found, dict) or not isinstance(found.get("entries"), list):
        raise BadInput(name, "", None, ALLOWED, "holds no entries")
    if found.get("leadfall_log") != FORMAT:
        problem = "was written by a newer Leadfall, or is no log"
        raise BadInput(name, "leadfall_log", found.get("leadfall_log"), str(FORMAT), problem)
    out = []
    for number, table in enumerate(found["entries"], 1):
        out.append(entry_of(table, f"{name}, entry {number}", now))
        if number % SOME == 0:
            report_progress(progress, number / len(found["entries"]))
    return out


def entry_of(table: Any, name: str, now: datetime) -> Entry:
    """The entry of a JSON object. Raises BadInput."""
    own = _read(table, ENTRY_KEYS, name)
    if "id" not in own or "at" not in own:
        raise BadInput(name, "", None, "an entry with its id and time", "has no id or no time")
    lines = []
    for number, row in enumerate(own.get("lines", ()), 1):
        where = f"{name}, line {number}"
        line = _read(row, LINE_KEYS, where)
        if "rod" not in line:
            raise BadInput(where, "rod", None, "the name of a rod", "is missing")
        if "said" in line:
            said = _read(line["said"], SAID_KEYS, where)
            if not set(said) >= SAID_ALWAYS:
                raise BadInput(where, "model", None, "all that the model said", "is not whole")
            line["said"] = Said(**said)
        lines.append(LineEntry(**line))
    own["lines"] = tuple(lines)
    own.setdefault("changed", EARLIEST)
    entry = Entry(**own)
    try:
        check(entry, now)
    except InvalidValue as error:
        raise BadInput(name, error.field, error.value, error.allowed) from error
    return entry


def _read(table: Any, keys: Mapping[str, str], where: str) -> dict[str, Any]:
    if not isinstance(table, dict):
        raise BadInput(where, "", table, "a JSON object")
    if strange := sorted(set(table) - set(keys.values())):
        raise BadInput(where, str(strange[0]), None, ", ".join(keys.values()), "is not known")
    return {
        name: _value(name, table[key], where, key)
        for name, key in keys.items()
        if table.get(key) is not None
    }


def _value(name: str, value: Any, where: str, key: str) -> Any:
    """A value of the kind its attribute is of. Raises BadInput."""
    if name in _FLOATS:
        return _float(value, where, key)
    if name in _YES_OR_NO or name == "landed":
        return _of(value, bool, where, key, "true or false", truth=True)
    if name in ("at", "changed"):
        return _time(value, where, key, utc=name == "changed")
    if name == "place":
        if not isinstance(value, list) or len(value) != 2:
            raise BadInput(where, key, value, "latitude and longitude in degrees")
        return tuple(_float(each, where, key) for each in value)
    if name == "tags":
        tags = _of(value, list, where, key, "a list of texts")
        return tuple(_of(tag, str, where, key, "a text") for tag in tags)
    if name == "lines":
        return _of(value, list, where, key, "a list of lines")
    if name == "said":
        return value
    return _of(value, str, where, key, "a text")


def _float(value: Any, where: str, key: str) -> float:
    allowed = "a number"
    try:
        return float(_of(value, (int, float), where, key, allowed))
    except OverflowError as error:
        raise BadInput(where, key, value, allowed, "is too large") from error


def _of(value: Any, kind: Any, where: str, key: str, allowed: str, *, truth: bool = False) -> Any:
    if not isinstance(value, kind) or isinstance(value, bool) is not truth:
        raise BadInput(where, key, value, allowed)
    return value


def _time(value: Any, where: str, key: str, *, utc: bool) -> datetime:
    allowed = "a time with its offset from UTC, as 2024-05-01T06:30:00-04:00"
    try:
        at = datetime.fromisoformat(_of(value, str, where, key, allowed))
    except ValueError as error:
        raise BadInput(where, key, value, allowed) from error
    if at.tzinfo is None:
        raise BadInput(where, key, value, allowed, "says no offset from UTC")
    try:
        return in_utc(at) if utc else at
    except ValueError as error:
        raise BadInput(where, key, value, allowed, str(error)) from error
