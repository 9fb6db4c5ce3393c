"""Which Leadfall this is."""

from __future__ import annotations

import tomllib
from importlib import metadata
from pathlib import Path


def version() -> str:
    """The version: the checkout's own when run from one, else the installed package's."""
    project = Path(__file__).resolve().parents[2] / "pyproject.toml"
    if project.is_file():
        with project.open("rb") as file:
            return str(tomllib.load(file)["project"]["version"])
    return metadata.version("leadfall")
