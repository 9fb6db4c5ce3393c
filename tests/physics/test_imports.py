"""Who may know whom: the sea knows no screen, and imports go one way."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "physics"
TREES = {
    ".".join(path.relative_to(FOLDER).with_suffix("").parts): ast.parse(
        path.read_text(encoding="utf-8"), path.name
    )
    for path in sorted(FOLDER.rglob("*.py"))
}
MODULES = sorted(name for name in TREES if not name.endswith("__init__"))

OUTSIDE = {"numpy", "scipy"}
FORBIDDEN_CALLS = {"print", "open", "input", "breakpoint", "exec", "eval"}
LOADS_A_LIBRARY = "compiled"
"""The one module that looks for a file: the compiled library."""

FORBIDDEN_MODULES = {"os", "io", "pathlib", "sys", "logging", "socket", "subprocess", "time"}


def imported(module: str) -> set[str]:
    """Every dotted module name a physics module imports, also inside functions."""
    names: set[str] = set()
    for node in ast.walk(TREES[module]):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            names.add(node.module or "")
    return names


@pytest.mark.parametrize("module", MODULES)
def test_that_physics_knows_numpy_scipy_and_itself_only(module: str) -> None:
    roots = {name.split(".")[0] for name in imported(module)} - {"physics"}
    allowed = OUTSIDE | (set(sys.stdlib_module_names) - FORBIDDEN_MODULES)
    assert roots <= (allowed | {"os", "pathlib"} if module == LOADS_A_LIBRARY else allowed)


@pytest.mark.parametrize("module", MODULES)
def test_that_physics_neither_prints_nor_opens_files(module: str) -> None:
    called = {
        node.func.id
        for node in ast.walk(TREES[module])
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & FORBIDDEN_CALLS


def test_that_importing_all_of_physics_and_drawing_samples_loads_no_screen_and_no_statistics() -> (
    None
):
    """The library's statistics take half a second to load and 15 MB of every worker."""
    lines = [f"import physics.{module}" for module in MODULES]
    lines += [
        "import sys",
        "physics.answers.vary.factors(physics.answers.doubt.Doubt(), 2)",
        "bad = {'PySide6', 'pyqtgraph', 'app', 'shiboken6', 'tomlkit', 'scipy.stats'}",
        "tops = {name.split('.')[0] for name in sys.modules}",
        "found = sorted((tops | sys.modules.keys()) & bad)",
        "sys.exit(' '.join(found) or 0)",
    ]
    done = subprocess.run(
        [sys.executable, "-c", "\n".join(lines)],
        cwd=FOLDER.parent, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
