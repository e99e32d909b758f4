"""The history over sittings: one SQLite file, brought up to date step by step, safe for several writers at a time.

Each change is one transaction that takes the right to write first and then looks how things stand. ``user_version`` is
the number of the format: an older file is brought up to date, a later one is refused. Nobody's name is kept.
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from probebook.assessment.report.drift import PlaceLevel, Sitting
from probebook.errors import UsageError
from probebook.files import not_a_file
from probebook.numerics.rounding import stored

__all__ = ["VERSION", "keep_sitting"]

#: Marks a file as a history of ours.
APPLICATION = 0x50_72_42_6B
#: Seconds that a writer waits for another.
PATIENCE = 30.0
#: The first SQLite that checks the types of what is kept (2021).
OLDEST = (3, 37, 0)

#: What brings a file from each version to the next, statement by statement.
STEPS: tuple[tuple[str, ...], ...] = (
    (
        "CREATE TABLE sitting (id TEXT PRIMARY KEY, series TEXT NOT NULL, blueprint TEXT NOT NULL, title TEXT NOT NULL,"
        " sat_on TEXT NOT NULL, learners INTEGER NOT NULL, passed INTEGER NOT NULL, mean REAL) STRICT",
        "CREATE TABLE place (sitting TEXT NOT NULL REFERENCES sitting (id) ON DELETE CASCADE, number INTEGER NOT NULL,"
        " place TEXT NOT NULL, facility REAL, level REAL NOT NULL, error REAL NOT NULL,"
        " PRIMARY KEY (sitting, number)) STRICT",
    ),
    (
        "ALTER TABLE sitting ADD COLUMN alpha REAL",
        "CREATE INDEX sitting_series ON sitting (series, sat_on)",
    ),
)
VERSION = len(STEPS)


def keep_sitting(path: Path, sitting: Sitting) -> tuple[Sitting, ...]:
    """Keep a sitting (in place of what was kept of the same set), and give back all of its series.

    Parameters
    ----------
    path
        The history; made where there is none.
    sitting
        What is kept.

    Raises
    ------
    UsageError
        The file is damaged, of a later version, no history, cannot be written, or another writer does not let go.
    """
    with _open(path) as database, _writing(database, path):
        database.execute("DELETE FROM sitting WHERE id = ?", (sitting.id,))
        database.execute(
            "INSERT INTO sitting (id, series, blueprint, title, sat_on, learners, passed, mean, alpha)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                sitting.id, sitting.series, sitting.blueprint, sitting.title, sitting.sat_on, sitting.learners,
                sitting.passed, _out(sitting.mean), _out(sitting.alpha),
            ),
        )  # fmt: skip
        database.executemany(
            "INSERT INTO place (sitting, number, place, facility, level, error) VALUES (?, ?, ?, ?, ?, ?)",
            [
                (sitting.id, at, each.place, _out(each.facility), stored(each.level), stored(each.error))
                for at, each in enumerate(sitting.places)
            ],
        )
        return _sittings(database, sitting.series)


def _sittings(database: sqlite3.Connection, series: str) -> tuple[Sitting, ...]:
    found = database.execute(
        "SELECT id, series, blueprint, title, sat_on, learners, passed, mean, alpha FROM sitting"
        " WHERE series = ? ORDER BY sat_on, id",
        (series,),
    ).fetchall()
    places = "SELECT place, facility, level, error FROM place WHERE sitting = ? ORDER BY number"
    return tuple(
        Sitting(
            id_, series_, blueprint, title, sat_on, learners, passed, _in(mean), _in(alpha),
            tuple(
                PlaceLevel(name, _in(facility), level, error)
                for name, facility, level, error in database.execute(places, (id_,))
            ),
        )
        for id_, series_, blueprint, title, sat_on, learners, passed, mean, alpha in found
    )  # fmt: skip


def _out(value: float) -> float | None:
    return stored(value) if math.isfinite(value) else None


def _in(value: float | None) -> float:
    return math.nan if value is None else value


# ---------------------------------------------------------------- the file


@contextmanager
def _open(path: Path) -> Iterator[sqlite3.Connection]:
    """The database, closed again whatever happens; each of its errors as one sentence."""
    if sqlite3.sqlite_version_info < OLDEST:
        raise UsageError(
            f"SQLite {sqlite3.sqlite_version} of this Python is too old for a history",
            where=str(path),
            remedy="use a Python whose SQLite is 3.37 or later",
        )
    if not_a_file(path) not in ("", "link"):
        raise UsageError("the history is no file", where=str(path), remedy="name a file")
    try:
        with closing(sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)) as database:
            database.execute("PRAGMA foreign_keys = ON")
            database.execute("PRAGMA trusted_schema = OFF")
            yield database
    except sqlite3.Error as error:
        raise _told(error, path) from error


def _told(error: sqlite3.Error, path: Path) -> UsageError:
    where, code = str(path), getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_NOTADB:
        return UsageError("this is no history of sittings", where=where, remedy="name another file")
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return UsageError("another program writes in the history", where=where, remedy="try again when it has done")
    if code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        return UsageError(
            "the history cannot be written", where=where, remedy="check its folder, its permissions and the room there"
        )
    return UsageError("the history is damaged", where=where, remedy="take a copy of it that is whole")


@contextmanager
def _writing(database: sqlite3.Connection, path: Path) -> Iterator[None]:
    """One transaction: the right to write is taken, the file looked at and brought up to date, then kept or undone."""
    database.execute("BEGIN IMMEDIATE")
    try:
        _bring_up(database, path)
        yield
    except BaseException:
        if database.in_transaction:
            database.execute("ROLLBACK")
        raise
    database.execute("COMMIT")


def _bring_up(database: sqlite3.Connection, path: Path) -> None:
    asked = ("PRAGMA user_version", "PRAGMA application_id", "SELECT count(*) FROM sqlite_master")
    version, application, tables = (int(database.execute(each).fetchone()[0]) for each in asked)
    if application != APPLICATION and (tables or version or application):
        raise UsageError("this is a database of another program", where=str(path), remedy="name another file")
    if version > VERSION:
        raise UsageError(
            f"the history is of a later version ({version}; known here is {VERSION})",
            where=str(path),
            remedy="use a newer Probebook",
        )
    if database.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
        raise UsageError("the history is damaged", where=str(path), remedy="take a copy of it that is whole")
    for step in STEPS[version:]:
        for statement in step:
            database.execute(statement)
    if version < VERSION:
        database.execute(f"PRAGMA application_id = {APPLICATION}")
        database.execute(f"PRAGMA user_version = {VERSION}")
