"""Build the compiled stepper when the package is built, wherever that can be done.

A hatchling build hook. It takes the C compiler that is there, or else asks pip for
``ziglang``, which is one as a Python package, on the platforms that it is made for. Where
neither works the install goes on without: the program then steps with numpy.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

FLAGS = ("-O3", "-std=c11", "-ffp-contract=off", "-fno-math-errno", "-shared")
"""No contraction: the same numbers on every machine."""

LEAVE_OUT = "LEADFALL_NO_COMPILE"
"""Environment variable that leaves the compiled stepper out of a build."""

ZIG = (
    'ziglang>=0.13; platform_machine=="x86_64" or platform_machine=="AMD64" '
    'or platform_machine=="aarch64" or platform_machine=="arm64" or platform_machine=="ARM64"'
)

ZIG_TARGETS = {
    "linux-x86_64": ("x86_64-linux-gnu.2.17", "line.so"),
    "linux-aarch64": ("aarch64-linux-gnu.2.17", "line.so"),
    "musl-x86_64": ("x86_64-linux-musl", "line.so"),
    "windows-x86_64": ("x86_64-windows-gnu", "line.dll"),
    "windows-arm64": ("aarch64-windows-gnu", "line.dll"),
    "macos-x86_64": ("x86_64-macos.11.0", "line.dylib"),
    "macos-arm64": ("aarch64-macos.11.0", "line.dylib"),
}
"""Platforms the stepper is cross-built for by ``python .build/hook.py FOLDER``."""


def library_name() -> str:
    """What the library is called on this platform."""
    return {"win32": "line.dll", "darwin": "line.dylib"}.get(sys.platform, "line.so")


def own_compiler() -> list[str] | None:
    """The machine's C compiler, or None; Microsoft's takes other flags and is not asked."""
    for name in (os.environ.get("CC", ""), "cc", "gcc", "clang"):
        if name and (found := shutil.which(name)):
            return [found]
    return None


def compilers() -> list[list[str]]:
    """What may build the library, best first."""
    return [c for c in (own_compiler(), [sys.executable, "-m", "ziglang", "cc"]) if c]


def build(source: Path, target: Path, compiler: list[str], *more: str) -> str:
    """Compile the library; what went wrong, or nothing."""
    position = () if target.suffix == ".dll" else ("-fPIC", "-fvisibility=hidden", "-lm")
    spare = target.with_name(f"new-{target.name}")
    try:
        done = subprocess.run(
            [*compiler, *FLAGS, *more, "-o", str(spare), str(source), *position],
            capture_output=True, text=True, check=False, timeout=600,
        )  # fmt: skip
        if done.returncode:
            return done.stderr.strip()[-400:] or f"{compiler[-1]} failed"
        spare.replace(target)
    except (OSError, subprocess.SubprocessError) as error:
        return str(error)
    finally:
        spare.unlink(missing_ok=True)
    return ""


class CustomBuildHook(BuildHookInterface):  # type: ignore[type-arg]
    """Builds the library into the source tree, from where it is taken along."""

    def dependencies(self) -> list[str]:
        return [] if own_compiler() or os.environ.get(LEAVE_OUT) else [ZIG]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        folder = Path(self.root) / "physics" / "line" / "core"
        target = folder / library_name()
        target.unlink(missing_ok=True)
        if os.environ.get(LEAVE_OUT):
            return
        for compiler in compilers():
            problem = build(folder / "line.c", target, compiler)
            if not problem:
                build_data["artifacts"].append(f"physics/line/core/{target.name}")
                build_data["pure_python"] = False
                platform = sysconfig.get_platform().replace("-", "_").replace(".", "_")
                build_data["tag"] = f"py3-none-{platform}"
                return
            self.app.display_warning(f"The compiled stepper could not be built: {problem}")


def main(folder: str) -> int:
    """Cross-build the library for every platform into a folder; needs ziglang."""
    source, failed = Path(__file__).parents[1] / "physics" / "line" / "core" / "line.c", 0
    for name, (target, library) in ZIG_TARGETS.items():
        place = Path(folder) / name / library
        place.parent.mkdir(parents=True, exist_ok=True)
        compiler = [sys.executable, "-m", "ziglang", "cc", "-target", target]
        problem = build(source, place, compiler)
        size = problem or f"{place.stat().st_size / 1024:.0f} KiB"
        sys.stdout.write(f"{name:16s} {size}\n")
        failed += bool(problem)
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
