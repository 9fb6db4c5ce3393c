"""The log from the command line: out as CSV and JSON, and in again without doubles."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.log.store import Store
from app.shell.cli import main
from tests.app.log.made import a_drop


@pytest.fixture
def filled(home: Path) -> Path:
    log = Store()
    log.merge([a_drop("one"), a_drop("two, with “quotes”")])
    log.close()
    return log.path


def test_that_a_log_goes_out_and_comes_in_again(
    filled: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    csv, json = tmp_path / "out.csv", tmp_path / "out.json"
    assert main(["log", "--csv", str(csv), "--json", str(json)]) == 0
    assert "2 entries" in capsys.readouterr().out
    assert main(["log", "--add", str(csv)]) == 0
    assert "0 new, 2 already here" in capsys.readouterr().out
    before = Store()
    kept = list(before.entries())
    before.close()
    filled.unlink()
    assert main(["log", "--add", str(json)]) == 0
    assert "2 new" in capsys.readouterr().out
    after = Store()
    assert list(after.entries()) == kept
    after.close()
    assert main(["log"]) == 0
    assert "2 entries, days: 1, 2 hits, 2 landed" in capsys.readouterr().out


@pytest.mark.parametrize("damage", ["future", "words", "missing", "twice"])
def test_that_what_cannot_be_taken_in_is_told_and_changes_nothing(
    damage: str, filled: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    csv = tmp_path / "in.csv"
    assert main(["log", "--csv", str(csv)]) == 0
    text = csv.read_text()
    wanted = ["log", "--add", str(csv)]
    if damage == "future":
        csv.write_text(text.replace("2026-05-01", "2999-05-01"))
    elif damage == "words":
        csv.write_text("a shopping list\nbread\n")
    elif damage == "missing":
        csv.unlink()
    else:
        wanted += ["--csv", str(csv)]
    capsys.readouterr()
    assert main(wanted) == 2
    assert "leadfall: " in capsys.readouterr().err
    log = Store()
    assert len(list(log.entries())) == 2
    log.close()
