"""What a plan is asked for: speed, bottom, mark, how near, how clear, and how sure the inputs are.

A number that makes no sense stays in its field with the reason under it, and
nothing is computed from it; the setup is changed only once all fields agree.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import NoReturn

from app.common.quantities import Quantity
from app.common.units import PERCENT, Unit
from app.planning.words import refusal_words
from app.scenario import keys
from app.scenario.limits import MARK_EDGE
from app.scenario.setup import Setup, with_bottom
from app.session.document import Document
from app.timing.model import Planner
from app.ui.fold import FoldPanel
from app.ui.number_field import Field, NumberField, Waiting
from app.ui.panel import Panel
from app.ui.preferences import Preferences
from physics.checks import InvalidValue
from physics.environment.water import Bottom
from physics.simulation.scenario import MARK_LIMITS, Mark

QUANTITIES = {
    "speed": keys.HELM_SPEED,
    "bottom": keys.BOTTOM,
    "mark_top": replace(MARK_EDGE, words="top of the mark"),
    "mark_low": replace(MARK_EDGE, words="bottom of the mark"),
    "radius": keys.NEAR,
    "clearance": keys.CLEAR,
}

FIELD_OF = {
    "speed": "speed",
    "bottom": "bottom",
    "mark depth": "mark_top",
    "mark band": "mark_low",
    "radius": "radius",
    "clearance": "clearance",
}
"""Which field a refusal belongs to."""

WORDS = {
    "speed": "Speed",
    "bottom": "Bottom at the mark",
    "mark_top": "Mark from",
    "mark_low": "to",
    "radius": "Strike radius",
    "clearance": "Keep off bottom",
}
"""What stands beside each field."""

NOT_YET = "Not used yet."

GROUND = ("bottom", "mark_top", "mark_low")
"""Fields that may put the mark under the bottom."""

HAIR = 1e-6
"""Of two depths told in trade units, m: less than this is rounding."""


class PlanNumber(NumberField):
    """A number of the plan; what is wrong is told in the units on screen."""

    def __init__(self, fields: PlanFields, key: str, quantity: Quantity) -> None:
        self._fields, self._key = fields, key
        super().__init__(
            quantity, partial(fields.value, key), partial(fields.try_out, key), fields.preferences
        )

    def reset(self) -> None:
        """A number taken back waits for no other any more."""
        self._fields.forget(self._key)
        super().reset()

    def why(self, error: InvalidValue) -> str:
        return self._fields.why(error)


class PlanFields(Panel):
    """The fields. Accepted changes go to the setup, undoably."""

    def __init__(self, planner: Planner, document: Document, preferences: Preferences) -> None:
        super().__init__("What is asked")
        self._planner, self._document, self.preferences = planner, document, preferences
        self._pending: dict[str, float] = {}
        self.fields: dict[str, Field] = {}
        for key, words in WORDS.items():
            self.fields[key] = field = Field(words, PlanNumber(self, key, QUANTITIES[key]))
            self.body.addWidget(field)
        document.setup_changed.connect(self.show_setup)
        preferences.units_changed.connect(self.show_setup)
        planner.changed.connect(self._planned)
        self.show_setup()

    @property
    def _unit(self) -> Unit:
        return self.preferences.length

    # ---- show

    def show_setup(self) -> None:
        """Show the setup on screen; what was refused is forgotten."""
        self._pending.clear()
        for field in self.fields.values():
            field.box.renew()
            field.error.say("")
        low, there = self.value("mark_low"), self.value("bottom")
        if low > there + HAIR:
            self.fields["mark_low"].error.say(
                f"Counts down to the bottom, {self._unit.text(there)}."
            )
        bottom = self.fields["bottom"].box
        bottom.setEnabled(self._document.setup.water.bottom.is_level)
        if not bottom.isEnabled():
            bottom.setToolTip("This scenario has a bottom profile; it is set in its file")
        self._planned()

    def _mark(self, setup: Setup) -> Mark:
        """The setup's mark, or the one a plan takes without."""
        return setup.mark or Mark(self._document.mark_depth(), time=10.0)

    def _planned(self) -> None:
        """Show a refusal of the setup as it is, at its field."""
        error = self._planner.refused
        if error is not None and not self._pending:
            key = FIELD_OF.get(error.field)
            if key is not None:
                self.fields[key].error.say(self.why(error))

    # ---- change

    def forget(self, key: str) -> None:
        """A number that was not taken yet is taken back."""
        self._pending.pop(key, None)

    def value(self, key: str) -> float:
        """What the setup says, SI."""
        setup = self._document.setup
        mark = self._mark(setup)
        return {
            "speed": setup.speed,
            "bottom": self._planner.depth_at_mark(setup),
            "mark_top": mark.depth - mark.band,
            "mark_low": mark.depth + mark.band,
            "radius": setup.timing.radius,
            "clearance": setup.timing.clearance,
        }[key]

    def try_out(self, key: str, value: float) -> None:
        """Try the setup with everything entered since the last one that made sense.

        Raises InvalidValue (about this field) or Waiting (about another).
        """
        self._pending[key] = value
        for other in self.fields.values():
            other.error.say("")
        try:
            wanted = self._wanted(self._document.setup)
            self._check_ground(wanted)
            if (wrong := self._planner.check(wanted)) is not None:
                raise wrong
            name = min(self._pending)
            self._document.change(wanted, f"the plan's {key.replace('_', ' ')}", f"plan {name}")
        except InvalidValue as error:
            self._refuse(key, error)
        self.show_setup()

    def _wanted(self, setup: Setup) -> Setup:
        """The setup with the pending numbers. Raises InvalidValue."""
        given = self._pending
        if "mark_top" in given or "mark_low" in given:
            top = given.get("mark_top", self.value("mark_top"))
            low = given.get("mark_low", self.value("mark_low"))
            if low - top < 2.0 * MARK_LIMITS["band"].low:
                allowed = f"deeper than the mark's top, {self._unit.text(top)}"
                raise InvalidValue("mark band", low, allowed)
            mark = replace(self._mark(setup), depth=0.5 * (top + low), band=0.5 * (low - top))
            setup = replace(setup, mark=mark)
        if "bottom" in given:
            setup = with_bottom(setup, given["bottom"])
        if "speed" in given:
            setup = replace(setup, speed=given["speed"])
        kept = {name: given[name] for name in ("radius", "clearance") if name in given}
        return replace(setup, timing=replace(setup.timing, **kept))

    def _check_ground(self, setup: Setup) -> None:
        """Raise InvalidValue where the mark that is entered lies under the bottom."""
        if setup.mark is None or self._pending.keys().isdisjoint(GROUND):
            return
        there = self._planner.depth_at_mark(setup)
        if setup.mark.depth - setup.mark.band >= there:
            raise InvalidValue("mark depth", setup.mark.depth, "no deeper than the bottom")
        if setup.mark.depth + setup.mark.band > there + HAIR:
            allowed = f"no deeper than the bottom, {self._unit.text(there)}"
            raise InvalidValue("mark band", setup.mark.depth + setup.mark.band, allowed)

    def _refuse(self, key: str, error: InvalidValue) -> NoReturn:
        """Say it at the field it is about; the other numbers wait."""
        # what has to do with none of these fields the one just entered has to say
        about = FIELD_OF.get(error.field, key)
        for other in self._pending:
            if other not in (about, key):
                self.fields[other].box.hold(NOT_YET, wrong=False)
        if about == key:
            raise error
        self.fields[about].error.say(self.why(error))
        raise Waiting(NOT_YET) from error

    def why(self, error: InvalidValue) -> str:
        """A refusal in the units on screen."""
        bottom, there = self._document.setup.water.bottom, self.value("bottom")
        if "bottom" in self._pending:
            there = self._pending["bottom"]
            bottom = Bottom.level(there)
        return refusal_words(error, bottom, there, self._unit)


