"""A change done to what the log holds by then, which another window may have changed meanwhile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta

from app.log.entry import Entry
from app.log.tables import microseconds

AGAIN = timedelta(microseconds=1)
"""The least by which a change is later than the one before."""

CHANGEABLE = [each.name for each in fields(Entry) if each.name not in ("id", "changed")]


@dataclass(frozen=True, slots=True)
class Marking:
    """Entries that are removed or, not ``gone``, come back as they lie in the file, unread: for
    those that would hold the window if each were read and written. ``seen`` is when each was
    last changed, by id, in microseconds."""

    seen: Mapping[str, int]
    gone: bool

    def stamps(self, there: Mapping[str, int], own: Mapping[str, int]) -> dict[str, int]:
        """When those of ``there`` that are marked are changed by it. What is to go and was
        changed meanwhile, not by this window (its ``own`` changes), stays."""
        now = microseconds(datetime.now(UTC))
        return {
            id_: max(now, changed + 1)
            for id_, changed in there.items()
            if not self.gone or changed in (self.seen[id_], own.get(id_))
        }


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
