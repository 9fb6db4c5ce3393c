"""One change of whatever a view-model holds, for undo."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtGui import QUndoCommand

UNDO_LIMIT = 300
"""Changes that can be undone; older ones are forgotten, for a window may stay open for days."""


def in_menu(text: str) -> str:
    """A text for a menu; an ampersand in it is no mark of a key."""
    return text.replace("&", "&&")


def forget(merged: QUndoCommand) -> None:
    """Let go of what a command holds that is part of another by now.

    The library deletes it, but keeps its Python half for as long as the stack lives.
    """
    vars(merged).clear()


class Edit(QUndoCommand):
    """From one value to another, taken up by ``adopt``; edits with one ``key`` in a row merge."""

    def __init__(
        self, adopt: Callable[[Any], object], old: Any, new: Any, text: str, key: str
    ) -> None:
        super().__init__(in_menu(text))
        self._adopt, self._old, self.new, self._key = adopt, old, new, key

    def redo(self) -> None:
        self._adopt(self.new)

    def undo(self) -> None:
        self._adopt(self._old)

    def id(self) -> int:
        return hash(self._key) % 2_000_000_000 if self._key else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, Edit):
            return False
        if (other._key, other._adopt) != (self._key, self._adopt):
            return False
        self.new = other.new
        forget(other)
        return True


class Step(Edit):
    """An edit whose ``adopt`` gets both values, from and to: it does the step between them to
    what there is by then, and so leaves alone what came from elsewhere."""

    def __init__(
        self, adopt: Callable[[Any, Any], object], old: Any, new: Any, text: str, key: str
    ) -> None:
        super().__init__(adopt, old, new, text, key)  # type: ignore[arg-type]
        self._step = adopt

    def redo(self) -> None:
        self._step(self._old, self.new)

    def undo(self) -> None:
        self._step(self.new, self._old)

    def mergeWith(self, other: QUndoCommand) -> bool:
        # where something came in between, the two are not one step
        return isinstance(other, Step) and other._old == self.new and super().mergeWith(other)
