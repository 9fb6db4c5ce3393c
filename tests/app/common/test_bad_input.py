"""A refusal comes back from a worker as it was."""

from __future__ import annotations

import pickle

from app.common.bad_input import BadInput


def test_that_a_refusal_comes_back_from_another_process_as_it_was() -> None:
    error = BadInput("my.csv", "line 3", "ten", "a number", "is no number")
    again = pickle.loads(pickle.dumps(error))
    assert (str(again), vars(again)) == (str(error), vars(error))
