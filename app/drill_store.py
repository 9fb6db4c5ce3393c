"""What trainees did, kept in the user's folder: rounds, errors, and boxes of question cards.

Depends on: bad_input, csv_text, files, resources.

A round is kept as begun at once, so one cut short by anything is there as
broken off and not scored.
"""

from __future__ import annotations

import sqlite3
import time
from dataclasses import dataclass
from pathlib import Path

from app.bad_input import BadInput
from app.csv_text import as_csv
from app.files import aside_in_words, make_folder, set_aside, write_safely
from app.resources import user_folder

FORMAT = 1
"""Version of the tables."""

LONGEST_NAME = 40

TABLES = """
create table trainee (id integer primary key, name text not null unique collate nocase);
create table round (
    id integer primary key,
    trainee integer not null references trainee (id) on delete cascade,
    at text not null, level integer not null, seed integer not null,
    state text not null, points real, window_s real, possible_s real,
    wait_s real, hold_s real, best_wait_s real, best_hold_s real,
    touched integer, crossed integer, errors text not null default '',
    orders text not null default ''
);
create table card (
    trainee integer not null references trainee (id) on delete cascade,
    question text not null, box integer not null, due integer not null,
    asked integer not null, primary key (trainee, question)
);
"""

KEPT = ("trainee", "round", "card")

COLUMNS = (
    "at", "level", "seed", "state", "points", "window_s", "possible_s", "wait_s", "hold_s",
    "best_wait_s", "best_hold_s", "touched", "crossed", "errors", "orders",
)  # fmt: skip
"""Columns of a round, as kept and as exported."""

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


@dataclass(frozen=True, slots=True)
class Card:
    """A question asked before: its ``box``, 1 to BOXES, and the asking at which it is due."""

    question: str
    box: int
    due: int


def _columns(db: sqlite3.Connection) -> frozenset[tuple[str, str]]:
    """(table, column) of everything that is kept in there."""
    return frozenset(
        (table, str(row[1])) for table in KEPT for row in db.execute(f"pragma table_info({table})")
    )


def _usual_columns() -> frozenset[tuple[str, str]]:
    db = sqlite3.connect(":memory:")
    db.executescript(TABLES)
    columns = _columns(db)
    db.close()
    return columns


