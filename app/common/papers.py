"""The papers a helm card is drawn for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet: its size in points as it lies, and how many cards it holds, one under another."""

    name: str
    width: float
    height: float
    cards: int


_MM = 72.0 / 25.4

PAPERS = {
    paper.name: paper
    for paper in (
        Paper("A5", 210.0 * _MM, 148.0 * _MM, 1),
        Paper("half letter", 8.5 * 72.0, 5.5 * 72.0, 1),
        Paper("A4, two to a sheet", 210.0 * _MM, 297.0 * _MM, 2),
        Paper("letter, two to a sheet", 8.5 * 72.0, 11.0 * 72.0, 2),
    )
}
"""By name, for menus."""
