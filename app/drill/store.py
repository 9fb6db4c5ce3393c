"""What trainees did, kept in the user's folder: rounds, errors, and boxes of question cards.

A round is kept as begun at once, so one cut short by anything is there as
broken off and not scored.
"""

from __future__ import annotations

import contextlib
import math
import sqlite3
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.common.bad_input import BadInput
from app.common.csv_text import as_csv
from app.common.database import (
    LASTING,
    NewerFile,
    Schema,
    brought_up,
    connected,
    set_database_aside,
)
from app.common.files import (
    WRITABLE,
    Identity,
    aside_in_words,
    identity,
    make_folder,
    write_safely,
)
from app.common.resources import user_folder
from physics.answers.steady import SteadyAnswer

FORMAT = 2
"""Version of the tables."""

LONGEST_NAME = 40

OPEN_S = 1.0
"""How long to wait at the start for a file that somebody else is writing, s."""

BUSY_MS = 50
"""The same later on, when what cannot be written can wait, ms."""

TABLES = """
create table trainee (id integer primary key, name text not null unique collate nocase);
create table round (
    id integer primary key,
    trainee integer not null references trainee (id) on delete cascade,
    at text not null, level integer not null, seed integer not null,
    state text not null, points real, window_s real, possible_s real,
    wait_s real, hold_s real, best_wait_s real, best_hold_s real,
    touched integer, crossed integer, errors text not null default '',
    orders text not null default '',
    steady_wait_s real, steady_hold_s real, steady_window_s real, steady_touch real,
    steady_touch_error real
);
create table card (
    trainee integer not null references trainee (id) on delete cascade,
    question text not null, box integer not null, due integer not null,
    asked integer not null, primary key (trainee, question)
);
"""

KEPT = ("trainee", "round", "card")

STEADY = (
    "steady_wait_s", "steady_hold_s", "steady_window_s", "steady_touch", "steady_touch_error",
)  # fmt: skip
"""Columns of the answer that was right most often: of an average drop, and shares of drops."""


def _with_steady(db: sqlite3.Connection) -> None:
    for name in STEADY:
        db.execute(f"alter table round add column {name} real")


SCHEMA = Schema(TABLES, FORMAT, KEPT, {1: _with_steady})

COLUMNS = (
    "at", "level", "seed", "state", "points", "window_s", "possible_s", "wait_s", "hold_s",
    "best_wait_s", "best_hold_s", "touched", "crossed", "errors", "orders", *STEADY,
)  # fmt: skip
"""Columns of a round, as kept and as exported."""

NUMBERS = (*COLUMNS[4:11], *STEADY)
"""Those of a round that may have a number."""

BEGUN, SCORED, BROKEN_OFF = "begun", "scored", "broken off"


@dataclass(frozen=True, slots=True)
class Trainee:
    """Somebody who learns."""

    number: int
    name: str


@dataclass(frozen=True, slots=True)
class Result:
    """One round done. Seconds; ``state`` is scored or broken off, ``errors`` kinds of error.

    ``orders`` are the helm's, as text.
    """

    at: str
    level: int
    seed: int
    state: str
    points: float | None = None
    window_s: float | None = None
    possible_s: float | None = None
    wait_s: float | None = None
    hold_s: float | None = None
    best_wait_s: float | None = None
    best_hold_s: float | None = None
    touched: int | None = None
    crossed: int | None = None
    errors: str = ""
    orders: str = ""
    steady_wait_s: float | None = None
    steady_hold_s: float | None = None
    steady_window_s: float | None = None
    steady_touch: float | None = None
    steady_touch_error: float | None = None


@dataclass(frozen=True, slots=True)
class Card:
    """A question asked before: its ``box``, 1 to BOXES, and the asking at which it is due."""

    question: str
    box: int
    due: int


def _is_text(*values: object) -> bool:
    return all(isinstance(value, str) for value in values)


def _is_whole(*values: object, low: int = 0) -> bool:
    return all(type(value) is int and value >= low for value in values)


def _is_number(value: object) -> bool:
    return type(value) in (int, float) and math.isfinite(value)  # type: ignore[arg-type]


def _fits_trainee(number: object, name: object) -> bool:
    return _is_whole(number) and isinstance(name, str) and bool(name) and name.isprintable()


def _fits_result(result: Result) -> bool:
    numbers = [getattr(result, name) for name in NUMBERS]
    counts = [n for n in (result.touched, result.crossed) if n is not None]
    return (
        _is_text(result.at, result.state, result.errors, result.orders)
        and _is_whole(result.level, result.seed, *counts)
        and all(number is None or _is_number(number) for number in numbers)
        and (result.points is None or 0.0 <= result.points <= 100.0)
    )


def _fits_card(card: Card) -> bool:
    return _is_text(card.question) and _is_whole(card.box, low=1) and _is_whole(card.due)


