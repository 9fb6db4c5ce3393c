"""The power goes at any instant of writing: what was confirmed is there, and no file is half."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

import pytest

from app.common.resources import user_folder
from app.drill.store import Store as Results
from app.gear.catalog import Catalog
from app.log.store import Store as Log
from app.scenario import autosave
from app.ui.settings import Settings
from tests.app.power.disk import Disk, Event, events
from tests.app.savers import MORE, WRITERS
from tests.app.test_two_processes import newest

ROOT = Path(__file__).parents[2]

RECORDER = Path(__file__).parent / "power" / "recorder.c"

COMPILER = shutil.which("cc") or shutil.which("gcc")

MEMORY = Path("/dev/shm")

HARD = (0.0, 1.0)
"""Shares kept of what was not synced: nothing, and all of it, as after a kill."""

pytestmark = pytest.mark.skipif(
    sys.platform != "linux" or COMPILER is None, reason="writes are recorded by a preloaded library"
)


@pytest.fixture(scope="session")
def recorder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library that writes down what a process does to files."""
    library = tmp_path_factory.mktemp("recorder") / "recorder.so"
    assert COMPILER is not None
    words = [COMPILER, "-O1", "-shared", "-fPIC", "-o", str(library), str(RECORDER), "-ldl"]
    subprocess.run(words, check=True)
    return library


@dataclass(frozen=True)
class Record:
    """What a process did that wrote to one kind of store after another, each in ``KIND`` of a
    folder of its own, and what each folder held at its end."""

    root: Path
    did: dict[str, list[Event]]


def recorded(recorder: Path, root: Path, count: int) -> Record:
    """Have a process write so often to every kind."""
    for kind in (*WRITERS, *MORE):
        (root / kind).mkdir(parents=True)
    record = root.with_name("record")
    done = subprocess.run(
        [sys.executable, "-m", "tests.app.savers", "all", str(root), "1", str(count)],
        input="go\n", capture_output=True, text=True, cwd=ROOT, timeout=900,
        env={
            **os.environ, "PYTHONPATH": str(ROOT), "LD_PRELOAD": str(recorder),
            "RECORD_INTO": str(record), "RECORD_UNDER": str(root),
        },
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    did: dict[str, list[Event]] = {}
    for event in events(record.read_bytes()):
        if event.one.startswith(b"begin "):
            did[event.one.split()[1].decode()] = some = []
        elif did:
            some.append(event)
    return Record(root, did)


@pytest.fixture(scope="session")
def twice(recorder: Path, tmp_path_factory: pytest.TempPathFactory) -> Record:
    """Two writes to each kind of store."""
    return recorded(recorder, tmp_path_factory.mktemp("twice") / "root", 2)


def there(kind: str, catalog: Catalog) -> int:
    """The last number that is in a store, with all before it; -1 for none."""
    if kind == "settings":
        settings = Settings(user_folder() / "settings.json")
        assert not settings.told
        return int(settings.get("scenario", "drop -1").split()[1])
    if kind == "drill":
        results = Results()
        assert not results.told
        all_done = [r for who in results.trainees() for r in results.results(who)]
        found = [r.seed for r in all_done if r.state == "scored"]
        results.close()
    elif kind == "log":
        log = Log()
        assert not log.told
        found = sorted(int(entry.note) for entry in log.entries())
        log.close()
    else:
        return newest(kind, catalog)
    assert found == list(range(len(found)))
    return len(found) - 1


def cut_everywhere(
    kind: str, record: Record, home: Path, catalog: Catalog, kept: tuple[float, ...], seed: int
) -> str:
    """Cut the power after every event, in every way; what it came to, in words."""
    disk, chance = Disk(record.root / kind), Random(seed)
    cuts = 0
    for number, event in enumerate(record.did[kind]):
        disk.do(event)
        last = max(map(int, disk.said.split()), default=-1)
        for share in kept:
            # only a sync changes what is surely there, and never what the process sees
            if event.kind in ("sd" if share == 1.0 else "cwtmur" if share == 0.0 else ""):
                continue
            shutil.rmtree(home.parent, ignore_errors=True)
            disk.put(home.parent, share, chance)
            found = there(kind, catalog)
            assert found >= last, f"cut after event {number}, {share:g} kept: {last} was confirmed"
            for each in autosave.left_behind():
                each.close()
            cuts += 1
    return f"{kind}: {number + 1} events, {cuts} cuts, {last + 1} confirmed writes, 0 lost"


@pytest.fixture
def home(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The user's folder, in a folder of its own, in memory where that can be: hundreds of stores
    are opened there."""
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as place:
        folder = Path(place) / "user" / "leadfall"
        for kind in ("data", "config"):
            monkeypatch.setattr(f"platformdirs.user_{kind}_dir", lambda *_a, **_w: str(folder))
        yield folder


@pytest.mark.parametrize("kind", [*WRITERS, *MORE])
def test_that_a_confirmed_write_outlives_the_power(
    kind: str, twice: Record, home: Path, catalog: Catalog
) -> None:
    cut_everywhere(kind, twice, home, catalog, (*HARD, 0.5), 1)


@pytest.mark.long
def test_that_many_writes_outlive_the_power_cut_in_many_ways(
    recorder: Path, home: Path, catalog: Catalog, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = recorded(recorder, tmp_path / "root", 12)
    for kind in record.did:
        told = cut_everywhere(kind, record, home, catalog, (*HARD, *[0.2, 0.5, 0.8] * 4), 2)
        with capsys.disabled():
            sys.stdout.write(f"\n{told}\n")


@pytest.mark.parametrize("kind", [*WRITERS, *MORE])
def test_that_the_record_holds_all_that_was_written(
    kind: str, twice: Record, tmp_path: Path
) -> None:
    there, again = twice.root / kind, tmp_path / "again"
    disk = Disk(there)
    for event in twice.did[kind]:
        disk.do(event)
    disk.put(again, 1.0, Random(1))
    files = {path.relative_to(there): path.read_bytes() for path in contents(there)}
    assert files
    assert files == {path.relative_to(again): path.read_bytes() for path in contents(again)}


def contents(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]
