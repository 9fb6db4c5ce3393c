"""Who may know whom in the program, and where trade units may meet SI."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TREES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): ast.parse(
        path.read_text(encoding="utf-8"), path.name
    )
    for path in sorted((ROOT / "app").rglob("*.py"))
    if "_assets" not in path.parts
}

SCREEN = {"PySide6", "shiboken6", "pyqtgraph"}
STEPPER = {"physics.line.march", "physics.line.system", "physics.line.mesh"}

FACTORS = {
    0.3048, 0.9144, 9.144, 0.0254, 1.852, 1852.0, 0.44704, 0.45359237, 453.59237,
    3.2808399, 3.28084, 1.9438445, 2.2046226, 28.349523125,
}  # fmt: skip
"""Conversion factors of the trade, exact ones and their usual inverses."""

ROUNDED = ("0.514", "1.943", "3.280", "2.204", "0.4535", "4.448")
"""How rounded ones begin: knots, feet and pounds."""


def imported(module: str, *, at_start: bool = False) -> set[str]:
    """Every dotted name a module imports; with ``at_start`` only what its import itself loads."""
    nodes = _outside_functions(TREES[module]) if at_start else list(ast.walk(TREES[module]))
    names: set[str] = set()
    for node in nodes:
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            base = node.module or ""
            names |= {f"{base}.{a.name}" if f"{base}.{a.name}" in TREES else base
                      for a in node.names}  # fmt: skip
    return names


def _outside_functions(node: ast.AST) -> list[ast.AST]:
    out: list[ast.AST] = []
    for child in ast.iter_child_nodes(node):
        if not isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            out += [child, *_outside_functions(child)]
    return out


def loaded_by(*modules: str) -> set[str]:
    """Everything of ours that importing some modules loads, and what that imports."""
    seen: set[str] = set()
    waiting = list(modules)
    while waiting:
        module = waiting.pop()
        if module in seen:
            continue
        seen.add(module)
        if module in TREES:
            waiting += imported(module, at_start=True)
    return seen


PAINTED = sorted(m for m in TREES if "PySide6.QtWidgets" in imported(m))
"""Whatever has widgets: pages, views, the window."""

NO_WIDGETS = ("common", "gear", "scenario", "planning", "session")
"""Rooms below the screen."""


@pytest.mark.parametrize("module", PAINTED)
def test_that_what_is_painted_knows_nothing_of_the_stepper(module: str) -> None:
    assert not imported(module) & STEPPER


@pytest.mark.parametrize("module", PAINTED)
def test_that_widgets_are_in_no_room_below_the_screen_and_in_no_model_or_job(module: str) -> None:
    _, room, *inside = module.split(".")
    assert room not in NO_WIDGETS
    assert not (inside and inside[-1] in ("model", "job", "words", "file"))


def test_that_the_command_line_loads_no_screen() -> None:
    roots = {name.split(".")[0] for name in loaded_by("app.shell.cli", "app.__main__")}
    assert not roots & SCREEN
    assert "app.session.live_run" not in loaded_by("app.shell.cli")


def test_that_a_helm_can_be_read_without_a_screen() -> None:
    roots = {name.split(".")[0] for name in loaded_by("app.session.helm_reading")}
    assert not roots & SCREEN


@pytest.mark.parametrize("module", sorted(set(TREES) - {"app.common.units"}))
def test_that_only_units_holds_conversion_factors(module: str) -> None:
    numbers = [
        node.value
        for node in ast.walk(TREES[module])
        if isinstance(node, ast.Constant) and type(node.value) in (int, float)
    ]
    bad = [n for n in numbers if n in FACTORS or repr(float(n)).startswith(ROUNDED)]
    assert not bad
