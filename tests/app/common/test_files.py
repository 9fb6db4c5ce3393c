"""Files of the user's own: damaged ones are moved out of the way and never over each other."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.files import aside_in_words, is_there, make_folder, read_text, set_aside


def test_that_a_damaged_file_is_set_aside_and_never_over_another(tmp_path: Path) -> None:
    path = tmp_path / "kept.csv"
    for number, text in enumerate(("first", "second", "third")):
        path.write_text(text)
        aside = set_aside(path)
        assert aside is not None
        assert aside.suffix == ".csv"
        assert aside.read_text() == text
        assert aside.name in aside_in_words(aside)
        assert not path.exists()
        assert len(list(tmp_path.iterdir())) == number + 1


def test_that_a_file_can_be_set_aside_under_another_suffix(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text("half a")
    assert set_aside(path, ".txt") == tmp_path / "own.damaged.txt"


def test_that_a_file_that_cannot_be_moved_stays_and_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "kept.csv"
    path.write_text("text")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "rename", refuse)
    assert set_aside(path) is None
    assert path.read_text() == "text"
    assert "not kept" in aside_in_words(None)


def test_that_a_place_that_cannot_be_looked_at_is_refused_by_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "stat", refuse)
    with pytest.raises(BadInput, match=r"kept\.csv: cannot be reached \(Permission denied\)"):
        is_there(tmp_path / "kept.csv")
    with pytest.raises(BadInput, match=r"kept\.csv: cannot be read \(Permission denied\)"):
        read_text(tmp_path / "kept.csv")


def test_that_a_folder_that_cannot_be_made_is_refused_by_name(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(BadInput, match="file/deep: cannot be made"):
        make_folder(tmp_path / "file" / "deep")


def test_that_a_message_says_what_kind_of_file_it_should_be(tmp_path: Path) -> None:
    (tmp_path / "kept.csv").write_bytes(b"kind\n\xff")
    with pytest.raises(BadInput, match="line 2 is not UTF-8 text; allowed: a UTF-8 CSV file"):
        read_text(tmp_path / "kept.csv", "CSV")
