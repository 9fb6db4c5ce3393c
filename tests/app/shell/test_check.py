"""``leadfall --check`` tells what works here, in lines a helper can have read out."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from app import __main__ as program
from app.shell import check
from app.shell.apart import AGAIN, remedy
from app.shell.check import NotOk, looked_at
from physics.line.core.library import LIBRARY
from physics.simulation import stored_case

ROOT = Path(__file__).parents[3]


def run(home: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, with a home and no screen of its own."""
    names = ("HOME", "USERPROFILE", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA")
    gone = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    kept = {name: value for name, value in os.environ.items() if name not in gone}
    return subprocess.run(
        [sys.executable, "-m", "app", "--check", *words],
        env={**kept, **{name: str(home) for name in names}, "PYTHONPATH": str(ROOT), **environment},
        cwd=home, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip


def test_that_where_all_is_well_it_says_so_without_a_screen_and_leaves_no_file(
    tmp_path: Path,
) -> None:
    done = run(tmp_path)
    assert done.stderr == ""
    lines = done.stdout.splitlines()
    assert done.returncode == 0, done.stdout
    assert lines[-1] == "all is well"
    assert len(lines) == len(check.CHECKS) + 1
    assert all(line.startswith("ok: ") for line in lines[:-1])
    assert not list(tmp_path.iterdir())


def test_that_a_library_that_cannot_be_loaded_is_named_and_the_rest_is_told_all_the_same(
    tmp_path: Path,
) -> None:
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / "numpy.py").write_text("raise ImportError('libthis.so: no such file')")
    done = run(tmp_path, "--json", PYTHONPATH=os.pathsep.join([str(broken), str(ROOT)]),
               PYTHONDONTWRITEBYTECODE="1")  # fmt: skip
    assert done.returncode == 1
    assert done.stderr == ""
    found = json.loads(done.stdout)
    told = {one["name"]: one for one in found["checks"]}
    assert found["ok"] is False
    assert list(told) == [name for name, _ in check.CHECKS]
    assert not told["libraries"]["ok"]
    assert (
        "numpy cannot be loaded (ImportError: libthis.so: no such file)"
        in (told["libraries"]["told"])
    )
    assert "Python 3." in told["program"]["told"]
    assert told["settings"]["ok"]
    assert not told["solver"]["ok"]
    assert not told["painting"]["ok"]


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (
            "PySide6 cannot be loaded (ImportError: libglib-2.0.so.0: cannot open shared object "
            "file: No such file or directory)",
            "Have libglib-2.0.so.0 installed: README has the packages of Debian and Ubuntu.",
        ),
        ("numpy cannot be loaded (ModuleNotFoundError: No module named 'numpy')", AGAIN),
    ],
)
def test_that_what_the_system_lacks_is_to_be_installed_and_not_leadfall_again(
    said: str, wanted: str
) -> None:
    assert remedy(said) == wanted


def test_that_a_compiled_core_that_cannot_be_used_is_told(tmp_path: Path) -> None:
    wrong = tmp_path / "line.so"
    wrong.write_bytes(b"no library")
    code = (
        "from app.shell.check import CHECKS, looked_at; print(looked_at('core', dict(CHECKS)"
        "['compiled core']).line())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=100, check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "LEADFALL_STEPPER": str(wrong)},
    )  # fmt: skip
    assert done.stdout.startswith(f"not ok: core: LEADFALL_STEPPER names {wrong}")


def test_that_a_core_that_is_there_but_does_not_load_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delenv("LEADFALL_STEPPER", raising=False)
    monkeypatch.setattr("physics.compiled.FOLDER", tmp_path)
    monkeypatch.setattr("physics.line.core.library.LIBRARY", None)
    assert check._core() == "none was built: right, but slower"
    (tmp_path / "line.so").write_bytes(b"for another machine")
    with pytest.raises(NotOk, match=r"line\.so cannot be used here"):
        check._core()


@pytest.fixture
def nobody() -> Iterator[Path]:
    """A read-only folder, and one without the rights of the root user to look at it."""
    if os.name == "nt":
        pytest.skip("folders have no such rights here")
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o555)
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield folder
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)
        shutil.rmtree(folder)


def test_that_a_read_only_folder_is_told_with_what_to_do(nobody: Path) -> None:
    found = looked_at("your data", lambda: check.writable(nobody / "leadfall"))
    assert found.line() == (
        f"not ok: your data: nothing can be written in {nobody} (Permission denied). "
        "Make that a folder you may write to, with room on its disk.\n"
    )


def test_that_a_file_where_a_folder_should_be_is_told(tmp_path: Path) -> None:
    (tmp_path / "leadfall").write_text("a file")
    with pytest.raises(NotOk, match="nothing can be written"):
        check.writable(tmp_path / "leadfall" / "tackle")


def test_that_a_folder_that_is_tried_has_nothing_in_it_afterwards(tmp_path: Path) -> None:
    before = tmp_path.stat().st_mtime_ns
    check.writable(tmp_path)
    assert not list(tmp_path.iterdir())
    if sys.platform == "linux":
        assert tmp_path.stat().st_mtime_ns == before


def test_that_a_full_disk_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    usage = shutil.disk_usage(Path.cwd())._replace(free=1_000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _place: usage)
    with pytest.raises(NotOk, match=r"Make room: 0\.1 GB"):
        check._disk()


def test_that_a_process_that_dies_is_told() -> None:
    with pytest.raises(NotOk, match=r"the process ended by itself \(code 7\)"):
        check.apart(dies)


def dies(_tell: object) -> None:
    os._exit(7)


def test_that_what_qt_says_before_it_ends_the_process_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "nowhere")
    with pytest.raises(NotOk, match="no Qt platform plugin could be initialized"):
        check._screen()


def test_that_a_solver_that_is_off_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check, "apart", lambda do: do(None))
    assert "of the stored case, allowed is 1 %" in check._solver()
    heavy = replace(stored_case.PLUG, mass=0.050)
    rods = tuple(replace(rod, lure=heavy) for rod in stored_case.CASE.rods)
    monkeypatch.setattr(stored_case, "CASE", replace(stored_case.CASE, rods=rods))
    with pytest.raises(NotOk, match="Do not trust what is computed"):
        check._solver()


def test_that_the_stored_case_is_met_with_room_to_spare() -> None:
    assert stored_case.worst() < 0.003


@pytest.mark.skipif(LIBRARY is None, reason="no compiled stepper was built")
def test_that_the_compiled_core_is_told_of() -> None:
    assert check._core() == "compiled"


def test_that_a_word_too_many_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        program.main(["--check", "twice"])
    assert ended.value.code == 2
    assert "unrecognized arguments: twice" in capsys.readouterr().err
