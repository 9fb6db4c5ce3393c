"""The steady answer of the plan on screen, worked out in parts beside the plan's other work."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.gear.catalog import Catalog
from app.planning.certainty import SurePart, sure_of, sure_part
from app.planning.doubts import in_doubt
from app.planning.plan import Plan
from app.planning.steady import (
    SteadyPlan,
    allowing,
    points,
    steady_grid,
    steady_of,
    steady_part,
    sure_already,
    taken_in,
)
from app.session.pool import WORKERS
from app.timing.alike import same_but_for_words
from physics.answers.chances import Chances
from physics.answers.steady import Drops

KINDS = tuple(f"{kind} {number}" for kind in ("steady", "seen") for number in range(WORKERS))
"""Its jobs: the table of waits and holds, then the drops at the two answers."""

Point = tuple[float, float]


class SteadyWork:
    """Asks for jobs by ``ask`` (kind, what takes the answer, job, arguments), says which are not
    needed by ``skip`` (kind), and tells by ``told`` that there is another answer or none."""

    def __init__(
        self, ask: Callable[..., None], skip: Callable[[str], None], told: Callable[[], None]
    ) -> None:
        self._ask, self._skip, self._told = ask, skip, told
        self.found: SteadyPlan | None = None
        self.seen: dict[Point, Chances] = {}
        self._plan: Plan | None = None
        self._catalog: Catalog | None = None
        self._samples = 0
        self._drops: dict[int, Drops] = {}
        self._parts: dict[int, SurePart] = {}

    @property
    def ready(self) -> SteadyPlan | None:
        """What is found, once the drops at both answers are seen."""
        return None if self.found is None or self._unseen() else self.found

    def begin(self, plan: Plan, catalog: Catalog, samples: int) -> None:
        """Work it out for a full plan, as far as it is not known."""
        known = self._plan is not None and _same_drops(self._plan, plan)
        self._plan, self._catalog, self._samples = plan, catalog, samples
        if known and self.found is None:
            # under way
            return
        if known and self.found is not None:
            self.found = allowing(plan, self.found, plan.request.setup.timing.touch_chance)
            for kind in KINDS:
                self._skip(kind)
            self._see()
            return
        self.forget()
        self._plan = plan
        if not in_doubt(plan.request.setup.doubt):
            self.found = sure_already(plan)
            for kind in KINDS:
                self._skip(kind)
            self._told()
            return
        grid = steady_grid(plan)
        for number in range(WORKERS):
            got = partial(self._got, number)
            self._ask(f"steady {number}", got, steady_part, plan.request, catalog, grid, number,
                      WORKERS, samples)  # fmt: skip

    def forget(self) -> None:
        """Of another drop nothing is known."""
        self.found, self._plan = None, None
        self.seen.clear()
        self._drops.clear()
        self._parts.clear()

    def take(self, point: Point, sure: Chances) -> None:
        """What the drops at a point say, found anyhow."""
        self.seen[point] = sure

    def _got(self, number: int, part: Drops) -> None:
        self._drops[number] = part
        if len(self._drops) == WORKERS and self._plan is not None:
            self.found = steady_of(self._plan, [self._drops[k] for k in range(WORKERS)])
            self._drops.clear()
            self._see()

    def _unseen(self) -> list[Point]:
        assert self.found is not None
        return (
            [] if self.found.drops == 1 else [p for p in points(self.found) if p not in self.seen]
        )

    def _see(self) -> None:
        """Take in the drops at both answers, and ask for those not run yet."""
        assert self._plan is not None
        assert self.found is not None
        before = None
        while before != (before := self.found):
            for point in points(self.found):
                if point in self.seen:
                    self.found = taken_in(self._plan, self.found, self.seen[point], *point)
        unseen = self._unseen()
        if not unseen:
            for number in range(WORKERS):
                self._skip(f"seen {number}")
            self._told()
            return
        self._parts.clear()
        for number in range(WORKERS):
            got = partial(self._got_seen, unseen[0], number)
            self._ask(f"seen {number}", got, sure_part, self._plan.request, self._catalog,
                      unseen[0], number, WORKERS, self._samples)  # fmt: skip

    def _got_seen(self, point: Point, number: int, part: SurePart) -> None:
        self._parts[number] = part
        if len(self._parts) == WORKERS:
            self.seen[point] = sure_of([self._parts[k] for k in range(WORKERS)])
            self._parts.clear()
            self._see()


def _same_drops(old: Plan, new: Plan) -> bool:
    """Whether what is known of one plan's samples is so of the other's."""
    return (
        same_but_for_words(old.situation.scenario, new.situation.scenario)
        and (old.situation.bottom, old.situation.aim) == (new.situation.bottom, new.situation.aim)
        and (old.request.waits, old.request.holds) == (new.request.waits, new.request.holds)
        and old.request.setup.doubt == new.request.setup.doubt
    )
