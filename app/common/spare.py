"""The file that is written before it takes another one's place, and those left by a crash.

A spare has a name nobody can foresee, is never opened through a link, and is locked by its
writer; so one that can be locked has lost its writer and may go.
"""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import stat
import sys
from pathlib import Path

if sys.platform != "win32":
    import fcntl

TRIES = 20
"""Names tried before giving up; a second one is hardly ever needed."""

_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL
_APART = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)

_MARK = r"[0-9a-f]{16}\.new"
_FORMER = r"\d{1,10}\.new"
"""How a name ends: now, and as earlier versions wrote it (a process number)."""


def new_spare(target: Path) -> tuple[int, Path]:
    """A file of our own beside ``target``, open to be written, and its name. Raises OSError."""
    for _ in range(TRIES):
        path = target.with_name(f"{_head(target)}{secrets.token_hex(8)}.new")
        try:
            handle = os.open(path, _NEW | _APART, 0o666)
        except FileExistsError:
            continue
        if _locked(handle) and (sys.platform == "win32" or os.fstat(handle).st_nlink):
            return handle, path
        # it was swept away in the very moment between making and locking it
        os.close(handle)
        path.unlink(missing_ok=True)
    raise FileExistsError(f"no spare file beside {target}")


def sweep(target: Path) -> None:
    """Remove what writers of ``target`` that are no more left beside it."""
    _sweep(target.parent, re.escape(_head(target)) + _MARK)


def sweep_folder(folder: Path) -> None:
    """Remove every spare that lost its writer from one of the program's own folders."""
    _sweep(folder, rf"\..+\.(?:{_MARK}|{_FORMER})")


def _head(target: Path) -> str:
    return f".{target.name[:100]}."


def _sweep(folder: Path, pattern: str) -> None:
    try:
        names = [name for name in os.listdir(folder) if re.fullmatch(pattern, name)]
    except OSError:
        return
    for name in names:
        with contextlib.suppress(OSError):
            _remove_if_left(folder / name)


def _remove_if_left(path: Path) -> None:
    if not stat.S_ISREG(path.lstat().st_mode):
        return
    if sys.platform == "win32":
        # a file somebody has open is not removed there
        path.unlink()
        return
    handle = os.open(path, os.O_RDWR | _APART)
    try:
        if _locked(handle):
            path.unlink()
    finally:
        os.close(handle)


def _locked(handle: int) -> bool:
    """Whether the open file is now ours alone; where there are no locks, it is taken to be."""
    if sys.platform != "win32":
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return True
    return True
