"""How hard every element of a line is pulled, against what it stands."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from physics.line.handling import Handling
from physics.line.mesh import SLACK_TENSION, Resolution, line_pieces
from physics.line.tackle import LineSection, Rod

Array = NDArray[np.float64]
Index = NDArray[np.intp]


def strength_of(rod: Rod, resolution: Resolution, handled: Handling | None) -> Strength:
    """The elements of one line; one that is not handled is not cut again for every frame."""
    return Strength(rod, resolution, handled) if handled else _unhandled(rod, resolution)


@lru_cache(maxsize=64)
def _unhandled(rod: Rod, resolution: Resolution) -> Strength:
    return Strength(rod, resolution, None)


class Strength:
    """The elements of one line, and which kinds of line they are cut from.

    ``sections`` are the kinds whose strength is known, each once.
    """

    def __init__(self, rod: Rod, resolution: Resolution, handled: Handling | None) -> None:
        pieces = [*(handled.spare if handled else []), *line_pieces(rod.sections, resolution)]
        self._handled = handled
        self._length = np.array([length for _, length in pieces])
        self._stiffness = np.array([section.stiffness for section, _ in pieces])
        known: dict[tuple[str, float], LineSection] = {}
        for section, _ in pieces:
            if section.strength:
                known.setdefault((section.name, section.strength), section)
        self.sections = tuple(known.values())
        self._of = [
            np.array([(section.name, section.strength) == key for section, _ in pieces])
            for key in known
        ]

    def tensions(self, time: Array, position: Array, tips: Index) -> Array:
        """Greatest tension in each of ``sections`` (n, sections), N; 0 on the reel.

        At times (n,), s, with nodes (n, 3, K) and those at the rod tip (n,).
        """
        stretch = np.diff(position[:, :, :-1], axis=2)
        length = np.repeat(self._length[None], len(time), axis=0)
        if self._handled is not None:
            rows = np.arange(len(time))
            length[rows, tips] = [
                self._handled.tip_length(float(t), int(tip))
                for t, tip in zip(time, tips, strict=True)
            ]
        strain = np.sqrt((stretch * stretch).sum(axis=1)) / length - 1.0
        blur = SLACK_TENSION / self._stiffness
        tension = 0.5 * self._stiffness * (strain + np.sqrt(strain * strain + blur * blur))
        tension[np.arange(len(self._length)) < tips[:, None]] = 0.0
        out = np.zeros((len(time), len(self.sections)))
        for k, mine in enumerate(self._of):
            out[:, k] = tension[:, mine].max(axis=1)
        return out
