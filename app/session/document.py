"""The document: the setup on screen, the tackle it is made of, its undo and its file.

Signals announce; views pull. No widgets here.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from app.common import files
from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.scenario.autosave import Kept
from app.scenario.setup import Setup
from app.session.edit import UNDO_LIMIT, Edit, push
from physics.checks import InvalidValue
from physics.simulation.scenario import Scenario

NEW_NAME = "New scenario"


class Document(QObject):
    """What is edited, saved and opened. ``demo`` says whether it was shipped.

    Signals: ``setup_changed`` another setup is on screen; ``catalog_changed``
    other tackle to choose from; ``trouble`` (text) something the person should
    read. Before these come ``opened``, another scenario was begun, and
    ``replaced``, setup or catalog are others: a live run listens to those two,
    and so has taken a change up when a view hears of it.
    """

    opened = Signal()
    replaced = Signal()
    setup_changed = Signal()
    catalog_changed = Signal()
    trouble = Signal(str)

    def __init__(
        self,
        catalog: Catalog,
        setup: Setup,
        path: Path | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.undo_stack = QUndoStack(self)
        self.undo_stack.setUndoLimit(UNDO_LIMIT)
        # which way current and wind go, for when there is none and later some
        self.bearings = {"current": 0.0, "wind": math.pi}
        self._catalog, self._setup = catalog, setup
        self.demo = path is None
        self._belongs_to(path, files.fingerprint(path) if path else None, setup)

    @property
    def catalog(self) -> Catalog:
        """The tackle and boats to choose from."""
        return self._catalog

    @property
    def setup(self) -> Setup:
        """The setup on screen."""
        return self._setup

    def scenario(self) -> Scenario:
        """The setup as physics has it. Raises InvalidValue if it makes no sense."""
        return self._setup.scenario(self._catalog)

    def mark_depth(self) -> float:
        """Depth at which the next mark is dropped, m."""
        if self._setup.mark is not None:
            return self._setup.mark.depth
        return max(0.5, self._setup.water.bottom.shallowest - 1.5)

    # ---- changes

    def edit(self, new: Setup, text: str, key: str = "") -> bool:
        """As ``change``, but False (and ``trouble``) if it makes no sense."""
        try:
            self.change(new, text, key)
        except InvalidValue as error:
            self.trouble.emit(f"{error.field}: {error.value} is not usable; {error.allowed}.")
            return False
        return True

    def change(self, new: Setup, text: str, key: str = "") -> None:
        """Change the setup, undoably. Raises InvalidValue if it makes no sense.

        Edits with the same ``key`` in a row count as one for undo.
        """
        if new != self._setup:
            new.scenario(self._catalog)
            push(self.undo_stack, Edit(self._adopt, self._setup, new, text, key))

    def _adopt(self, setup: Setup) -> None:
        self._setup = setup
        self.replaced.emit()
        self.setup_changed.emit()

    def set_catalog(self, catalog: Catalog) -> None:
        """Take other tackle to choose from. Raises InvalidValue if the setup cannot do with it."""
        self._setup.scenario(catalog)
        self._catalog = catalog
        self.replaced.emit()
        self.catalog_changed.emit()

    def open(self, setup: Setup, catalog: Catalog | None = None) -> None:
        """Begin another setup, of other tackle if a ``catalog`` is given; forgets undo.

        Raises InvalidValue if it makes no sense.
        """
        tackle = catalog or self._catalog
        setup.scenario(tackle)
        other, self._catalog = tackle is not self._catalog, tackle
        self._setup = setup
        self.undo_stack.clear()
        self.opened.emit()
        if other:
            self.catalog_changed.emit()
        self.setup_changed.emit()

    # ---- the file

    def _belongs_to(self, path: Path | None, seen: str | None, saved: Setup | None) -> None:
        self.path, self.seen, self.saved = path, seen, saved

    @property
    def changed(self) -> bool:
        """Whether the setup on screen differs from the file's."""
        return self._setup != self.saved

    @property
    def changed_outside(self) -> bool:
        """Whether somebody else changed the file since it was read or saved."""
        return self.path is not None and files.fingerprint(self.path) not in (None, self.seen)

    def open_file(self, path: Path, *, demo: bool = False) -> None:
        """Open a scenario; a ``demo`` gets no file of its own. Raises BadInput."""
        seen = None if demo else files.fingerprint(path)
        setup = scenario_file.load(path, self._catalog)
        self._belongs_to(None if demo else path, seen, setup)
        self.demo = demo
        self.open(setup)

    def begin_new(self) -> None:
        """A scenario of one's own to begin with, in no file yet: the first demo's, named anew."""
        setup = scenario_file.load(scenario_file.demos()[0], self._catalog)
        setup = replace(setup, name=NEW_NAME, notes="")
        self._belongs_to(None, None, setup)
        self.demo = False
        self.open(setup)

    def open_unsaved(self, kept: Kept) -> None:
        """Bring back changes that were left unsaved; they still differ from their file."""
        self._belongs_to(kept.path, kept.seen, None)
        self.demo = False
        self.open(kept.setup)

    def save_to(self, path: Path) -> None:
        """Save, and belong to this file from now on. Raises BadInput."""
        scenario_file.save(self._setup, path)
        self._belongs_to(path, files.fingerprint(path), self._setup)
        self.demo = False
