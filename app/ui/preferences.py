"""What numbers are told in, and the look; announced to all views."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from app.common import units
from app.common.quantities import Quantity
from app.common.scales import FEET, METERS, Scale
from app.common.units import Unit
from app.ui.look import LIGHT, LOOKS, Look

LENGTHS = {FEET: units.FOOT, METERS: units.METER}


class Preferences(QObject):
    """Length unit and look, and what speeds are told in, which the scenario says.

    ``units_changed`` and ``look_changed`` fire only on change.
    """

    units_changed = Signal()
    look_changed = Signal()

    def __init__(self, length: str = FEET, look: str = LIGHT.name) -> None:
        super().__init__()
        self._length = length if length in LENGTHS else FEET
        self._look = LOOKS.get(look, LIGHT)
        self._speed = "kn"

    @property
    def length_name(self) -> str:
        """``feet`` or ``meters``."""
        return self._length

    @property
    def length(self) -> Unit:
        """Unit of depths and distances."""
        return LENGTHS[self._length]

    @property
    def speed(self) -> Unit:
        """Unit of speeds: knots, or miles per hour."""
        return units.BOAT_SPEEDS[self._speed]

    @property
    def speed_name(self) -> str:
        """``kn`` or ``mph``."""
        return self._speed

    def scale(self, quantity: Quantity) -> Scale:
        """What a quantity is told in now."""
        scale = quantity.scales[self._length]
        return replace(scale, unit=self.speed) if scale.unit is units.KNOT else scale

    @property
    def rate(self) -> Unit:
        """Unit of sink rates."""
        return units.FOOT_PER_SECOND if self._length == FEET else units.METER_PER_SECOND

    @property
    def pull(self) -> Unit:
        """Unit of line tension."""
        return units.POUND_FORCE if self._length == FEET else units.NEWTON

    @property
    def look(self) -> Look:
        """The look in use."""
        return self._look

    def set_length(self, name: str) -> None:
        """``feet`` or ``meters``."""
        if name in LENGTHS and name != self._length:
            self._length = name
            self.units_changed.emit()

    def set_speed(self, name: str) -> None:
        """``kn`` or ``mph``."""
        if name in units.BOAT_SPEEDS and name != self._speed:
            self._speed = name
            self.units_changed.emit()

    def set_look(self, name: str) -> None:
        """Name of a look."""
        if name in LOOKS and name != self._look.name:
            self._look = LOOKS[name]
            self.look_changed.emit()
