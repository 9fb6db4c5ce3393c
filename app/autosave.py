"""Unsaved changes put by in the user's folder, so that nothing is lost in a crash.

Depends on: scenario_file, resources.
"""

from __future__ import annotations

import contextlib
from pathlib import Path

from app import scenario_file
from app.bad_input import BadInput
from app.catalog import Catalog
from app.resources import user_folder
from app.setup import Setup


def _file() -> Path:
    return user_folder() / "unsaved.toml"


def keep(setup: Setup, path: Path | None) -> None:
    """Put a setup by, with the file it belongs to. Raises BadInput."""
    target = _file()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.with_suffix(".path").write_text(str(path) if path else "", encoding="utf-8")
    except OSError as error:
        raise BadInput(str(target), "", None, "a folder that can be written", str(error)) from error
    scenario_file.save(setup, target)


def kept(catalog: Catalog) -> tuple[Setup, Path | None] | None:
    """The setup put by last time and its file; None if there is none or it is damaged."""
    target = _file()
    if not target.is_file():
        return None
    try:
        setup = scenario_file.load(target, catalog)
        name = target.with_suffix(".path").read_text(encoding="utf-8").strip()
    except (BadInput, OSError, UnicodeDecodeError):
        # set aside, not lost: a person may still read it
        with contextlib.suppress(OSError):
            target.replace(target.with_suffix(".damaged.toml"))
        return None
    return setup, Path(name) if name else None


def forget() -> None:
    """There is nothing unsaved any more."""
    for path in (_file(), _file().with_suffix(".path")):
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)
