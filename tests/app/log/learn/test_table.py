import math

import numpy as np
import pytest

from app.common.units import FOOT
from app.log.learn.factors import FACTORS
from app.log.learn.table import UNKNOWN, Columns, table_of


def columns(**values) -> Columns:
    rows = len(next(iter(values.values())))
    return Columns(["a"] * rows, [f"{n}" for n in range(rows)], [0.0] * rows, [60.0] * rows, values)


def test_that_numbers_go_to_the_nearest_step_and_halves_up() -> None:
    table = table_of(columns(hold=[12.4, 12.5, 15.0, 17.4, 17.5]))
    assert table.levels["hold"] == (10.0, 15.0, 20.0)
    assert list(table.codes["hold"]) == [0, 1, 1, 1, 2]


def test_that_heights_are_in_steps_of_two_feet() -> None:
    table = table_of(columns(off_bottom=[FOOT.to_si(h) for h in (3.1, 4.9, 5.1, 8.0)]))
    assert [round(FOOT.from_si(level)) for level in table.levels["off_bottom"]] == [4, 6, 8]


def test_that_what_is_not_known_is_at_no_level() -> None:
    table = table_of(columns(hold=[math.nan, 20.0], side=["", "deep"]))
    assert list(table.codes["hold"]) == [UNKNOWN, 0]
    assert list(table.codes["side"]) == [UNKNOWN, 0]
    assert table.levels["side"] == ("deep",)


def test_that_a_line_nobody_timed_fished_no_hours() -> None:
    seconds = [math.nan, -5.0, math.inf, 1800.0]
    rows = Columns(["a"] * 4, list("abcd"), [0.0] * 4, seconds, {})
    assert list(table_of(rows).hours) == [0.0, 0.0, 0.0, 0.5]


def test_that_every_factor_has_its_own_key_and_title() -> None:
    assert len({f.key for f in FACTORS}) == len({f.title for f in FACTORS}) == len(FACTORS)


@pytest.mark.parametrize("rows", [0, 1])
def test_that_no_row_or_one_makes_a_table(rows) -> None:
    table = table_of(Columns(["a"] * rows, ["a"] * rows, [1.0] * rows, [9.0] * rows, {}))
    assert len(table) == table.drops == rows
    assert np.all(table.hit == 1.0)
