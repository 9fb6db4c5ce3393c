"""An exception in one line, for whoever helps."""

from __future__ import annotations


def in_a_line(error: BaseException) -> str:
    """Its kind and what it says."""
    return " ".join(f"{type(error).__name__}: {error}".split())
