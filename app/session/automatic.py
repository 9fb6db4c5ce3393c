"""What the boat does by itself after a number of seconds: out of gear after a mark, in gear again.

The setup keeps it while it is on; what is offered when it is off is kept here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from app.session.document import Document


class Automatic:
    """The automatic ``wait`` or ``hold`` of a document's setup; ``told`` hears of a change."""

    def __init__(
        self,
        document: Document,
        what: Literal["wait", "hold"],
        offered: float,
        told: Callable[[], None],
    ) -> None:
        self._document, self._what, self._told = document, what, told
        self._default = self._offered = offered

    @property
    def _kept(self) -> float | None:
        setup = self._document.setup
        return setup.wait if self._what == "wait" else setup.hold

    @property
    def on(self) -> bool:
        """Whether it is done."""
        return self._kept is not None

    @property
    def seconds(self) -> float:
        """After so long, s; or what is offered for that."""
        return self._offered if self._kept is None else self._kept

    def set(self, on: bool, seconds: float) -> None:
        """Do it after so many seconds, or not; undoable."""
        ticked, self._offered = on != self.on, seconds
        kept = seconds if on else None
        setup = self._document.setup
        new = replace(setup, wait=kept) if self._what == "wait" else replace(setup, hold=kept)
        # a number turned in steps is one change, a tick one of its own
        merged = "" if ticked else f"auto {self._what}"
        self._document.edit(new, f"automatic {self._what}", merged)
        self._told()

    def offer_usual(self) -> None:
        """Offer what is usual, as with another scenario."""
        self._offered = self._default
