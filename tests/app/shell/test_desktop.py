"""Leadfall in the menu of a Linux desktop: entry, icon, and files that open with it."""

from __future__ import annotations

import configparser
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from app.shell import cli, desktop

LINUX = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="a Linux desktop")

KINDS = """
from PySide6.QtCore import QMimeDatabase
for name in ("a.leadfall.toml", "a.leadfall", "a.toml"):
    print(QMimeDatabase().mimeTypeForFile(name, QMimeDatabase.MatchExtension).name())
"""


def installed(home: Path) -> set[str]:
    found = {str(path.relative_to(home)) for path in home.rglob("*leadfall*") if path.is_file()}
    return {name for name in found if not name.startswith("mime/application")}


@LINUX
def test_that_installing_gives_a_desktop_all_it_asks_for_and_removing_takes_it_away(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["--desktop", "install"]) == 0
    assert "in the menu" in capsys.readouterr().out
    assert installed(home) == set(desktop.PLACES)
    entry = configparser.ConfigParser(interpolation=None)
    entry.read(home / desktop.ENTRY, "utf-8")
    told = entry["Desktop Entry"]
    command, *rest = shlex.split(told["Exec"])
    assert Path(command).is_absolute()
    assert os.access(command, os.X_OK)
    assert rest[-1] == "%f"
    assert (home / f"icons/hicolor/scalable/apps/{told['Icon']}.svg").is_file()

    def kinds() -> list[str]:
        done = subprocess.run(
            [sys.executable, "-c", KINDS], capture_output=True, text=True, check=True,
            env={**os.environ, "XDG_DATA_HOME": str(home)},
        )  # fmt: skip
        return done.stdout.split()

    ours, plain = told["MimeType"].split(";")[:2]
    with_it = kinds()
    assert with_it[:2] == [ours, ours]
    assert with_it[2] != ours
    assert plain == "application/toml"
    assert cli.main(["--desktop", "remove"]) == 0
    assert installed(home) == set()
    assert ours not in kinds()


@LINUX
def test_that_removing_what_is_not_there_is_no_trouble(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["--desktop", "remove"]) == 0
    assert capsys.readouterr().err == ""


def test_that_another_system_is_told_what_to_do_instead(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(desktop, "LINUX", False)
    assert cli.main(["--desktop", "install"]) == 2
    assert "Open with" in capsys.readouterr().err


@LINUX
def test_that_a_folder_that_cannot_be_made_is_told(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home.write_text("a file")
    assert cli.main(["--desktop", "install"]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "cannot be made" in told


@pytest.mark.parametrize(
    ("path", "written"),
    [
        ("/opt/my boat/leadfall", '"/opt/my boat/leadfall"'),
        ('/a"b', '"/a\\\\"b"'),
        ("/50% off/x", '"/50%% off/x"'),
        ("/a$b`c", '"/a\\\\$b\\\\`c"'),
    ],
)
def test_that_a_command_is_quoted_as_a_desktop_reads_it(path: str, written: str) -> None:
    assert desktop.quoted(path) == written
