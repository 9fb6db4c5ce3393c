"""The current or the wind of a setup as a speed and a bearing, each changed alone."""

from __future__ import annotations

import math
from collections.abc import Callable, MutableMapping
from dataclasses import replace
from typing import Literal

from app.scenario.setup import Setup
from physics.environment.water import compass_vector


class WaterFlow:
    """SI; bearings are the way the flow goes.

    What has no speed keeps the bearing it was put on in ``bearings``, by its name.
    """

    def __init__(
        self,
        name: Literal["current", "wind"],
        setup: Callable[[], Setup],
        change: Callable[[Setup], None],
        bearings: MutableMapping[str, float],
    ) -> None:
        self._name, self._setup, self._change = name, setup, change
        self._bearings = bearings

    @property
    def _flow(self) -> tuple[float, float]:
        flow: tuple[float, float] = getattr(self._setup().water, self._name)
        return flow

    def speed(self) -> float:
        """m/s."""
        return math.hypot(*self._flow)

    def toward(self) -> float:
        """The way it goes, rad."""
        east, north = self._flow
        if east or north:
            self._bearings[self._name] = math.atan2(east, north)
        return self._bearings[self._name]

    def source(self) -> float:
        """Where it comes from, rad."""
        return self.toward() + math.pi

    def set_speed(self, speed: float) -> None:
        """Another speed, m/s, the same way."""
        self._put(speed, self.toward())

    def set_toward(self, bearing: float) -> None:
        """Another way to go, rad, as fast as before."""
        speed, self._bearings[self._name] = self.speed(), bearing
        self._put(speed, bearing)

    def set_source(self, bearing: float) -> None:
        """Another way to come from, rad."""
        self.set_toward(bearing - math.pi)

    def _put(self, speed: float, bearing: float) -> None:
        east, north = compass_vector(bearing)
        setup = self._setup()
        flow = (speed * east, speed * north)
        water = replace(setup.water, **{self._name: flow})  # type: ignore[arg-type]
        self._change(replace(setup, water=water))
