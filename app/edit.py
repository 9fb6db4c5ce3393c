"""One change of the setup, for undo.

Depends on: setup.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from app.setup import Setup


class Edit(QUndoCommand):
    """One change of the setup, undoable; edits of one field in a row merge."""

    def __init__(
        self, adopt: Callable[[Setup], None], old: Setup, new: Setup, text: str, key: str
    ) -> None:
        super().__init__(text)
        self._adopt, self._old, self.new, self._key = adopt, old, new, key

    def redo(self) -> None:
        self._adopt(self.new)

    def undo(self) -> None:
        self._adopt(self._old)

    def id(self) -> int:
        return hash(self._key) % 2_000_000_000 if self._key else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, Edit) or other._key != self._key:
            return False
        self.new = other.new
        return True
