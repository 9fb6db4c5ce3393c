"""One command makes a Leadfall that runs without Python: a folder, and an archive of it.

``python -m app.shell.bundle [--to FOLDER]``, on the system that it is for, with the extra
``deliver`` installed. PyInstaller gathers what the program loads; what only its libraries would
want is left out.
"""

from __future__ import annotations

import argparse
import ctypes
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import make_folder
from app.common.resources import asset, assets_folder
from app.common.version import version
from physics.compiled import FOLDER, NAMES
from physics.line.core.library import LIBRARY

ROOT = Path(__file__).resolve().parents[2]

FIRST = Path(__file__).with_name("bundled_start.py")

NOT_LOADED = (
    "tkinter", "matplotlib", "IPython", "PIL", "pytest", "setuptools", "PyInstaller", "_ssl",
    "_hashlib", "pyqtgraph.opengl", "pyqtgraph.console", "pyqtgraph.jupyter",
    "PySide6.QtNetwork", "PySide6.QtTest",
)  # fmt: skip
"""What a library would take along and the program never loads."""

LATE = ("PySide6.QtOpenGL", "PySide6.QtOpenGLWidgets")
"""What pyqtgraph loads by a name that it makes."""

NOT_NEEDED = (
    "PySide6/**/translations", "PySide6/**/platformthemes/*gtk3*", "PySide6/**/networkinformation",
    "PySide6/**/tls", "PySide6/**/egldeviceintegrations", "PySide6/**/plugins/generic",
    "PySide6/**/xcbglintegrations", "PySide6/**/wayland-graphics-integration-client",
    *(f"PySide6/**/platforms/*{name}.*" for name in ("eglfs", "fb", "egl", "display", "vnc")),
    *(f"PySide6/**/imageformats/*{kind}.*" for kind in ("tiff", "webp", "wbmp", "tga", "icns")),
    "pyqtgraph/icons/peegee", "pyqtgraph/colors",
)  # fmt: skip
"""Files that are left out of the folder."""

OF_THE_SYSTEM = ("libcups.so.2", "libstdc++.so.6", "libgcc_s.so.1")
"""Libraries that must fit the system's own, and so are its own (Linux)."""

SPARE = (
    "libmd.so.0", "libbsd.so.0", "libXau.so.6", "libXdmcp.so.6", "libxcb.so.1",
    "libGLdispatch.so.0", "libGLX.so.0", "libGL.so.1", "libOpenGL.so.0", "libEGL.so.1",
)  # fmt: skip
"""Libraries that are taken along for a system that lacks them, in this order (Linux)."""

LINUX = sys.platform.startswith("linux")


def main(words: list[str]) -> int:
    """Make folder and archive, and say how large they are."""
    parser = argparse.ArgumentParser(prog="python -m app.shell.bundle", description=__doc__)
    parser.add_argument("--to", type=Path, default=Path("dist"), help="where (dist)")
    place = parser.parse_args(words).to.absolute()
    try:
        folder = bundled(place)
        archive = shutil.make_archive(
            str(place / f"leadfall-{version()}-{_platform()}"),
            "zip" if os.name == "nt" else "gztar", place, folder.name,
        )  # fmt: skip
    except BadInput as error:
        sys.stderr.write(f"{error}\n")
        return 2
    whole = sum(path.lstat().st_size for path in folder.rglob("*") if path.is_file())
    for made, size in ((folder, whole), (Path(archive), Path(archive).stat().st_size)):
        sys.stdout.write(f"{made}: {size / 1e6:.0f} MB\n")
    return 0


def bundled(place: Path) -> Path:
    """Make the folder, in ``place``. Raises BadInput for what is missing here."""
    try:
        from PyInstaller.__main__ import run
    except ImportError as error:
        raise BadInput("PyInstaller", "", None, "pip install '.[deliver]'", "is missing") from error
    if LIBRARY is None:
        raise BadInput("the compiled stepper", "", None, "pip install .", "was not built")
    make_folder(place)
    with tempfile.TemporaryDirectory() as work:
        run(_words(place, Path(work)))
    folder = place / "leadfall"
    inside = folder / "_internal"
    for pattern in NOT_NEEDED:
        for path in list(inside.glob(pattern)):
            shutil.rmtree(path) if path.is_dir() else path.unlink()
    if LINUX:
        _slimmed(inside)
        _with_spares(inside)
    return folder


