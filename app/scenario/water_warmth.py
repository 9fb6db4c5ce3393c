"""The water told by temperature and salt: what it is, and how it is changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from app.scenario.setup import Setup
from physics.environment.seawater import temperature_and_salinity
from physics.environment.water import Water, seawater_density, seawater_viscosity

USUAL = (15.0, 32.0)
"""Temperature, deg C, and salinity, psu, offered for a water that is told otherwise: assumed,
inshore in summer."""


class WaterWarmth:
    """``setup`` gives the setup in hand, ``change`` takes one with other water."""

    def __init__(self, setup: Callable[[], Setup], change: Callable[[Setup], None]) -> None:
        self._setup, self._change = setup, change
        self._of: Water | None = None
        self._found: tuple[float, float] | None = None

    @property
    def known(self) -> bool:
        """Whether a temperature and salinity make this water."""
        return self._pair() is not None

    def temperature(self) -> float:
        """Degrees C."""
        return (self._pair() or USUAL)[0]

    def salinity(self) -> float:
        """Practical salinity."""
        return (self._pair() or USUAL)[1]

    def set_temperature(self, value: float) -> None:
        """Another temperature, the salt as it is. Raises InvalidValue."""
        self.make(value, self.salinity())

    def set_salinity(self, value: float) -> None:
        """Other salt, the temperature as it is. Raises InvalidValue."""
        self.make(self.temperature(), value)

    def make(self, temperature: float, salinity: float) -> None:
        """Water of a temperature and salinity. Raises InvalidValue."""
        setup = self._setup()
        water = replace(
            setup.water,
            density=seawater_density(temperature, salinity),
            viscosity=seawater_viscosity(temperature, salinity),
        )
        self._of, self._found = water, (temperature, salinity)
        self._change(replace(setup, water=water))

    def _pair(self) -> tuple[float, float] | None:
        water = self._setup().water
        if water != self._of:
            self._of, self._found = water, temperature_and_salinity(water)
        return self._found
