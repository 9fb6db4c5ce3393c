"""Entries from a file and into one, by the ending of its name."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import is_there, write_safely
from app.log import csv_rows, json_file
from app.log.entry import Entry
from physics.progress import ProgressCallback

LARGEST = 500_000_000
"""Bytes; a hundred thousand entries are some hundred million."""

ALLOWED = "a log as CSV or JSON in UTF-8"


def is_ours(text: str) -> bool:
    """Whether a text is a log as Leadfall writes it, and not somebody else's table."""
    return _is_json(text) or csv_rows.is_ours(text)


def _is_json(text: str) -> bool:
    return text.lstrip("\ufeff \t\r\n").startswith("{")


def read_entries(path: Path, now: datetime) -> list[Entry]:
    """The entries of a file as Leadfall writes it. Raises BadInput."""
    return parsed(read_log(path), str(path), now)


def parsed(
    text: str, name: str, now: datetime, progress: ProgressCallback | None = None
) -> list[Entry]:
    """The entries of a text as Leadfall writes it. Raises BadInput and Cancelled."""
    if _is_json(text):
        return json_file.loads(text, name, now, progress)
    return csv_rows.loads(text, name, now, progress)


def read_log(path: Path) -> str:
    """The text of a log's file, line ends as they stand. Raises BadInput."""
    name = str(path)
    if not is_there(path):
        raise BadInput(name, "", None, ALLOWED, "there is no such file")
    if not path.is_file():
        raise BadInput(name, "", None, ALLOWED, "is not an ordinary file")
    try:
        if path.stat().st_size > LARGEST:
            raise BadInput(name, "", None, ALLOWED, "is too large")
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        problem = f"cannot be read ({error.strerror or 'unknown reason'})"
        raise BadInput(name, "", None, ALLOWED, problem) from error
    except UnicodeDecodeError as error:
        raise BadInput(name, "", None, ALLOWED, "is not UTF-8 text") from error


def write_entries(path: Path, entries: Iterable[Entry]) -> None:
    """Write entries as JSON where the name ends so, else as CSV. Raises BadInput."""
    file = json_file if path.suffix.lower() == ".json" else csv_rows
    write_safely(path, file.dumps(entries))
