"""Changes of the log, done to what it holds by then."""

from __future__ import annotations

from collections.abc import Sequence

from app.log.entry import Entry, same_but_changed
from app.log.reading import AT_ONCE, Entries
from app.log.stepping import Marking, clash, stamped, stepped
from app.log.tables import microseconds
from app.log.writing import Writer, batches

Exchange = tuple[Entry | None, Entry | None]
"""From one entry to another; None for none."""

Change = Exchange | Marking


def _about(change: Exchange) -> str:
    """The id of the entry, new or old."""
    about = change[1] or change[0]
    assert about is not None
    return about.id


class Applier:
    """Does changes to what is ``there``; remembers when this window last changed what."""

    def __init__(self, there: Entries) -> None:
        self._there = there
        self._own: dict[str, int] = {}

    def apply(self, changes: Sequence[Change], writer: Writer) -> None:
        """Do changes, oldest first, hundreds at once."""
        some: list[Exchange] = []
        for each in (*changes, None):
            if isinstance(each, tuple):
                some.append(each)
                continue
            for part in batches(some, AT_ONCE, _about):
                self._apply_some(writer, part)
            some.clear()
            if each is not None:
                self._apply_marking(writer, each)

    def _apply_some(self, writer: Writer, changes: Sequence[Exchange]) -> None:
        """Changes of an entry each, to what there is by now."""
        ids = [_about(change) for change in changes]
        known = {entry.id: entry for entry in self._there.of_ids(ids, gone=False)}
        put, gone, earlier = list[Entry](), dict[str, int](), list[Entry]()
        for id_, (old, new) in zip(ids, changes, strict=True):
            there = known.get(id_)
            other = old is not None and there is not None and not same_but_changed(there, old)
            if new is None:
                # what one removed and the other changed stays, changed
                if there is not None and not other:
                    gone[id_] = microseconds(stamped(there, there).changed)
                continue
            if old is None and there is not None:
                # back already, by somebody who had it in hand: this is what became of it
                continue
            if other:
                assert old is not None
                assert there is not None
                if clash(old, new, there):
                    earlier.append(there)
                new = stepped(old, new, there)
            put.append(stamped(new, there))
        writer.keep_earlier(earlier)
        writer.put(put)
        writer.mark(gone, gone=True)
        self._own |= {entry.id: microseconds(entry.changed) for entry in put}

    def _apply_marking(self, writer: Writer, marking: Marking) -> None:
        """Mark what there is by now."""
        ids = list(marking.seen)
        for first in range(0, len(ids), AT_ONCE):
            there = self._there.changed(ids[first : first + AT_ONCE], gone=not marking.gone)
            stamps = marking.stamps(there, self._own)
            writer.mark(stamps, gone=marking.gone)
            self._own |= stamps
