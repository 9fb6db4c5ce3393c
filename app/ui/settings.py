"""What is kept from one start to the next: look, unit, paper, last scenario, the window's place.

Texts in a JSON file, each checked when it is read: nothing in it can run. (Qt's own settings
restore pickled objects.)
"""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from PySide6.QtCore import QByteArray, QLockFile, QObject, Signal

from app.common.bad_input import BadInput
from app.common.files import check_place, is_there, make_folder, read_text, write_safely
from app.common.papers import PAPERS
from app.common.resources import settings_file
from app.ui.look import LOOKS
from app.ui.preferences import LENGTHS
from app.ui.text_size import SIZES

PAGES = (
    "rehearse", "timing", "compare", "tackle", "measure", "drill", "ground", "put_out", "log",
)  # fmt: skip
"""Names of the pages, one of which was in front last."""

LONGEST_PATH = 4096
"""Characters of a file's whole name; no system here takes more."""

WAIT_MS = 300
"""How long to wait for another window that is just writing, ms."""


def _bytes(text: str) -> bytes:
    return base64.b64decode(text, validate=True)


def as_text(data: QByteArray) -> str:
    """Some bytes, at least one, as they are kept."""
    return base64.b64encode(data.data()).decode()


def _is_base64(text: str) -> bool:
    try:
        return bool(_bytes(text))
    except ValueError:
        return False


def _is_paths(text: str) -> bool:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return False
    return isinstance(found, list) and all(isinstance(x, str) and _is_path(x) for x in found)


def _is_path(text: str) -> bool:
    return 0 < len(text) <= LONGEST_PATH and "\0" not in text


KNOWN: dict[str, Callable[[str], bool]] = {
    "look": LOOKS.__contains__,
    "length": LENGTHS.__contains__,
    "text": SIZES.__contains__,
    "paper": PAPERS.__contains__,
    "scenario": _is_path,
    "recent": _is_paths,
    "geometry": _is_base64,
    "splitter": _is_base64,
    "guided": "yes".__eq__,
    "page": PAGES.__contains__,
}
"""Every setting, and whether a text will do for it."""


class Settings(QObject):
    """``get`` and ``set`` a text by its name in KNOWN; a change is written at once.

    ``told`` says in one line what was wrong with the file found, or is empty. ``trouble``
    (text) comes once, when settings cannot be written; each later change tries again with
    all that is not written yet. Only what was set here is written over what another window
    has written since.
    """

    trouble = Signal(str)

    def __init__(self, path: Path | None = None) -> None:
        super().__init__()
        self.path = path or settings_file()
        self._unwritten: dict[str, str] = {}
        self._was_told = False
        found, self.told = self._read()
        self._values = {name: text for name, text in found.items() if name in KNOWN}

    def get(self, name: str, default: str = "") -> str:
        """The text kept under a name."""
        return self._values.get(name, default)

    def set(self, name: str, text: str) -> None:
        """Keep a text. Raises ValueError for a name or text that could not be read again."""
        self.set_all({name: text})

    def set_all(self, texts: Mapping[str, str]) -> None:
        """Keep texts by their names, all in one go: another window is waited for once.

        Raises ValueError like ``set``.
        """
        for name, text in texts.items():
            if name not in KNOWN or not KNOWN[name](text):
                raise ValueError(f"{name}: {text!r} is no setting")
        new = {name: text for name, text in texts.items() if self._values.get(name) != text}
        self._values |= new
        self._unwritten |= new
        self.keep()

    def get_bytes(self, name: str) -> QByteArray:
        """The bytes kept under a name, or none."""
        return QByteArray(_bytes(self.get(name)))

    def get_paths(self, name: str) -> list[Path]:
        """The list of files kept under a name."""
        return [Path(text) for text in json.loads(self.get(name, "[]"))]

    def set_paths(self, name: str, paths: Sequence[Path]) -> None:
        """Keep a list of files."""
        self.set(name, json.dumps([str(path) for path in paths]))

    def check(self) -> None:
        """Tell before any change whether the file's place can be written at all."""
        try:
            make_folder(self.path.parent)
            check_place(self.path)
        except BadInput as error:
            self._tell(error)

    # ---- the file

    def _read(self) -> tuple[dict[str, str], str]:
        """What is in the file and will do, texts of a newer program too, and a line about what
        will not."""
        begin_anew = "The settings begin anew."
        try:
            if not is_there(self.path):
                return {}, ""
            found = json.loads(read_text(self.path, "JSON"))
        except BadInput as error:
            return {}, f"{error}. {begin_anew}"
        except (ValueError, RecursionError):
            return {}, f"{self.path}: is not JSON. {begin_anew}"
        if not isinstance(found, dict):
            return {}, f"{self.path}: is not a JSON object. {begin_anew}"
        good = {
            name: text
            for name, text in found.items()
            if isinstance(text, str) and (name not in KNOWN or KNOWN[name](text))
        }
        bad = [name for name in KNOWN if name in found and name not in good]
        strange = len(found) - len(good) - len(bad)
        left_out = [*bad, *([f"{strange} unknown"] if strange else [])]
        told = f"{self.path}: left out, not usable: {', '.join(left_out)}." if left_out else ""
        return good, told

    def keep(self) -> bool:
        """Write what is not written yet; whether everything is in the file."""
        if self._unwritten:
            self._write()
        return not self._unwritten

    def _write(self) -> None:
        try:
            make_folder(self.path.parent)
            lock = QLockFile(f"{self.path}.lock")
            if not lock.tryLock(WAIT_MS):
                why = "is being written by another window"
                if lock.error() != QLockFile.LockError.LockFailedError:
                    why = "cannot be written"
                raise BadInput(str(self.path), "", None, "a file in a folder you can write to", why)
            try:
                merged = {**self._read()[0], **self._unwritten}
                write_safely(self.path, json.dumps(merged, indent=1, sort_keys=True) + "\n")
            finally:
                lock.unlock()
        except BadInput as error:
            self._tell(error)
        else:
            self._unwritten.clear()

    def _tell(self, error: BadInput) -> None:
        if not self._was_told:
            self._was_told = True
            self.trouble.emit(f"{error}. Until then, changes of settings last until you quit.")
