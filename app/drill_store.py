"""What came of drills, kept in the user's folder: trainees, their rounds, their question cards.

Depends on: drill_questions, files, resources, bad_input; physics.checks.

One SQLite file. Whatever is written is committed before the call returns. An
open store belongs to the thread that opened it.
"""

from __future__ import annotations

import csv
import io
import math
import sqlite3
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from types import TracebackType

from app.bad_input import BadInput
from app.drill_questions import Card, Question
from app.files import WRITABLE, write_safely
from app.resources import user_folder
from physics.checks import Unusable, require_name, require_number

FILE = "drill.sqlite3"

FORMAT = 1
"""Version of the file's layout, its ``user_version``."""

LONGEST_NAME = 40
MOST_ERRORS = 100
MOST_SEED = 2**31
LEVELS = (1, 5)

LAST = 10
"""Rounds that count as the latest ones."""

PATIENCE = 5.0
"""How long another copy of the program may keep the file busy, s."""

TABLES = (
    """CREATE TABLE trainee (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    alike TEXT NOT NULL UNIQUE)""",
    """CREATE TABLE round (
    id INTEGER PRIMARY KEY,
    trainee INTEGER NOT NULL REFERENCES trainee ON DELETE CASCADE,
    at TEXT NOT NULL,
    level INTEGER NOT NULL,
    seed INTEGER NOT NULL,
    score REAL,
    wait REAL,
    hold REAL,
    best_wait REAL,
    best_hold REAL,
    window REAL,
    possible_window REAL,
    touches INTEGER NOT NULL,
    crossings INTEGER NOT NULL)""",
    "CREATE INDEX round_of ON round (trainee)",
    """CREATE TABLE error (
    round INTEGER NOT NULL REFERENCES round ON DELETE CASCADE,
    number INTEGER NOT NULL,
    kind TEXT NOT NULL,
    PRIMARY KEY (round, number))""",
    """CREATE TABLE card (
    trainee INTEGER NOT NULL REFERENCES trainee ON DELETE CASCADE,
    setup TEXT NOT NULL,
    depth REAL NOT NULL,
    line_out REAL NOT NULL,
    speed REAL NOT NULL,
    box INTEGER NOT NULL,
    due TEXT NOT NULL,
    PRIMARY KEY (trainee, setup, depth, line_out, speed))""",
)

MAGIC = b"SQLite format 3\x00"
LEAST_BYTES = 512
"""How every such file begins, and the fewest bytes it has."""

DAMAGED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


@dataclass(frozen=True, slots=True)
class Result:
    """One round done, or broken off (``score`` None).

    ``when`` is an ISO 8601 date and time, ``level`` 1 to 5, ``seed`` 0 to
    2**31. ``wait`` and ``hold`` are the trainee's, ``best_wait`` and
    ``best_hold`` what would have given ``possible_window``, ``window`` what
    they got, all s, None where there is none. ``touches`` of the bottom and
    ``crossings`` of lines are counts; ``errors`` names the kind of each error.
    Raises Unusable.
    """

    when: str
    level: int
    seed: int
    score: float | None = None
    wait: float | None = None
    hold: float | None = None
    best_wait: float | None = None
    best_hold: float | None = None
    window: float | None = None
    possible_window: float | None = None
    touches: int = 0
    crossings: int = 0
    errors: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        try:
            datetime.fromisoformat(self.when)
        except (TypeError, ValueError):
            raise Unusable("when", self.when, "an ISO 8601 date and time") from None
        _require_whole("level", self.level, *LEVELS)
        _require_whole("seed", self.seed, 0, MOST_SEED)
        for name in SECONDS:
            if getattr(self, name) is not None:
                require_number(name, getattr(self, name), 0.0, 1e5, "s")
        if self.score is not None:
            require_number("score", self.score, -1e6, 1e6)
        for name in ("touches", "crossings"):
            _require_whole(name, getattr(self, name), 0, 10**6)
        if not isinstance(self.errors, tuple) or len(self.errors) > MOST_ERRORS:
            raise Unusable("errors", self.errors, f"at most {MOST_ERRORS} kinds of error")
        for kind in self.errors:
            require_name("errors", kind)


