"""CSV files hold no formula, and give back what was put in them."""

from __future__ import annotations

import ast
import csv
import io
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.common.csv_text import as_csv, plain, safe
from app.drill.store import Store
from app.measure.csv_columns import read_table
from app.shell.outputs import as_csv as run_csv
from physics.simulation.trajectory import Sampled

ROOT = Path(__file__).parents[3]

EVIL = ("=1+1", "+SUM(A1)", "-cmd", "@x", "\t=1", "\r=1", "-2+3", "=HYPERLINK(1)", "＝1+1")


def read(text: str) -> list[list[str]]:
    return [[plain(cell) for cell in row] for row in csv.reader(io.StringIO(text, newline=""))]


@pytest.mark.parametrize("text", EVIL)
def test_that_a_text_like_a_formula_is_written_as_text_and_read_back(text: str) -> None:
    (cell,) = next(csv.reader(io.StringIO(as_csv([[text]]), newline="")))
    assert cell == f"'{text}"
    assert read(as_csv([[text]])) == [[text]]


@pytest.mark.parametrize("number", [-5, -0.25, "-5", "+5", "-.5", "1e-3", "-1.5E+07", 3, "", None])
def test_that_a_number_stays_a_number(number: object) -> None:
    assert safe(number) == number


@pytest.mark.parametrize("text", ["-", "–", "O'Hara", "'tis", "port = 1", "a-b", "7 ft"])
def test_that_a_harmless_text_stays_as_it_is(text: str) -> None:
    assert safe(text) == text
    assert plain(text) == text


@given(st.text(alphabet="=+-@'\t\r\n 1.a,\"", max_size=8))
def test_that_any_text_is_read_back_as_it_was(text: str) -> None:
    assert read(as_csv([[text, "x"]])) == [[text, "x"]]


def test_that_a_rod_named_like_a_formula_is_no_formula_in_a_run() -> None:
    row = np.zeros((1, 1))
    sampled = Sampled(np.zeros(1), np.zeros(1), np.zeros(1, bool), row, row, row, row)
    head = next(csv.reader(io.StringIO(run_csv(sampled, ["=cmd"]))))
    assert head[3:] == ["'=cmd.depth_m", "'=cmd.astern_m", "'=cmd.height_m", "'=cmd.tension_n"]


def test_that_a_trainee_named_like_a_formula_is_read_back(tmp_path: Path) -> None:
    store = Store(tmp_path / "drill.sqlite")
    who = store.add("'=mate")
    store.break_off(store.begin(who, 1, 2))
    store.export(who, tmp_path / "out.csv")
    store.close()
    rows = read((tmp_path / "out.csv").read_text(encoding="utf-8"))
    assert rows[1][0] == "'=mate"


def test_that_a_heading_of_our_own_is_read_back(tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(as_csv([["=depth ft", "seconds"], ["-5", "2"], ["6", "3"]]), encoding="utf-8")
    assert [column.heading for column in read_table(path).columns] == ["=depth ft", "seconds"]


def test_that_every_csv_is_written_by_one_module() -> None:
    for path in sorted((ROOT / "app").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"), path.name)
        made = {
            node.attr
            for node in ast.walk(tree)
            if isinstance(node, ast.Attribute) and getattr(node.value, "id", "") == "csv"
        }
        assert "writer" not in made or path.name == "csv_text.py", path.name
