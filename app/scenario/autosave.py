"""Unsaved changes put by in the user's folder, so that nothing is lost in a crash.

Every window has a file of its own there and holds its lock. Those whose lock nobody holds
were left by a crash; they go only when a person says so.
"""

from __future__ import annotations

import contextlib
import json
import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from filelock import BaseFileLock, Timeout

from app.common.bad_input import BadInput
from app.common.files import make_folder, read_text, set_aside, write_safely
from app.common.locks import lock_of
from app.common.resources import tackle_folder, user_folder
from app.common.spare import sweep_folder
from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.scenario.setup import Setup

HEAD = "# unsaved changes of "
"""The first line goes on with the file they belong to and its fingerprint, as JSON."""

_NAME = re.compile(r"\.?(unsaved(?:-[0-9a-f]{16})?\.toml)(?:\.lock)?$")
"""Files of unsaved changes, and their locks; earlier versions had one for all, without a number."""


@dataclass(frozen=True, slots=True)
class Kept:
    """Unsaved changes: the setup, the file they belong to (None for a demo), and the
    ``seen`` fingerprint of that file when it was read."""

    setup: Setup
    path: Path | None
    seen: str | None = None


class Unsaved:
    """One file of unsaved changes, locked while we have it; made when first needed."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or user_folder() / f"unsaved-{secrets.token_hex(8)}.toml"
        self._lock: BaseFileLock | None = None

    def claim(self) -> bool:
        """Make the file ours, unless a living window has it."""
        lock = lock_of(self.path)
        try:
            lock.acquire(timeout=0)
        except (Timeout, OSError):
            return False
        self._lock = lock
        return True

    def keep(self, setup: Setup, path: Path | None, seen: str | None = None) -> None:
        """Put a setup by, with the file it belongs to. Raises BadInput."""
        make_folder(self.path.parent)
        if self._lock is None:
            self.claim()
        about = json.dumps([str(path) if path else "", seen or ""])
        write_safely(self.path, f"{HEAD}{about}\n{scenario_file.plain_text(setup)}")

    def load(self, catalog: Catalog) -> Kept:
        """What was put by. Raises BadInput."""
        text = read_text(self.path)
        setup = scenario_file.loads(text, str(self.path), catalog)
        first = text.partition("\n")[0]
        name, seen = "", ""
        if first.startswith(HEAD):
            with contextlib.suppress(ValueError):
                name, seen = map(str, json.loads(first.removeprefix(HEAD)))
        else:
            with contextlib.suppress(BadInput):
                name = read_text(self._beside, "text").strip()
        return Kept(setup, Path(name) if name else None, seen or None)

    @property
    def _beside(self) -> Path:
        """Where earlier versions kept the name of the file the changes belong to."""
        return self.path.with_suffix(".path")

    def when(self) -> int:
        """When they were put by, seconds since the epoch."""
        try:
            return int(self.path.stat().st_mtime)
        except OSError:
            return 0

    def forget(self) -> None:
        """A person has saved these changes, or does not want them."""
        for path in (self.path, self._beside):
            with contextlib.suppress(OSError):
                path.unlink(missing_ok=True)

    def set_aside(self) -> Path | None:
        """Move what cannot be read to a name of its own; where, or None."""
        return set_aside(self.path)

    def close(self) -> None:
        """Let the file go: what is in it is for the next start."""
        if self._lock is not None:
            self._lock.release()
            if not self.path.exists():
                with contextlib.suppress(OSError):
                    Path(self._lock.lock_file).unlink(missing_ok=True)
            self._lock = None


def left_behind() -> Sequence[Unsaved]:
    """What windows that are no more left behind, newest first; they are ours from now on."""
    sweep_folder(user_folder())
    sweep_folder(tackle_folder())
    found = []
    with contextlib.suppress(OSError):
        # a lock may outlive its file, and a file of an earlier version has none
        names = {match[1] for path in user_folder().iterdir() if (match := _NAME.match(path.name))}
        for name in names:
            left = Unsaved(user_folder() / name)
            if left.claim():
                if left.path.is_file():
                    found.append(left)
                else:
                    left.close()
    return sorted(found, key=Unsaved.when, reverse=True)
