"""What knowing an input would buy: the value of information, from the samples of ``steady``.

A skipper who knew one input would wait and hold as is best for it. What is best for it is
learned from some samples by regression of the worth at every wait and hold on that input, and
tried on the others (Strong, Oakley & Brennan 2014, Med. Decis. Making 34, 311-326, from memory,
have the regression; cross-validation keeps its errors from being taken for knowledge). So what
is told is, but for chance, no more than perfect knowledge of that input alone is worth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.answers.doubt import INPUTS

Array = NDArray[np.float64]

FOLDS = 8
"""Parts the samples are cut into; each is tried with what the others teach."""

DEGREE = 3
"""Of the polynomial in the logarithm of an input."""

EVIDENT = 2.0
"""A gain of fewer standard errors is not told from none."""

LEAST = 0.1
"""Nor is one that is a smaller share of the window."""


@dataclass(frozen=True, slots=True)
class Worth:
    """``window`` s expected of the best wait and hold, drops that touch counted as none, and how
    much longer it would be, (inputs,) s, were each input known: ``gain``, with its ``error``."""

    window: float
    gain: Array
    error: Array

    @property
    def evident(self) -> tuple[str, ...]:
        """Names of the inputs worth knowing, the most first."""
        told = (self.gain > EVIDENT * self.error) & (self.gain > LEAST * self.window)
        order = np.argsort(-self.gain, kind="stable")
        return tuple(INPUTS[i] for i in order if told[i])

    def of(self, name: str) -> tuple[float, float]:
        """The gain from knowing one input and its error, s."""
        at = INPUTS.index(name)
        return float(self.gain[at]), float(self.error[at])


def worth_of(rows: Array, worth: Array | NDArray[np.float32]) -> Worth:
    """From ``rows`` (S, inputs) and the ``worth`` (S, ...) s of every wait and hold."""
    flat = worth.reshape(len(rows), -1).astype(float)
    flat = flat[:, flat.max(axis=0) > 0.0]
    told = np.zeros((2, rows.shape[1]))
    if not flat.size:
        return Worth(0.0, *told)
    best = int(flat.mean(axis=0).argmax())
    for i, column in enumerate(np.log(rows).T):
        if np.ptp(column) > 0.0:
            told[:, i] = _gain(column, flat, best)
    return Worth(float(flat[:, best].mean()), *told)


def _gain(known: Array, worth: Array, best: int) -> tuple[float, float]:
    """The gain over the ``best`` for all (S, A), with one input ``known`` (S,), and its error."""
    count = len(known)
    scaled = (known - known.mean()) / known.std()
    powers = np.vander(scaled, DEGREE + 1)
    fold = np.empty(count, dtype=int)
    # each part is spread over the whole range of the input
    fold[np.argsort(known, kind="stable")] = np.arange(count) % FOLDS
    gain = np.zeros(count)
    for number in range(min(FOLDS, count)):
        tried = np.flatnonzero(fold == number)
        others = fold != number
        learned = np.linalg.pinv(powers[others]) @ worth[others]
        chosen = (powers[tried] @ learned).argmax(axis=1)
        gain[tried] = worth[tried, chosen] - worth[tried, best]
    return max(float(gain.mean()), 0.0), float(gain.std() / np.sqrt(max(count - 1, 1)))