class Store:
    """The database. ``told`` says what was wrong with the file found, if anything.

    Rows that make no sense are left out and stay in the file. Rounds and cards that cannot
    be written, as while another program has the file, wait here until ``flush`` can.
    """

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or user_folder() / "drill.sqlite"
        self.told = ""
        self._waiting: list[tuple[str, tuple[object, ...]]] = []
        self._seen: dict[tuple[str, tuple[object, ...]], list[tuple[Any, ...]]] = {}
        self._last = 0
        self._file: Identity = None
        self._db = self._opened()
        # there to fall back on
        self.trainees()

    def close(self) -> None:
        """Let the file go, after a last try to write what waits."""
        with contextlib.suppress(BadInput):
            self.flush()
        self._db.close()

    # ---- reading and writing

    def flush(self) -> None:
        """Write what waits, oldest first. Raises BadInput where that cannot be."""
        while self._waiting:
            words, values = self._waiting[0]
            try:
                with self._writing():
                    self._db.execute(words, values)
            except sqlite3.IntegrityError:
                # of somebody who was deleted meanwhile
                pass
            except sqlite3.Error as error:
                problem = f"cannot be written now ({error})"
                raise BadInput(str(self.path), "", None, WRITABLE, problem) from error
            del self._waiting[0]

    def _write(self, words: str, *values: object) -> None:
        self._waiting.append((words, values))
        with contextlib.suppress(BadInput):
            self.flush()

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        """All that is written within, or nothing of it."""
        self._follow()
        with self._db:
            yield

    def _follow(self) -> None:
        """Where the file went while it is open, make it anew of all that was in it: whatever is
        written there now is lost. Raises sqlite3.OperationalError where that cannot be."""
        there = identity(self.path)
        if self._file in (None, there):
            return
        if there is not None:
            raise sqlite3.OperationalError("another file has its name since it was opened")
        with contextlib.suppress(BadInput):
            make_folder(self.path.parent)
        with contextlib.closing(connected(self.path, OPEN_S)) as new:
            self._db.backup(new)
        self._db.close()
        self._db = self._connected(self.path)

    def _rows(self, words: str, *values: object) -> list[tuple[Any, ...]]:
        """What is there, or was when last read while somebody else has the file."""
        with contextlib.suppress(sqlite3.OperationalError):
            self._seen[words, values] = self._db.execute(words, values).fetchall()
        return self._seen.get((words, values), [])

    # ---- opening

    def _opened(self) -> sqlite3.Connection:
        try:
            make_folder(self.path.parent)
            return self._connected(self.path)
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):
                return self._in_memory(f"The results cannot be opened ({error}).")
            aside = set_database_aside(self.path)
            if aside is None:
                return self._in_memory("The file of results is damaged and cannot be moved.")
            self.told = f"The file of results is damaged. {aside_in_words(aside)}"
            return self._connected(self.path)
        except BadInput as error:
            return self._in_memory(f"The results cannot be kept. {error}.")

    def _connected(self, path: Path | str) -> sqlite3.Connection:
        db = connected(path, OPEN_S)
        try:
            brought_up(db, SCHEMA, lambda: None)
            db.execute("pragma foreign_keys = on")
            db.execute(LASTING)
            odd = self._odd(db)
            # here, so that a file that cannot be written is told like one that cannot be read
            with db:
                db.execute("update round set state = ? where state = ?", (BROKEN_OFF, BEGUN))
            db.execute(f"pragma busy_timeout = {BUSY_MS}")
            self._file = identity(path) if isinstance(path, Path) else None
            if odd:
                self.told = f"Rows of the file of results that make no sense are left out: {odd}."
        except NewerFile:
            db.close()
            return self._in_memory("The results were written by a newer Leadfall.")
        except sqlite3.Error:
            db.close()
            raise
        return db

    def _odd(self, db: sqlite3.Connection) -> int:
        """How many rows of the whole file are left out; reads every cell."""
        for table in KEPT:
            db.execute(f"select * from {table}").fetchall()
        people = db.execute("select id, name from trainee")
        rounds = db.execute(f"select {', '.join(COLUMNS)} from round")
        cards = db.execute("select question, box, due from card")
        return (
            sum(not _fits_trainee(*row) for row in people)
            + sum(not _fits_result(Result(*row)) for row in rounds)
            + sum(not _fits_card(Card(*row)) for row in cards)
        )

    def _in_memory(self, why: str) -> sqlite3.Connection:
        self.told = f"{why} They are left as they are; what you do now is kept only until you quit."
        return self._connected(":memory:")

    # ---- trainees

    def trainees(self) -> list[Trainee]:
        """Everybody, by name."""
        rows = self._rows("select id, name from trainee order by name collate nocase")
        return [Trainee(*row) for row in rows if _fits_trainee(*row)]

    def add(self, name: str) -> Trainee:
        """Somebody new. Raises BadInput for a name taken, empty or too long."""
        name = self._checked(name)
        try:
            with self._writing():
                row = self._db.execute("insert into trainee (name) values (?)", (name,))
        except sqlite3.IntegrityError as error:
            raise self._taken(name) from error
        self.trainees()
        assert row.lastrowid is not None
        return Trainee(row.lastrowid, name)

    def rename(self, trainee: Trainee, name: str) -> Trainee:
        """Another name for somebody. Raises BadInput as ``add``."""
        name = self._checked(name)
        try:
            with self._writing():
                self._db.execute("update trainee set name = ? where id = ?", (name, trainee.number))
        except sqlite3.IntegrityError as error:
            raise self._taken(name) from error
        self.trainees()
        return Trainee(trainee.number, name)

    def delete(self, trainee: Trainee) -> None:
        """Somebody with everything they did."""
        with self._writing():
            self._db.execute("delete from trainee where id = ?", (trainee.number,))
        self.trainees()

    def _checked(self, name: str) -> str:
        name = " ".join(name.split())
        if not name or len(name) > LONGEST_NAME or not name.isprintable():
            raise BadInput("trainee", "name", name, f"1 to {LONGEST_NAME} printable characters")
        return name

    def _taken(self, name: str) -> BadInput:
        return BadInput(
            "trainee", "name", name, "a name nobody has yet, so that results are not mixed up",
            "is taken",
        )  # fmt: skip

    # ---- rounds

    def begin(self, trainee: Trainee, level: int, seed: int) -> int:
        """A round begins; its number."""
        at = time.strftime("%Y-%m-%d %H:%M:%S")
        # known before it can be written, and later ones larger
        number = self._last = max(self._last + 1, time.time_ns() // 1000)
        self._write(
            "insert into round (id, trainee, at, level, seed, state) values (?, ?, ?, ?, ?, ?)",
            number, trainee.number, at, level, seed, BEGUN,
        )  # fmt: skip
        return number

    def finish(self, number: int, result: Result) -> None:
        """How a round went; its ``at``, level and seed stay as begun, its steady answer as told."""
        names = [name for name in COLUMNS[3:] if name not in STEADY]
        sets = ", ".join(f"{name} = ?" for name in names)
        values = [getattr(result, name) for name in names]
        self._write(f"update round set {sets} where id = ?", *values, number)

    def tell_steady(self, number: int, answer: SteadyAnswer) -> None:
        """What would have been right most often in a round."""
        sets = ", ".join(f"{name} = ?" for name in STEADY)
        told = answer.wait, answer.hold, answer.window, answer.touch, answer.touch_error
        self._write(f"update round set {sets} where id = ?", *told, number)

    def break_off(self, number: int, orders: str = "") -> None:
        """A round was left before its end."""
        self._write(
            "update round set state = ?, orders = ? where id = ?", BROKEN_OFF, orders, number
        )

    def results(self, trainee: Trainee) -> list[Result]:
        """Everything somebody did, oldest first."""
        rows = self._rows(
            f"select {', '.join(COLUMNS)} from round where trainee = ? and state != ? order by id",
            trainee.number, BEGUN,
        )  # fmt: skip
        results = [Result(*row) for row in rows]
        return [result for result in results if _fits_result(result)]

    def export(self, trainee: Trainee, path: Path) -> None:
        """Somebody's rounds as a CSV file. Raises BadInput if it cannot be written, or
        rounds of theirs are not."""
        self.flush()
        rows = [
            (trainee.name, *(getattr(result, column) for column in COLUMNS))
            for result in self.results(trainee)
        ]
        write_safely(path, as_csv([("trainee", *COLUMNS), *rows]))

    # ---- question cards

    def cards(self, trainee: Trainee) -> list[Card]:
        """Every question somebody was asked, lowest box first."""
        rows = self._rows(
            "select question, box, due from card where trainee = ? order by box, due, question",
            trainee.number,
        )
        cards = [Card(*row) for row in rows]
        return [card for card in cards if _fits_card(card)]

    def asked(self, trainee: Trainee) -> int:
        """How many questions somebody was asked in all."""
        rows = self._rows("select asked from card where trainee = ?", trainee.number)
        return sum(times for (times,) in rows if _is_whole(times))

    def put_card(self, trainee: Trainee, card: Card) -> None:
        """A question was answered and goes in its box."""
        self._write(
            "insert into card values (?, ?, ?, ?, 1) on conflict (trainee, question) "
            "do update set box = excluded.box, due = excluded.due, asked = asked + 1",
            trainee.number, card.question, card.box, card.due,
        )  # fmt: skip
