"""One change of whatever a view-model holds, for undo."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtGui import QUndoCommand, QUndoStack

UNDO_LIMIT = 300
"""Changes that can be undone; older ones are forgotten, for a window may stay open for days."""


def in_menu(text: str) -> str:
    """A text for a menu; an ampersand in it is no mark of a key."""
    return text.replace("&", "&&")


def push(stack: QUndoStack, edit: Edit) -> None:
    """Make a change and put it on the stack; one that goes on from the newest is part of it.

    The library's own merging deletes a command and leaves its Python half on the stack, dead.
    """
    newest = stack.command(stack.index() - 1) if stack.index() == stack.count() else None
    if isinstance(newest, Edit) and newest.is_continued_by(edit):
        edit.redo()
        newest.new = edit.new
    else:
        stack.push(edit)


class Edit(QUndoCommand):
    """From one value to another, taken up by ``adopt``; edits with one ``key`` in a row are one."""

    def __init__(
        self, adopt: Callable[[Any], object], old: Any, new: Any, text: str, key: str
    ) -> None:
        super().__init__(in_menu(text))
        self._adopt, self._old, self.new, self._key = adopt, old, new, key

    def redo(self) -> None:
        self._adopt(self.new)

    def undo(self) -> None:
        self._adopt(self._old)

    def is_continued_by(self, other: Edit) -> bool:
        """Whether this and the one that comes after it are one change to a person."""
        same = (other._key, other._adopt) == (self._key, self._adopt)
        return bool(self._key) and type(other) is type(self) and same


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

    def is_continued_by(self, other: Edit) -> bool:
        # where something came in between, the two are not one step
        return other._old == self.new and super().is_continued_by(other)
