"""Work on many things in one batch, or on each by itself where one of them finds no answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from physics.line.march import ConvergenceError

Item = TypeVar("Item")
Found = TypeVar("Found")


def together_or_alone(
    job: Callable[[Sequence[Item]], Sequence[Found]],
    items: Sequence[Item],
    failed: Callable[[Exception], Found],
    refusals: tuple[type[Exception], ...] = (ConvergenceError,),
) -> list[Found]:
    """What a job finds for all items at once; one by one if it raises one of ``refusals``.

    An item that is refused by itself gets what ``failed`` makes of the error: the others do not
    suffer from it.
    """
    try:
        return list(job(items))
    except refusals as error:
        if len(items) == 1:
            return [failed(error)]
    return [one for item in items for one in together_or_alone(job, [item], failed, refusals)]
