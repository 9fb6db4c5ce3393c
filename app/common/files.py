"""Read a small text file safely, write one so that a crash never leaves half of it, and move a
damaged one out of the way.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import shutil
import tomllib
from contextlib import suppress
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from app.common.bad_input import BadInput
from app.common.spare import new_spare, sweep
from app.common.tables import parse_with_long_lists
from app.common.toml_bounds import beyond_bounds

LARGEST_FILE = 2_000_000
"""Bytes; a scenario or tackle file is a few thousand."""

MOST_SPARES = 999
"""Damaged files of one name kept beside each other."""

WRITABLE = "a file in a folder you can write to"

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


def exists(path: Path) -> bool:
    """Whether anything has that name. Raises OSError where that cannot be told.

    ``Path.exists`` says no there from Python 3.14 on: what cannot be looked at would be taken
    for what is not there, and written over.
    """
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return False
    except OSError as error:
        if error.errno == errno.ELOOP:
            return False
        raise
    return True


def is_there(path: Path) -> bool:
    """Whether anything has that name. Raises BadInput where that cannot be told."""
    try:
        return exists(path)
    except OSError as error:
        problem = f"cannot be reached ({error.strerror or 'unknown reason'})"
        raise BadInput(str(path), "", None, "a file in a folder you can read", problem) from error


def read_bytes(path: Path, allowed: str) -> bytes:
    """All of a small ordinary file; ``allowed`` says what may be given. Raises BadInput."""
    name = str(path)
    try:
        if path.is_dir():
            raise BadInput(name, "", None, allowed, "is a folder")
        if not exists(path):
            raise BadInput(name, "", None, allowed, "there is no such file")
        if not path.is_file():
            raise BadInput(name, "", None, allowed, "is not an ordinary file")
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as error:
        problem = f"cannot be read ({error.strerror or 'unknown reason'})"
        raise BadInput(name, "", None, allowed, problem) from error
    except ValueError as error:
        raise BadInput(name, "", None, allowed, "is not a file name") from error
    if len(data) > LARGEST_FILE:
        raise BadInput(name, "", None, allowed, "is too large")
    return data


def read_text(path: Path, kind: str = "TOML") -> str:
    """The text of a small UTF-8 file; ``kind`` is what to call it. Raises BadInput."""
    allowed = f"a UTF-8 {kind} file of at most 2 MB"
    name, data = str(path), read_bytes(path, allowed)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        problem = f"line {line} is not UTF-8 text"
        raise BadInput(name, "", None, allowed, problem) from error


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text. Raises BadInput with line and column."""
    if problem := beyond_bounds(text):
        raise BadInput(name, "", None, "a TOML file of the usual shape", problem)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = _PLACE.search(message)
        if place and place[1]:
            line, column = int(place[1]), int(place[2])
        else:
            rows = text.splitlines() or [""]
            line, column = len(rows), len(rows[-1]) + 1
        reason = _PLACE.sub("", message)
        problem = f"line {line}, column {column} is not TOML ({reason})"
        raise BadInput(name, "", None, "a TOML file", problem) from error
    except (ValueError, OverflowError, RecursionError) as error:
        raise BadInput(
            name, "", None, "a TOML file", "has a number or date out of reach"
        ) from error


def parse_document(text: str, name: str) -> tomlkit.TOMLDocument:
    """A TOML text to edit with its comments kept. Raises BadInput."""
    parse_toml(text, name)
    try:
        return parse_with_long_lists(text)
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise BadInput(
            name, "", None, "a TOML file", "cannot be edited as it is written"
        ) from error


def make_folder(path: Path) -> None:
    """Make a folder, with all above it, unless it is there; its name is on the disk when this
    returns. Raises BadInput."""
    try:
        new = [folder for folder in (path, *path.parents) if not folder.exists()]
        path.mkdir(parents=True, exist_ok=True)
        for folder in new:
            _settle(folder.parent)
    except OSError as error:
        problem = f"cannot be made ({error.strerror or 'unknown reason'})"
        raise BadInput(str(path), "", None, "a folder that can be written", problem) from error


def set_aside(path: Path, suffix: str | None = None, word: str = "damaged") -> Path | None:
    """Move a damaged file to a name of its own beside it, never over another one.

    The name says ``word``; it keeps its suffix unless another is given. The new place, or
    None if it could not be moved.
    """
    ending = path.suffix if suffix is None else suffix
    try:
        for number in range(1, MOST_SPARES + 1):
            tail = "" if number == 1 else f"-{number}"
            aside = path.with_name(f"{path.stem}.{word}{tail}{ending}")
            if not exists(aside):
                return path.rename(aside)
    except OSError:
        pass
    return None


def aside_in_words(aside: Path | None) -> str:
    """What ``set_aside`` came to, for the end of a message; the caller then writes or does not."""
    if aside is None:
        return "It could not be moved; to spare it, changes are not kept."
    return f"It is kept as {aside.name}, untouched, and a new one is begun."


def write_safely(path: Path, data: str | bytes) -> None:
    """Write a file whole or not at all, text as UTF-8.

    It goes to a new file in the same folder, which then takes the old
    one's place; both are on the disk when this returns. A device or pipe is
    written to directly. Raises BadInput when the place cannot be written.
    """
    raw = data.encode() if isinstance(data, str) else data
    try:
        target = _target(path)
        if path.parent == Path("/dev") or (target.exists() and not target.is_file()):
            with path.open("ab") as file:
                file.write(raw)
            return
        sweep(target)
        handle, spare = new_spare(target)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(raw)
                file.flush()
                os.fsync(file.fileno())
                if target.exists():
                    shutil.copymode(target, spare)
                if os.name != "nt":
                    # still locked, so that nobody takes it for one left behind
                    spare.replace(target)
            if os.name == "nt":
                spare.replace(target)
        finally:
            spare.unlink(missing_ok=True)
        _settle(target.parent)
    except OSError as error:
        problem = f"cannot be written ({error.strerror or 'unknown reason'})"
        raise BadInput(str(path), "", None, WRITABLE, problem) from error
    except ValueError as error:
        raise BadInput(str(path), "", None, WRITABLE, "is not a file name") from error


def _settle(folder: Path) -> None:
    """Have the disk know the names in a folder, where the system lets one ask for that."""
    if os.name == "nt":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


Identity = tuple[int, int] | None
"""Which file it is, whatever its name; None where there is none."""


def identity(path: Path) -> Identity:
    """Which file is there by now."""
    with suppress(OSError):
        stat = path.stat()
        return stat.st_dev, stat.st_ino
    return None


def fingerprint(path: Path) -> str | None:
    """What tells whether a file's content is the same as before; None where there is none."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return None


def check_place(path: Path) -> None:
    """Raise BadInput if a file cannot be written there, before the work that is to fill it."""
    try:
        folder = _target(path).parent
        if not folder.is_dir():
            raise BadInput(str(path), "", None, WRITABLE, "cannot be written (no such folder)")
        if not exists(path) and not os.access(folder, os.W_OK):
            raise BadInput(str(path), "", None, WRITABLE, "is in a write-protected folder")
    except (OSError, ValueError) as error:
        raise BadInput(str(path), "", None, WRITABLE, "is not a file name") from error


def _target(path: Path) -> Path:
    """The file a path leads to, if it may be written as far as it can be told."""
    target = path.resolve()
    if target.is_dir():
        raise BadInput(str(path), "", None, WRITABLE, "is a folder")
    if target.exists() and not os.access(target, os.W_OK):
        raise BadInput(str(path), "", None, WRITABLE, "is write-protected")
    return target