def _words(place: Path, work: Path) -> list[str]:
    """What PyInstaller is told."""
    core = next(FOLDER / name for name in NAMES if (FOLDER / name).is_file())
    words = [
        str(ROOT / "app" / "__main__.py"), "--name=leadfall", "--noconfirm", "--clean",
        "--log-level=WARN", f"--distpath={place}", f"--workpath={work}", f"--specpath={work}",
        f"--paths={ROOT}", f"--add-data={assets_folder()}:app/_assets", "--copy-metadata=leadfall",
        f"--add-binary={core}:{core.parent.relative_to(ROOT)}",
        *(f"--collect-submodules={name}" for name in ("app", "physics")),
        *(f"--hidden-import={name}" for name in (*sorted(lazily()), *LATE)),
        *(f"--exclude-module={name}" for name in (*NOT_LOADED, "app.shell.bundle")),
    ]  # fmt: skip
    if LINUX:
        return [*words, f"--runtime-hook={FIRST}"]
    if os.name == "nt":
        return [*words, "--hide-console=hide-early", f"--icon={_icon(work / 'leadfall.ico')}"]
    return [*words, "--windowed", f"--icon={_icon(work / 'leadfall.icns')}"]


def lazily() -> set[str]:
    """The parts of scipy that our sources name: it loads them when they are first used."""
    parts = re.compile(r"\bscipy\.([a-z]+)\b(?!\()")
    texts = (path.read_text("utf-8") for room in ("app", "physics") for path in _sources(room))
    return {f"scipy.{name}" for text in texts for name in parts.findall(text)}


def _sources(room: str) -> Iterator[Path]:
    return (ROOT / room).rglob("*.py")


def _icon(path: Path) -> Path:
    """The program's icon in a system's own format."""
    from PySide6.QtCore import QSize
    from PySide6.QtGui import QGuiApplication, QIcon

    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    application = QGuiApplication.instance() or QGuiApplication([])
    image = QIcon(str(asset("leadfall.svg"))).pixmap(QSize(256, 256)).toImage()
    if not image.save(str(path)):
        raise BadInput(str(path), "", None, "an icon", "could not be made")
    del application
    return path


# ---- Linux


def _slimmed(inside: Path) -> None:
    """Leave out what the system has of its own, libraries that nothing needs then, and what a
    debugger wants of Python."""
    for name in OF_THE_SYSTEM:
        (inside / name).unlink(missing_ok=True)
    wants = {path: _wanted(path) for path in inside.rglob("*.so*") if path.is_file()}
    libraries = {*inside.glob("lib*.so*"), *inside.glob("PySide6/Qt/lib/lib*.so*")}
    libraries -= {*inside.glob("libpython*")}
    while True:
        needed = {name for path in wants for name in wants[path]}
        alone = {path for path in libraries if path.name not in needed}
        if not alone:
            break
        for path in alone:
            path.unlink()
            wants.pop(path, None)
        libraries -= alone
    if strip := shutil.which("strip"):
        python = [*inside.glob("libpython*"), *inside.glob("python3*/lib-dynload/*.so")]
        subprocess.run([strip, "--strip-unneeded", *map(str, python)], check=True)


def _wanted(library: Path) -> list[str]:
    """The libraries that one asks for."""
    told = subprocess.run(
        ["objdump", "--private-headers", library], check=True, capture_output=True, text=True
    ).stdout
    return re.findall(r"NEEDED +(\S+)", told)


def _with_spares(inside: Path) -> None:
    """Take along libraries for a system that has none, apart from those always used."""
    (inside / "spare").mkdir(exist_ok=True)
    for number, name in enumerate(SPARE):
        try:
            ctypes.CDLL(name)
        except OSError:
            # one that this system's others do without
            continue
        maps = Path("/proc/self/maps").read_text("utf-8")
        there = next(line.split(maxsplit=5)[5] for line in maps.splitlines() if name[:-2] in line)
        shutil.copy(there, inside / "spare" / f"{number:02d}-{name}")


def _platform() -> str:
    import sysconfig

    return sysconfig.get_platform().replace(".", "_")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
