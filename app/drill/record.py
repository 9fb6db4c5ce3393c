"""What came of rounds, kept as soon as it is known, also of those that were left before it was."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.drill.score import Best, Ended, Taken, score, scored_late
from app.drill.store import SCORED, Result, Store
from app.drill.words import errors
from app.gear.catalog import Catalog
from app.planning.plan import Plan
from app.planning.steady import SteadyPlan, steady_plan
from app.session.background import Background
from app.session.keeper import Keeper
from app.session.pool import Rank


class Record:
    """Writes results to a ``store``; ``told`` hears that there are others, ``trouble`` (text) why
    a round has none."""

    def __init__(
        self,
        store: Store,
        keeper: Keeper,
        background: Background,
        told: Callable[[], None],
        trouble: Callable[[str], None],
    ) -> None:
        self._store, self._keeper, self._background = store, keeper, background
        self._told, self._trouble = told, trouble
        self._unscored: list[tuple[Ended, tuple[float, ...], tuple[float, ...]]] = []
        self._unsteady: list[tuple[int, Plan, Catalog]] = []

    def break_off(self, number: int, orders: str) -> None:
        """A round was left before its end."""
        self._store.break_off(number, orders)
        self._keeper.keep()

    def finish(self, ended: Ended, taken: Taken, best: Best) -> None:
        """A round has its score."""
        self._store.finish(ended.number, _result(ended, taken, best))
        self._keeper.keep()

    def tell_steady(self, number: int, found: SteadyPlan) -> None:
        """A round has its steady answer."""
        if found.answer is not None:
            self._store.tell_steady(number, found.answer)
            self._keeper.keep()

    def score_left(self, ended: Ended, waits: tuple[float, ...], holds: tuple[float, ...]) -> None:
        """Score a round that was left after its end, against what is best of waits and holds, s."""
        self._unscored.append((ended, waits, holds))
        self._score_oldest()

    def steady_left(self, number: int, best: Best, catalog: Catalog) -> None:
        """Look for the steady answer of a scored round that was left."""
        if best.plan.answer is not None:
            self._unsteady.append((number, best.plan, catalog))
            self._steady_oldest()

    def close(self) -> None:
        """Nothing is looked for any more: what has no score is broken off."""
        for ended, _, _ in self._unscored:
            self._store.break_off(ended.number, ended.orders)
        self._keeper.keep()

    def _score_oldest(self) -> None:
        if self._unscored and not self._background.busy("late"):
            self._background.ask(
                "late", self._got_score, scored_late, *self._unscored[0], reports=True
            )

    def _got_score(self, result: Any) -> None:
        ended, _, _ = self._unscored.pop(0)
        if isinstance(result, tuple):
            self.finish(ended, *result)
            self.steady_left(ended.number, result[1], ended.catalog)
        else:
            self._trouble(f"A round could not be scored ({result}).")
            self.break_off(ended.number, ended.orders)
        self._told()
        self._score_oldest()

    def _steady_oldest(self) -> None:
        if self._unsteady and not self._background.busy("steady late"):
            _, plan, catalog = self._unsteady[0]
            self._background.ask(
                "steady late", self._got_steady, steady_plan, plan, catalog,
                reports=True, rank=Rank.CARD,
            )  # fmt: skip

    def _got_steady(self, result: Any) -> None:
        number, _, _ = self._unsteady.pop(0)
        if isinstance(result, SteadyPlan):
            self.tell_steady(number, result)
        self._steady_oldest()


def _result(ended: Ended, taken: Taken, best: Best) -> Result:
    answer, points = best.plan.answer, score(taken, best)
    return Result(
        "", ended.round.level, ended.round.seed, SCORED,
        None if answer is None else points.points, points.window, points.possible,
        taken.wait, taken.hold,
        None if answer is None else answer.wait, None if answer is None else answer.hold,
        points.touches, points.crossings,
        ", ".join(errors(taken, best)), ended.orders,
    )  # fmt: skip
