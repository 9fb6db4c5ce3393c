"""Unsaved changes put by in the user's folder, so that nothing is lost in a crash.

Depends on: scenario_file, files, resources; catalog, setup.
"""

from __future__ import annotations

import contextlib
from pathlib import Path

from app import scenario_file
from app.catalog import Catalog
from app.files import is_there, make_folder, read_text, write_safely
from app.resources import user_folder
from app.setup import Setup


def place() -> Path:
    """Where unsaved changes are put by; the file may not exist."""
    return user_folder() / "unsaved.toml"


def keep(setup: Setup, path: Path | None) -> None:
    """Put a setup by, with the file it belongs to. Raises BadInput."""
    target = place()
    make_folder(target.parent)
    write_safely(target.with_suffix(".path"), str(path) if path else "")
    scenario_file.save(setup, target)


def kept(catalog: Catalog) -> tuple[Setup, Path | None] | None:
    """The setup put by last time and its file; None if there is none. Raises BadInput."""
    target = place()
    if not is_there(target):
        return None
    setup = scenario_file.load(target, catalog)
    beside = target.with_suffix(".path")
    name = read_text(beside, "text").strip() if is_there(beside) else ""
    return setup, Path(name) if name else None


def forget() -> None:
    """There is nothing unsaved any more."""
    for path in (place(), place().with_suffix(".path")):
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)