class UnsureFields(FoldPanel):
    """How unsure the inputs are, plus or minus; folded until somebody asks."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__("Uncertainty")
        self._document = document
        self.boxes: dict[str, NumberField] = {}
        for doubt in keys.DOUBT:
            name = doubt.attribute
            self.boxes[name] = box = NumberField(
                doubt, partial(self._doubt, name), partial(self._set_doubt, name), preferences,
                f"{doubt.title}, unsure by",
            )  # fmt: skip
            self.body.addWidget(Field(doubt.title, box))
        self.set_open(False)
        document.setup_changed.connect(self.show_setup)
        self.show_setup()

    def show_setup(self) -> None:
        """Show the setup on screen; what was refused is forgotten."""
        for box in self.boxes.values():
            box.renew()
        most = max(self._doubt(name) for name in self.boxes)
        self.summarize(f"up to ± {PERCENT.text(most, 0)}")

    def _doubt(self, name: str) -> float:
        return float(getattr(self._document.setup.doubt, name))

    def _set_doubt(self, name: str, share: float) -> None:
        setup = self._document.setup
        doubt = replace(setup.doubt, **{name: share})
        words = f"how unsure: {keys.DOUBT_WORDS[name]}"
        self._document.change(replace(setup, doubt=doubt), words, f"doubt {name}")
