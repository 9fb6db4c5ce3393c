"""Files written whole: no name to foresee, no link to follow, nothing left after a crash."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from app.common.files import fingerprint, write_safely
from app.common.spare import new_spare, sweep, sweep_folder

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="links and flock are POSIX")


def abandoned(target: Path) -> Path:
    """A spare whose writer was killed."""
    handle, spare = new_spare(target)
    os.write(handle, b"half a")
    os.close(handle)
    return spare


def test_that_a_write_sweeps_what_killed_writers_of_that_file_left(tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    left, another = abandoned(target), abandoned(tmp_path / "other.toml")
    write_safely(target, "whole")
    assert target.read_text() == "whole"
    assert not left.exists()
    assert sorted(tmp_path.iterdir()) == sorted([target, another])


@POSIX
def test_that_a_spare_being_written_is_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    handle, spare = new_spare(target)
    sweep(target)
    sweep_folder(tmp_path)
    assert spare.exists()
    os.close(handle)
    sweep(target)
    assert not spare.exists()


def test_that_a_start_sweeps_the_programs_own_folder_and_nothing_else(tmp_path: Path) -> None:
    abandoned(tmp_path / "own.toml")
    (tmp_path / ".own.toml.4711.new").write_text("of an earlier version")
    others = [tmp_path / name for name in ("own.toml", "a.new", ".b.new", ".c.toml.old.new")]
    for path in others:
        path.write_text("precious")
    (tmp_path / ".d.0123456789abcdef.new").mkdir()
    sweep_folder(tmp_path)
    assert sorted(path for path in tmp_path.iterdir() if path.is_file()) == sorted(others)
    sweep_folder(tmp_path / "nowhere")


@POSIX
def test_that_no_name_is_foreseen_and_no_link_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    precious = tmp_path / "precious"
    precious.write_text("precious")
    names = iter(["0" * 16, "1" * 16])
    monkeypatch.setattr("app.common.spare.secrets.token_hex", lambda _n: next(names))
    (tmp_path / f".mine.toml.{'0' * 16}.new").symlink_to(precious)
    (tmp_path / f".mine.toml.{os.getpid()}.new").symlink_to(precious)
    write_safely(tmp_path / "mine.toml", "whole")
    assert precious.read_text() == "precious"
    assert (tmp_path / "mine.toml").read_text() == "whole"
    assert not (tmp_path / "mine.toml").is_symlink()


@POSIX
def test_that_the_folder_is_on_the_disk_too_when_a_write_returns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[str] = []
    real = os.fsync

    def fsync(handle: int) -> None:
        synced.append("folder" if os.path.isdir(f"/dev/fd/{handle}") else "file")
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    write_safely(tmp_path / "mine.toml", "whole")
    assert synced == ["file", "folder"]


@POSIX
def test_that_a_file_keeps_its_mode_and_a_new_one_gets_the_usual(tmp_path: Path) -> None:
    target = tmp_path / "mine.toml"
    write_safely(target, "whole")
    (tmp_path / "usual").touch()
    assert target.stat().st_mode == (tmp_path / "usual").stat().st_mode
    target.chmod(0o640)
    write_safely(target, "again")
    assert target.stat().st_mode & 0o777 == 0o640


def test_that_a_fingerprint_tells_a_change_and_a_file_that_is_gone(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    assert fingerprint(path) is None
    path.write_text("one")
    first = fingerprint(path)
    path.write_text("two")
    assert fingerprint(path) not in (None, first)
    path.write_text("one")
    assert fingerprint(path) == first
