"""What the helm of a live run says at an instant: lever, throttle, wheel, holds and the mark."""

from __future__ import annotations

from dataclasses import dataclass

from app.session.picture import PlacedMark
from physics.simulation.events import out_of_gear_intervals
from physics.simulation.run import Run
from physics.vessel.helm import HelmTrack


@dataclass(frozen=True, slots=True)
class HelmReading:
    """A run read at the time ``now``, s; orders given for later do not count yet."""

    run: Run
    now: float

    @property
    def in_gear(self) -> bool:
        """What the lever says."""
        return self.run.boat(self.now).in_gear

    @property
    def under_orders(self) -> bool:
        """Whether the helm answers: not when the motion is prescribed."""
        return isinstance(self.run.track(), HelmTrack)

    @property
    def throttle(self) -> tuple[float, int]:
        """Throttle, m/s through the water, and engines in use."""
        track = self.run.track()
        if isinstance(track, HelmTrack):
            speed, engines, _ = track.throttle_at(self.now)
            return speed, engines
        return self.run.boat(self.now).speed, 1

    @property
    def wheel(self) -> float:
        """Curvature the wheel asks for, 1/m, positive to starboard."""
        track = self.run.track()
        return track.throttle_at(self.now)[2] if isinstance(track, HelmTrack) else 0.0

    @property
    def spells(self) -> list[tuple[float, float]]:
        """(out of gear, in gear) times so far, s; infinity while still out."""
        orders = self.run.track().orders
        return [(out, back) for out, back in out_of_gear_intervals(orders) if out <= self.now]

    @property
    def hold_so_far(self) -> float | None:
        """Seconds out of gear, or None in gear."""
        spells = self.spells
        if spells and spells[-1][1] > self.now:
            return self.now - spells[-1][0]
        return None

    @property
    def last_hold(self) -> float | None:
        """Length of the last finished hold, s."""
        done = [back - out for out, back in self.spells if back <= self.now]
        return done[-1] if done else None

    @property
    def mark(self) -> PlacedMark | None:
        """The newest mark that has been under the sounder."""
        orders = self.run.track().orders
        given = [order for order in orders if order.action == "mark" and order.time <= self.now]
        if not given:
            return None
        last = given[-1]
        boat = self.run.boat(last.time)
        return PlacedMark(last.time, boat.x, boat.y, last.value)

    def wait_ends(self, wait: float) -> float | None:
        """When a boat that waits ``wait`` s after a mark goes out of gear, s.

        None without a mark, out of gear, after a hold on this mark, or off orders.
        """
        mark = self.mark
        if mark is None or not self.in_gear or not self.under_orders:
            return None
        if any(out >= mark.time for out, _ in out_of_gear_intervals(self.run.track().orders)):
            return None
        return mark.time + wait

    def hold_ends(self, hold: float) -> float | None:
        """When a boat that holds ``hold`` s goes back in gear, s.

        None in gear, and when the order to go back is given already.
        """
        spells = self.spells
        if not spells or spells[-1][1] != float("inf"):
            return None
        return spells[-1][0] + hold
