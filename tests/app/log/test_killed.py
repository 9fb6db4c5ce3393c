"""Every entry that was confirmed is there after its writer was killed at a random moment."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.log.store import Store
from tests.app.log.killed import confirmed


@pytest.mark.parametrize("seed", [1, 2])
def test_that_every_confirmed_entry_outlives_its_killed_writer(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "log.sqlite"
    told, many = confirmed(path, seed)
    assert len(told) >= many
    store = Store(path)
    assert not store.told
    kept = {entry.id: entry for entry in store.entries()}
    store.close()
    assert told <= set(kept)
    # none is half there
    assert all(len(entry.lines) == 4 for entry in kept.values())
