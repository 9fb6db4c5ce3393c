"""Frames and edits of a live run under test."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from app.scenario.setup import Setup
from app.session.clock import MOST_CATCH_UP
from tests.app.by_hand import Live


def uneven(seed: int) -> Callable[[], float]:
    """Frame times of a busy machine, wall s."""
    rng = np.random.default_rng(seed)
    return lambda: float(rng.uniform(0.004, 0.98 * MOST_CATCH_UP))


def shallower(live: Live) -> Setup:
    """The setup on screen with a shorter first line."""
    setup = live.document.setup
    first = replace(setup.rods[0], line_out=0.5 * setup.rods[0].line_out)
    return replace(setup, rods=(first, *setup.rods[1:]))
