"""A change done to what the log holds by then, which another window may have changed meanwhile."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta

from app.log.entry import Entry

AGAIN = timedelta(microseconds=1)
"""The least by which a change is later than the one before."""

CHANGEABLE = [each.name for each in fields(Entry) if each.name not in ("id", "changed")]


def clash(old: Entry, new: Entry, there: Entry) -> bool:
    """Whether one attribute became one thing in ``new``, and another in ``there``."""
    return any(
        getattr(new, name) != getattr(old, name) != getattr(there, name) != getattr(new, name)
        for name in CHANGEABLE
    )


def stepped(old: Entry, new: Entry, there: Entry) -> Entry:
    """What is there, with what was done from ``old`` to ``new`` done to it."""
    done = {
        name: getattr(new, name) for name in CHANGEABLE if getattr(new, name) != getattr(old, name)
    }
    return replace(there, **done)


def stamped(entry: Entry, there: Entry | None) -> Entry:
    """Changed now, and after what is there though the clock was set back."""
    now = datetime.now(UTC)
    return replace(entry, changed=now if there is None else max(now, there.changed + AGAIN))
