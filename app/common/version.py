"""Which Leadfall this is, and what it computes with."""

from __future__ import annotations

import tomllib
from pathlib import Path

from physics.line.core.library import LIBRARY


def version() -> str:
    """The version: the checkout's own when run from one, else the installed package's."""
    project = Path(__file__).resolve().parents[2] / "pyproject.toml"
    if project.is_file():
        with project.open("rb") as file:
            return str(tomllib.load(file)["project"]["version"])
    # it loads all that reads mail
    from importlib import metadata

    return metadata.version("leadfall")


def stepper() -> str:
    """What steps the lines here: the compiled core, or numpy, which is slower."""
    return "numpy stepper" if LIBRARY is None else "compiled stepper"
