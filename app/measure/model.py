"""View-model of calibration: what was measured, the gear it was measured with, and the fit.

Changes of the measurements are undone through the one undo stack, and kept between starts.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.common import files
from app.common.bad_input import BadInput
from app.gear.calibrated import calibrated_items
from app.measure import file as sheet
from app.measure.file import Line, Sheet, row_of
from app.measure.job import Fitting, fit_gear
from app.scenario.known_doubt import known_doubt
from app.session.background import Background
from app.session.document import Document
from app.session.edit import Step, push
from app.session.keeper import Keeper
from app.tackle.model import Shelf, renamed_in
from physics.calibration.calibrate import usual_priors
from physics.calibration.factors import NAMES, Gear
from physics.calibration.measured import Row
from physics.checks import InvalidValue


class Measuring(QObject):
    """Signals: ``sheet_changed`` other measurements, errors or gear; ``fit_changed`` a fit, or
    none any more; ``progress_changed``; ``trouble`` (text) to be read."""

    sheet_changed = Signal()
    fit_changed = Signal()
    progress_changed = Signal()
    trouble = Signal(str)

    def __init__(self, document: Document, shelf: Shelf, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._shelf = document, shelf
        self.background = Background(self)
        self.sheet = Sheet()
        self._may_save = True
        try:
            self.sheet = sheet.load()
        except BadInput as error:
            aside = files.set_aside(sheet.place())
            self._may_save = aside is not None
            told = f"{error}. {files.aside_in_words(aside)}"
            QTimer.singleShot(0, self, partial(self.trouble.emit, told))
        self._kept = self.sheet
        self.keeper = Keeper(self._save, "The measurements", self)
        self.keeper.trouble.connect(self.trouble)
        self.rod, self.lure, self.boat = 0, "", ""
        self.wanted: tuple[str, ...] | None = None
        self.found: Fitting | None = None
        self.refused = self.saved = ""
        self._saving = False
        self.background.progress.connect(self.progress_changed)
        self._seen = document.setup.untold()
        document.setup_changed.connect(self._setup_changed)
        document.catalog_changed.connect(self._gear_changed)

    # ---- the gear

    @property
    def rods(self) -> list[str]:
        """Names of the lines of the scenario on screen."""
        return [rod.name for rod in self._document.setup.rods]

    def gear(self) -> Gear:
        """The gear the measurements were made with. Raises InvalidValue."""
        setup, catalog = self._document.setup, self._document.catalog
        rod_setup = setup.rods[min(self.rod, len(setup.rods) - 1)]
        if self.lure:
            rod_setup = replace(rod_setup, lure=self.lure)
        rod = rod_setup.rod(catalog)
        boat = self.boat or setup.boat
        if isinstance(boat, str):
            boat = catalog.boats[boat]
        own = rod_setup.sections is None and rod_setup.line is not None
        return Gear(setup.water, boat, rod, None, (rod_setup.line or "") if own else "")

    def choose_gear(
        self, *, rod: int | None = None, lure: str | None = None, boat: str | None = None
    ) -> None:
        """Another line of the spread, lure or boat; empty names mean the scenario's own."""
        if rod is not None:
            self.rod = rod
        if lure is not None:
            self.lure = lure
        if boat is not None:
            self.boat = boat
        self._forget()
        self.sheet_changed.emit()

    def _setup_changed(self) -> None:
        """Another setup; what the helm is told makes no other gear."""
        seen = self._document.setup.untold()
        if seen != self._seen:
            self._seen = seen
            self._gear_changed()

    def _gear_changed(self) -> None:
        catalog, setup = self._document.catalog, self._document.setup
        self.rod = min(self.rod, len(setup.rods) - 1)
        self.lure = self.lure if self.lure in catalog.lures else ""
        self.boat = self.boat if self.boat in catalog.boats else ""
        self._forget()
        self.sheet_changed.emit()

    # ---- the measurements

    def set_sheet(self, new: Sheet, text: str, key: str = "") -> None:
        """Other measurements or errors, undoably."""
        if new != self.sheet:
            stack = self._document.undo_stack
            push(stack, Step(self._adopt, self.sheet, new, text, key))

    def _adopt(self, old: Sheet, new: Sheet) -> None:
        """Do the step from ``old`` to ``new`` here and in the file, and take up what else came
        into that from another window."""
        self.sheet = sheet.merged(old, new, self.sheet)
        self._forget()
        self.keeper.keep()
        self.sheet_changed.emit()

    def _save(self) -> None:
        if not self._may_save:
            return
        together, aside = sheet.update(self._kept, self.sheet)
        self._kept = together
        if aside is not None:
            self.trouble.emit(f"{sheet.FILE} was damaged. {files.aside_in_words(aside)}")
        if together != self.sheet:
            self.sheet = together
            self.sheet_changed.emit()

    def rows(self) -> list[Row]:
        """All measurements as physics has them. Raises BadInput naming the line and column."""
        setup, catalog = self._document.setup, self._document.catalog
        rod = setup.rods[min(self.rod, len(setup.rods) - 1)]
        if self.lure:
            rod = replace(rod, lure=self.lure)
        errors = self.sheet.errors_as_taken
        return [
            row_of(line, number, errors, rod, catalog)
            for number, line in enumerate(self.sheet.lines, 1)
        ]

    def add(self, lines: tuple[Line, ...], text: str) -> None:
        """Add measurements at the end."""
        self.set_sheet(replace(self.sheet, lines=(*self.sheet.lines, *lines)), text)

    # ---- the fit

    def usual(self) -> tuple[str, ...]:
        """What these measurements can tell about, or nothing while they make no sense."""
        try:
            return tuple(prior.name for prior in usual_priors(self.gear(), self.rows()))
        except (InvalidValue, BadInput, KeyError):
            return ()

    @property
    def factors(self) -> tuple[str, ...]:
        """What is fitted: as chosen, or the usual."""
        return self.usual() if self.wanted is None else self.wanted

    def want(self, name: str, on: bool) -> None:
        """Fit a factor too, or not."""
        chosen = set(self.factors)
        chosen = chosen | {name} if on else chosen - {name}
        self.wanted = tuple(n for n in NAMES if n in chosen)
        self._forget()
        self.sheet_changed.emit()

    @property
    def busy(self) -> bool:
        """Whether a fit is being worked out."""
        return self.background.busy("fit")

    @property
    def progress(self) -> float:
        """Share of the fit that is done."""
        return self.background.share("fit")

    def fit(self) -> None:
        """Fit the gear to the measurements; what makes no sense is told instead."""
        self.found, self.refused, self.saved = None, "", ""
        try:
            if not self.sheet.lines:
                raise BadInput("measurements", "", None, "one line at least", "there are none yet")
            rows, gear = self.rows(), self.gear()
        except BadInput as error:
            self._refuse(str(error))
            return
        except InvalidValue as error:
            self._refuse(f"{error.field}: allowed is {error.allowed}")
            return
        if not self.factors:
            self._refuse("Choose something to fit first.")
            return
        self.background.ask("fit", self._fitted, fit_gear, gear, rows, self.factors, reports=True)
        self.fit_changed.emit()
        self.progress_changed.emit()

    def stop(self) -> None:
        """Give the fit up."""
        self.background.cancel("fit")
        self.progress_changed.emit()

    @property
    def fitted_of(self) -> tuple[str, ...]:
        """Names of the line, lure and boat that a fit tells of."""
        if self.found is None:
            return ()
        items = calibrated_items(self.found.result, self._document.catalog, date.today())
        return tuple(kept.copied for kept in items)

    @property
    def users(self) -> tuple[int, ...]:
        """Rods of the spread, by number, that have what was fitted."""
        told = set(self.fitted_of)
        return tuple(
            number
            for number, rod in enumerate(self._document.setup.rods)
            if {rod.line, rod.backing, rod.leader, rod.lure} & told
        )

    @property
    def boat_fitted(self) -> bool:
        """Whether the scenario's boat is what was fitted."""
        return self._document.setup.boat in self.fitted_of

    def keep(self, today: date, *, rods: Collection[int], boat: bool) -> list[str]:
        """Save the fit as things of the user's own; their names.

        They go on some ``rods``, by number, and with ``boat`` the scenario's boat is the new one.
        The fit stays.
        """
        if self.found is None:
            return []
        document, found = self._document, self.found
        stack, names = document.undo_stack, []
        self._saving = True
        stack.beginMacro("save what was fitted")
        try:
            setup = document.setup
            for kept in calibrated_items(found.result, document.catalog, today):
                name = self._shelf.add(kept.item, "save a fit")
                if not name:
                    continue
                names.append(name)
                if kept.item.group != "boat":
                    setup = renamed_in(setup, kept.copied, name, rods)
                elif boat:
                    setup = renamed_in(setup, kept.copied, name)
            if setup != document.setup:
                setup = replace(setup, doubt=known_doubt(setup, document.setup, document.catalog))
                document.edit(setup, "use what was fitted")
        finally:
            stack.endMacro()
            self._saving = False
        on = [document.setup.rods[number].name for number in sorted(rods)]
        on += ["the boat"] * boat
        self.saved = self._saved_words(names, on)
        self.fit_changed.emit()
        return names

    def _saved_words(self, names: list[str], on: list[str]) -> str:
        if not names:
            return "Nothing was saved: the line of this spread is written out in its file."
        return f"Saved: {'; '.join(names)}. Now on: {', '.join(on) or 'no rod yet'}."

    def close(self) -> None:
        """Keep what is not kept yet, and end the worker process."""
        self.keeper.close()
        self.background.close()

    # ---- inside

    def _forget(self) -> None:
        """The fit is of other measurements now."""
        if self._saving:
            return
        self.background.cancel("fit")
        self.refused = self.saved = ""
        if self.found is not None:
            self.found = None
        self.fit_changed.emit()

    def _refuse(self, why: str) -> None:
        self.refused = why
        self.fit_changed.emit()

    def _fitted(self, result: Any) -> None:
        if isinstance(result, Fitting):
            self.found = result
        else:
            self.refused = f"It could not be fitted ({result})."
        self.fit_changed.emit()
        self.progress_changed.emit()
