"""One scale of spacing and type for every view, and figures that do not dance."""

from __future__ import annotations

import ast
import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtGui import QFont, QFontMetricsF
from PySide6.QtWidgets import QApplication

import app
from app.ui import steps
from app.ui.look import font, tabular

ROOM = Path(app.__file__).parent

OWN_SIZES = ("ui/look.py", "ui/steps.py", "ui/text_size.py", "timing/card.py")
"""The scale, the style sheet, and the card, which is measured on paper."""

SPACING = {"setContentsMargins", "setSpacing", "setHorizontalSpacing", "setVerticalSpacing",
           "addSpacing", "setHandleWidth"}  # fmt: skip
TYPE = {"font", "_font", "Figure", "setPointSize", "setPointSizeF", "setPixelSize"}
STYLED = re.compile(r"font-size:\s*\d|(padding|margin[-a-z]*):[^;]*[1-9]")


def numbers(node: ast.AST) -> Iterator[float]:
    """The numbers but 0 in what is handed to a call."""
    for part in ast.walk(node):
        if isinstance(part, ast.Constant) and type(part.value) in (int, float) and part.value:
            yield part.value


def own_sizes(source: str) -> list[str]:
    """Where a view sets a spacing or a size of type that is no step of the scale."""
    out = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            called = node.func
            name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
            given = [node.args[0]] if name in ("font", "_font") and node.args else node.args
            if name in SPACING | TYPE and any(n for part in given for n in numbers(part)):
                out.append(f"line {node.lineno}: {ast.unparse(node)}")
        text = node.value if isinstance(node, ast.Constant) else None
        if isinstance(text, str) and STYLED.search(text):
            out.append(f"line {node.lineno}: {text}")
    return out


def views() -> list[Path]:
    return [
        p for p in sorted(ROOM.rglob("*.py")) if p.relative_to(ROOM).as_posix() not in OWN_SIZES
    ]


def test_that_no_view_has_a_spacing_or_a_size_of_type_of_its_own() -> None:
    found = {p.relative_to(ROOM).as_posix(): own_sizes(p.read_text("utf-8")) for p in views()}
    assert {path: where for path, where in found.items() if where} == {}


@pytest.mark.parametrize(
    "source",
    ["row.setSpacing(7)", "x.setContentsMargins(0, 3, GAP, 0)", "face = font(9.5, bold=True)",
     "Figure(preferences, 30, 'x')", "'<p style=\"font-size: 12pt\">'",
     "w.setStyleSheet('padding: 2px')"],
)  # fmt: skip
def test_that_a_size_of_its_own_is_found(source: str) -> None:
    assert own_sizes(source)


def test_that_the_steps_are_far_enough_apart_to_be_told() -> None:
    spacing = [steps.HAIR, steps.TIGHT, steps.SNUG, steps.GAP, steps.ROOM, steps.WIDE, steps.FAR]
    types = [steps.SMALL, steps.BODY, steps.LOUD, steps.HEAD, steps.BIG, steps.FIGURE,
             steps.GREAT, steps.HUGE]  # fmt: skip
    assert all(after - before >= 2 for before, after in itertools.pairwise(spacing))
    assert all(after / before >= 1.1 for before, after in itertools.pairwise(types))


def test_that_figures_are_of_equal_width(qapp: QApplication) -> None:
    tag = QFont.Tag("tnum")
    faces = [font(steps.BODY), font(steps.HUGE, bold=True), tabular(QApplication.font())]
    for face in faces:
        assert face.isFeatureSet(tag)
        assert face.featureValue(tag) == 1
        widths = {QFontMetricsF(face).horizontalAdvance(digit) for digit in "0123456789"}
        assert max(widths) - min(widths) < 0.01