SECONDS = ("wait", "hold", "best_wait", "best_hold", "window", "possible_window")
COLUMNS = ("level", "seed", "score", *SECONDS, "touches", "crossings")
HEADINGS = (
    "trainee", "when", "level", "seed", "score", *(f"{name}_s" for name in SECONDS),
    "touches", "crossings", "errors",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Progress:
    """How a trainee comes on.

    ``rounds`` counts those with a score, ``broken_off`` the others; ``errors``
    the errors of each kind, the commonest first. ``last`` is the mean score of
    the last ten with a score, ``before`` that of all before them; None where
    there is none.
    """

    rounds: int = 0
    broken_off: int = 0
    errors: Mapping[str, int] = field(default_factory=dict)
    last: float | None = None
    before: float | None = None


class Store:
    """An open file of results. ``told`` says what was done about a damaged one, or is empty.

    Every method raises BadInput when the file cannot be read or written, and
    for a trainee it does not know.
    """

    def __init__(self, path: Path, base: sqlite3.Connection, told: str = "") -> None:
        self.path, self.told = path, told
        self._base = base

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let the file go; again is harmless."""
        self._base.close()

    def trainees(self) -> tuple[str, ...]:
        """Names of all trainees, in the order of the alphabet."""
        with self._work():
            rows = self._base.execute("SELECT name FROM trainee ORDER BY alike").fetchall()
        return tuple(str(row[0]) for row in rows)

    def add(self, name: str) -> str:
        """A new trainee; the name as kept, without blanks about it.

        Raises BadInput for a name that is there already, in capitals or not.
        """
        name = unicodedata.normalize("NFC", name.strip())
        if not 1 <= len(name) <= LONGEST_NAME or not name.isprintable():
            allowed = f"a name of 1 to {LONGEST_NAME} printable characters"
            raise BadInput("trainees", "name", name, allowed)
        with self._work():
            added = self._base.execute(
                "INSERT OR IGNORE INTO trainee (name, alike) VALUES (?, ?)", (name, _alike(name))
            )
        if added.rowcount != 1:
            allowed = "a name that no other trainee has"
            raise BadInput("trainees", "name", name, allowed, "is there already")
        return name

    def remove(self, name: str) -> None:
        """Delete a trainee with all rounds and cards."""
        with self._work():
            self._base.execute("DELETE FROM trainee WHERE id = ?", (self._number(name),))

    def record(self, trainee: str, result: Result) -> None:
        """Keep one round."""
        cells = [getattr(result, column) for column in COLUMNS]
        marks = ", ".join("?" * (len(COLUMNS) + 2))
        with self._work():
            done = self._base.execute(
                f"INSERT INTO round (trainee, at, {', '.join(COLUMNS)}) VALUES ({marks})",
                (self._number(trainee), result.when, *cells),
            )
            self._base.executemany(
                "INSERT INTO error VALUES (?, ?, ?)",
                [(done.lastrowid, number, kind) for number, kind in enumerate(result.errors)],
            )

    def rounds(self, trainee: str) -> tuple[Result, ...]:
        """A trainee's rounds in the order they were kept."""
        with self._work():
            # errors and rounds as they are at one moment
            self._base.execute("BEGIN")
            number = self._number(trainee)
            kinds: dict[int, list[str]] = {}
            for key, kind in self._base.execute(
                "SELECT error.round, kind FROM error JOIN round ON round.id = error.round"
                " WHERE trainee = ? ORDER BY error.round, number",
                (number,),
            ):
                kinds.setdefault(key, []).append(kind)
            rows = self._base.execute(
                f"SELECT id, at, {', '.join(COLUMNS)} FROM round WHERE trainee = ? ORDER BY id",
                (number,),
            ).fetchall()
            try:
                return tuple(
                    Result(
                        at, errors=tuple(kinds.get(key, ())),
                        **dict(zip(COLUMNS, cells, strict=True)),
                    )
                    for key, at, *cells in rows
                )  # fmt: skip
            except Unusable as error:
                raise BadInput(str(self.path), error.field, error.value, error.allowed) from error

    def progress(self, trainee: str) -> Progress:
        """How a trainee comes on, by the rounds kept."""
        rounds = self.rounds(trainee)
        scores = [done.score for done in rounds if done.score is not None]
        errors = Counter(kind for done in rounds for kind in done.errors)
        return Progress(
            len(scores), len(rounds) - len(scores), dict(errors.most_common()),
            _mean(scores[-LAST:]), _mean(scores[:-LAST]),
        )  # fmt: skip

    def keep_card(self, trainee: str, setup: str, card: Card) -> None:
        """Keep a trainee's card on a question about a setup of that name, over the one before."""
        asked = card.question
        with self._work():
            self._base.execute(
                "INSERT OR REPLACE INTO card VALUES (?, ?, ?, ?, ?, ?, ?)",
                (
                    self._number(trainee), setup, asked.depth, asked.line_out, asked.speed,
                    card.box, card.due.isoformat(),
                ),
            )  # fmt: skip

    def cards(self, trainee: str, setup: str) -> tuple[Card, ...]:
        """A trainee's cards about a setup of that name, the earliest due first."""
        with self._work():
            rows = self._base.execute(
                "SELECT depth, line_out, speed, box, due FROM card WHERE trainee = ?"
                " AND setup = ? ORDER BY due, depth, line_out, speed",
                (self._number(trainee), setup),
            ).fetchall()
            try:
                return tuple(
                    Card(Question(*asked), box, date.fromisoformat(due))
                    for *asked, box, due in rows
                )
            except (TypeError, ValueError) as error:
                problem = "has a card that is not usable"
                allowed = "cards the program has written"
                raise BadInput(str(self.path), "", None, allowed, problem) from error

    def export_csv(self, path: Path, trainee: str | None = None) -> None:
        """Write the rounds of one trainee, or of all, as CSV: a heading, then a line a round."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(HEADINGS)
        for name in self.trainees() if trainee is None else (trainee,):
            for done in self.rounds(name):
                cells = [getattr(done, column) for column in COLUMNS]
                shown = ["" if cell is None else repr(cell) for cell in cells]
                writer.writerow([self._kept(name), done.when, *shown, "; ".join(done.errors)])
        write_safely(path, out.getvalue())

    def _number(self, name: str) -> int:
        return int(self._found(name)[0])

    def _kept(self, name: str) -> str:
        return str(self._found(name)[1])

    def _found(self, name: str) -> tuple[int, str]:
        row: tuple[int, str] | None = self._base.execute(
            "SELECT id, name FROM trainee WHERE alike = ?", (_alike(name),)
        ).fetchone()
        if row is None:
            raise BadInput("trainees", "name", name, "the name of a trainee", "is not there")
        return row

    @contextmanager
    def _work(self) -> Iterator[None]:
        """One piece of work, kept whole or not at all; what goes wrong is said in words."""
        try:
            with self._base:
                yield
        except sqlite3.Error as error:
            raise _refused(self.path, error) from error


def open_store(path: Path | None = None) -> Store:
    """The results kept at a path, or in the user's folder; a new file if there is none.

    A damaged one is moved to another name beside it, nothing of it lost, a new
    one is begun, and ``told`` says so. Raises BadInput for one of a newer
    version, which is left alone, and for one that cannot be read or written.
    """
    path = user_folder() / FILE if path is None else path
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        start = _start(path) if path.is_file() else None
    except (OSError, ValueError) as error:
        allowed, said = WRITABLE, getattr(error, "strerror", None)
        problem = f"cannot be used ({said or 'unknown reason'})"
        raise BadInput(str(path), "", None, allowed, problem) from error
    try:
        # SQLite would write over a file of a few bytes as if it were empty
        if start and (len(start) < LEAST_BYTES or not start.startswith(MAGIC)):
            raise _Damaged
        told = f"{path.name} was empty, so it is begun anew." if start == b"" else ""
        return Store(path, _opened(path), told)
    except _Damaged:
        aside = _set_aside(path)
    told = f"{path.name} is damaged. It is kept as {aside.name}, and a new one is begun."
    try:
        return Store(path, _opened(path), told)
    except _Damaged as error:
        raise BadInput(str(path), "", None, WRITABLE, "was damaged while begun") from error


def _start(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(LEAST_BYTES)


class _Damaged(Exception):
    """A file that is not one of ours, or not a whole one."""


def _opened(path: Path) -> sqlite3.Connection:
    """A file checked, and given its tables if it is new. Raises _Damaged and BadInput."""
    try:
        base = sqlite3.connect(path, timeout=PATIENCE)
    except sqlite3.Error as error:
        raise _refused(path, error) from error
    try:
        base.execute("PRAGMA foreign_keys = ON")
        # who is removed is not to be found in the file any more
        base.execute("PRAGMA secure_delete = ON")
        version = _pragma(base, "user_version")
        if version > FORMAT:
            problem = "was written by a newer Leadfall than this one"
            raise BadInput(str(path), "", None, f"version {FORMAT}", problem)
        if version == 0 and not _layout(base):
            _begin(base)
        _check(base, path)
    except sqlite3.Error as error:
        base.close()
        if _is_damage(error):
            raise _Damaged from error
        raise _refused(path, error) from error
    except BaseException:
        base.close()
        raise
    return base


def _begin(base: sqlite3.Connection) -> None:
    """Make the tables, unless another copy of the program has just done it."""
    with base:
        base.execute("BEGIN IMMEDIATE")
        if not _layout(base):
            for table in TABLES:
                base.execute(table)
            base.execute(f"PRAGMA user_version = {FORMAT}")


def _check(base: sqlite3.Connection, path: Path) -> None:
    """Raise _Damaged unless it is whole, its tables those of this version, every page sound."""
    # nobody else writes meanwhile
    base.execute("BEGIN")
    version = _pragma(base, "user_version")
    if version != FORMAT or _layout(base) != _right_layout():
        raise _Damaged
    # SQLite takes the missing part of a last page for zeros
    if path.stat().st_size != _pragma(base, "page_size") * _pragma(base, "page_count"):
        raise _Damaged
    if base.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
        raise _Damaged
    if base.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise _Damaged
    base.rollback()


def _pragma(base: sqlite3.Connection, name: str) -> int:
    return int(base.execute(f"PRAGMA {name}").fetchone()[0])


def _layout(base: sqlite3.Connection) -> list[tuple[str, str | None]]:
    rows = base.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
    return [(str(name), sql) for name, sql in rows]


def _right_layout() -> list[tuple[str, str | None]]:
    with closing(sqlite3.connect(":memory:")) as base:
        for table in TABLES:
            base.execute(table)
        return _layout(base)


def _is_damage(error: sqlite3.Error) -> bool:
    # the low byte is the kind of error, the rest says more about it
    code: int | None = getattr(error, "sqlite_errorcode", None)
    return isinstance(error, sqlite3.DatabaseError) and code is not None and code & 255 in DAMAGED


def _refused(path: Path, error: sqlite3.Error) -> BadInput:
    allowed = "a file of drill results that can be read and written"
    if _is_damage(error):
        return BadInput(str(path), "", None, allowed, "is damaged")
    return BadInput(str(path), "", None, allowed, f"cannot be used ({error})")


def _set_aside(path: Path) -> Path:
    """Move a damaged file, with what SQLite keeps beside it, to names of their own."""
    for number in range(1, 1000):
        tail = "" if number == 1 else f"-{number}"
        aside = path.with_name(f"{path.stem}.damaged{tail}{path.suffix}")
        others = [(path.with_name(path.name + end), aside.with_name(aside.name + end))
                  for end in ("-journal", "-wal", "-shm")]  # fmt: skip
        if aside.exists() or any(there.exists() for _, there in others):
            continue
        try:
            path.rename(aside)
            for here, there in others:
                if here.exists():
                    here.rename(there)
        except OSError as error:
            problem = f"is damaged and cannot be moved ({error.strerror or 'unknown reason'})"
            raise BadInput(str(path), "", None, WRITABLE, problem) from error
        return aside
    problem = "is damaged, and so are all that were set aside before"
    raise BadInput(str(path), "", None, "fewer damaged files beside it", problem)


def _alike(name: str) -> str:
    """A name as it is compared with others."""
    return unicodedata.normalize("NFC", name.strip()).casefold()


def _mean(scores: list[float]) -> float | None:
    return math.fsum(scores) / len(scores) if scores else None


def _require_whole(name: str, value: object, low: int, high: int) -> None:
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise Unusable(name, value, f"a whole number from {low} to {high}")


__all__ = ["FILE", "FORMAT", "Progress", "Result", "Store", "open_store"]
