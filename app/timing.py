"""What the timing of a drop has to keep to.

Depends on: physics.checks, physics.timing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, overload

from physics.checks import require_number
from physics.timing import CLEARANCE, CLEARANCES, RADII, RADIUS


@dataclass(frozen=True, slots=True)
class Timing:
    """Lengths in m.

    ``clearance`` is how far every line is to stay off the bottom, ``radius``
    how near the mark's place, seen from above, a lure must pass to count.
    Raises Unusable (clearance, radius).
    """

    clearance: float = CLEARANCE
    radius: float = RADIUS

    def __post_init__(self) -> None:
        require_number("clearance", self.clearance, *CLEARANCES, "m")
        require_number("radius", self.radius, *RADII, "m")


class SetupsOwn:
    """A dataclass field that is a number; None given for it means that of ``setup.timing``.

    The owner's ``setup`` comes before it, and the owner has no slots.
    """

    def __set_name__(self, _owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, owner: None, kind: type) -> None: ...

    @overload
    def __get__(self, owner: object, kind: type) -> float: ...

    def __get__(self, owner: Any, kind: type) -> float | None:
        # read from the class it is the field's default
        return None if owner is None else owner.__dict__[self._name]

    def __set__(self, owner: Any, value: float | None) -> None:
        own = getattr(owner.setup.timing, self._name)
        owner.__dict__[self._name] = own if value is None else value
