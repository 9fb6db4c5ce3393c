"""Where the program's own files are, and the user's."""

from __future__ import annotations

from pathlib import Path

import platformdirs


def assets_folder() -> Path:
    """The folder of shipped files: inside an installed package, or beside ``app`` in a checkout."""
    here = Path(__file__).resolve().parents[1]
    installed = here / "_assets"
    return installed if installed.is_dir() else here.parent / "assets"


def asset(path: str) -> Path:
    """One shipped file or folder, named relative to the assets folder."""
    return assets_folder() / path


def user_folder() -> Path:
    """The user's own Leadfall folder; it may not exist yet."""
    return Path(platformdirs.user_data_dir("leadfall", appauthor=False))


def tackle_folder() -> Path:
    """Where the user's own tackle and boats are kept; it may not exist yet."""
    return user_folder() / "tackle"


def settings_file() -> Path:
    """Where settings are kept; it may not exist yet."""
    return Path(platformdirs.user_config_dir("leadfall", appauthor=False)) / "settings.json"
