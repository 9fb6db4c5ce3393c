"""What a disk may hold after the power went, at any instant of what a process did to it.

A file that was synced holds what it held then. Of what was written since, any part may be there,
the last piece torn. A name made, moved or removed is surely so when its folder was synced since;
any of the others may be, in any order, but a name that moves leads to the old file or the new.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

_HEAD = re.compile(rb"(.) (\d+) (-?\d+) (\d+) (\d+)\n")


@dataclass(frozen=True)
class Event:
    """One thing a process did: its kind, the file's number, an offset, and two texts."""

    kind: str
    inode: int
    at: int
    one: bytes
    two: bytes


def events(record: bytes) -> Iterator[Event]:
    """What ``recorder.c`` wrote down."""
    place = 0
    while place < len(record):
        head = _HEAD.match(record, place)
        assert head is not None
        first, second = int(head[4]), int(head[5])
        middle = head.end() + first
        place = middle + second
        one, two = record[head.end() : middle], record[middle:place]
        yield Event(head[1].decode(), int(head[2]), int(head[3]), one, two)


@dataclass(eq=False)
class File:
    """What is surely in it, and the pieces since: (offset, bytes), or (size, None) for a cut."""

    sure: bytes = b""
    since: list[tuple[int, bytes | None]] = field(default_factory=list)

    def after(self, pieces: list[tuple[int, bytes | None]]) -> bytes:
        """What it holds with these pieces."""
        held = bytearray(self.sure)
        for at, data in pieces:
            held.extend(bytes(max(at - len(held), 0)))
            if data is None:
                del held[at:]
            else:
                held[at : at + len(data)] = data
        return bytes(held)

    def sync(self) -> None:
        self.sure = self.after(self.since)
        self.since.clear()


@dataclass(eq=False)
class Folder:
    """The names that are surely in it, and those set (or removed, None) since, some at once."""

    sure: dict[str, File | Folder] = field(default_factory=dict)
    since: list[dict[str, File | Folder | None]] = field(default_factory=list)

    def after(self, changes: list[dict[str, File | Folder | None]]) -> dict[str, File | Folder]:
        """The names with these changes."""
        held: dict[str, File | Folder | None] = dict(self.sure)
        for change in changes:
            held.update(change)
        return {name: node for name, node in held.items() if node is not None}

    def sync(self) -> None:
        self.sure = self.after(self.since)
        self.since.clear()


class Disk:
    """The folder a process wrote to, which is there and empty at first."""

    def __init__(self, home: Path) -> None:
        self.home, self.root = home, Folder()
        self.said = ""
        self._files: dict[int, File] = {}

    def do(self, event: Event) -> None:
        """Go on by one event."""
        path = Path(event.one.decode()) if event.kind in "cdmru" else self.home
        match event.kind:
            case "!":
                self.said += event.one.decode()
            case "c":
                self._files[event.inode] = File()
                self._folder(path.parent).since.append({path.name: self._files[event.inode]})
            case "w":
                self._files[event.inode].since.append((event.at, event.one))
            case "t":
                self._files[event.inode].since.append((event.at, None))
            case "s":
                self._files[event.inode].sync()
            case "d":
                self._folder(path).sync()
            case "m":
                self._folder(path.parent).since.append({path.name: Folder()})
            case "u":
                self._folder(path.parent).since.append({path.name: None})
            case "r":
                there = Path(event.two.decode())
                assert there.parent == path.parent
                folder = self._folder(path.parent)
                moved = folder.after(folder.since)[path.name]
                folder.since.append({path.name: None, there.name: moved})

    def _folder(self, path: Path) -> Folder:
        """A folder as the process sees it."""
        found = self.root
        for name in path.relative_to(self.home).parts:
            inner = found.after(found.since)[name]
            assert isinstance(inner, Folder)
            found = inner
        return found

    def put(self, place: Path, kept: float, chance: Random) -> None:
        """Make, in an empty folder, what is there after the power went: of what was not synced
        each part with the probability ``kept``, and where that is neither 0 nor 1 torn."""
        self._put(self.root, place, kept, chance)

    def _put(self, folder: Folder, place: Path, kept: float, chance: Random) -> None:
        place.mkdir(exist_ok=True)
        some = [change for change in folder.since if chance.random() < kept]
        for name, node in folder.after(some).items():
            if isinstance(node, Folder):
                self._put(node, place / name, kept, chance)
                continue
            pieces = [piece for piece in node.since if chance.random() < kept]
            if pieces and 0.0 < kept < 1.0 and pieces[-1][1]:
                at, data = pieces[-1]
                pieces[-1] = at, data[: chance.randrange(len(data) + 1)]
            (place / name).write_bytes(node.after(pieces))