class Store:
    """The database. ``told`` says what was wrong with the file found, if anything."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or user_folder() / "drill.sqlite"
        self.told = ""
        self._db = self._opened()

    def close(self) -> None:
        """Let the file go."""
        self._db.close()

    # ---- opening

    def _opened(self) -> sqlite3.Connection:
        try:
            make_folder(self.path.parent)
            return self._connected(self.path)
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):
                return self._in_memory(f"The results cannot be opened ({error}).")
            aside = set_aside(self.path)
            if aside is None:
                return self._in_memory("The file of results is damaged and cannot be moved.")
            self.told = f"The file of results is damaged. {aside_in_words(aside)}"
            return self._connected(self.path)
        except BadInput as error:
            return self._in_memory(f"The results cannot be kept. {error}.")

    def _connected(self, path: Path | str) -> sqlite3.Connection:
        db = sqlite3.connect(path)
        try:
            version = int(db.execute("pragma user_version").fetchone()[0])
            names = {row[0] for row in db.execute("select name from sqlite_master")}
            if version > FORMAT:
                db.close()
                return self._in_memory("The results were written by a newer Leadfall.")
            if not names:
                db.executescript(TABLES)
                db.execute(f"pragma user_version = {FORMAT}")
            elif not _usual_columns() <= _columns(db):
                raise sqlite3.DatabaseError("not a file of results")
            db.execute("pragma foreign_keys = on")
            for table in KEPT:
                db.execute(f"select * from {table}").fetchall()
            # here, so that a file that cannot be written is told like one that cannot be read
            with db:
                db.execute("update round set state = ? where state = ?", (BROKEN_OFF, BEGUN))
        except sqlite3.Error:
            db.close()
            raise
        return db

    def _in_memory(self, why: str) -> sqlite3.Connection:
        self.told = f"{why} They are left as they are; what you do now is kept only until you quit."
        return self._connected(":memory:")

    # ---- trainees

    def trainees(self) -> list[Trainee]:
        """Everybody, by name."""
        rows = self._db.execute("select id, name from trainee order by name collate nocase")
        return [Trainee(*row) for row in rows]

    def add(self, name: str) -> Trainee:
        """Somebody new. Raises BadInput for a name taken, empty or too long."""
        name = self._checked(name)
        try:
            with self._db:
                row = self._db.execute("insert into trainee (name) values (?)", (name,))
        except sqlite3.IntegrityError as error:
            raise self._taken(name) from error
        assert row.lastrowid is not None
        return Trainee(row.lastrowid, name)

    def rename(self, trainee: Trainee, name: str) -> Trainee:
        """Another name for somebody. Raises BadInput as ``add``."""
        name = self._checked(name)
        try:
            with self._db:
                self._db.execute("update trainee set name = ? where id = ?", (name, trainee.number))
        except sqlite3.IntegrityError as error:
            raise self._taken(name) from error
        return Trainee(trainee.number, name)

    def delete(self, trainee: Trainee) -> None:
        """Somebody with everything they did."""
        with self._db:
            self._db.execute("delete from trainee where id = ?", (trainee.number,))

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
        with self._db:
            row = self._db.execute(
                "insert into round (trainee, at, level, seed, state) values (?, ?, ?, ?, ?)",
                (trainee.number, at, level, seed, BEGUN),
            )
        assert row.lastrowid is not None
        return row.lastrowid

    def finish(self, number: int, result: Result) -> None:
        """How a round went; its ``at``, level and seed stay as begun."""
        names = COLUMNS[3:]
        sets = ", ".join(f"{name} = ?" for name in names)
        values = [getattr(result, name) for name in names]
        with self._db:
            self._db.execute(f"update round set {sets} where id = ?", (*values, number))

    def break_off(self, number: int, orders: str = "") -> None:
        """A round was left before its end."""
        with self._db:
            self._db.execute(
                "update round set state = ?, orders = ? where id = ?",
                (BROKEN_OFF, orders, number),
            )

    def results(self, trainee: Trainee) -> list[Result]:
        """Everything somebody did, oldest first."""
        rows = self._db.execute(
            f"select {', '.join(COLUMNS)} from round where trainee = ? and state != ? order by id",
            (trainee.number, BEGUN),
        )
        return [Result(*row) for row in rows]

    def export(self, trainee: Trainee, path: Path) -> None:
        """Somebody's rounds as a CSV file. Raises BadInput if it cannot be written."""
        rows = [
            (trainee.name, *(getattr(result, column) for column in COLUMNS))
            for result in self.results(trainee)
        ]
        write_safely(path, as_csv([("trainee", *COLUMNS), *rows]))

    # ---- question cards

    def cards(self, trainee: Trainee) -> list[Card]:
        """Every question somebody was asked, lowest box first."""
        rows = self._db.execute(
            "select question, box, due from card where trainee = ? order by box, due, question",
            (trainee.number,),
        )
        return [Card(*row) for row in rows]

    def asked(self, trainee: Trainee) -> int:
        """How many questions somebody was asked in all."""
        row = self._db.execute("select sum(asked) from card where trainee = ?", (trainee.number,))
        return int(row.fetchone()[0] or 0)

    def put_card(self, trainee: Trainee, card: Card) -> None:
        """A question was answered and goes in its box."""
        with self._db:
            self._db.execute(
                "insert into card values (?, ?, ?, ?, 1) on conflict (trainee, question) "
                "do update set box = excluded.box, due = excluded.due, asked = asked + 1",
                (trainee.number, card.question, card.box, card.due),
            )
