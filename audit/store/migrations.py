"""How the tables of an audit file came to be, step by step.

Steps are named, ordered, and never edited once released: a change of the tables is a new step at
the end. Each runs in a transaction of its own and is recorded by name in the file.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

APPLICATION_ID = 0x504C4144  # "PLAD" in the file header, bytes 68 to 71


@dataclass(frozen=True, slots=True)
class Migration:
    """One step: its name, and what it does to the open file."""

    name: str
    run: Callable[[sqlite3.Connection], object]


_FIRST = (
    """CREATE TABLE migrations (
    name TEXT NOT NULL PRIMARY KEY,
    at TEXT NOT NULL
) WITHOUT ROWID""",
    """CREATE TABLE entries (
    seq INTEGER NOT NULL PRIMARY KEY,
    at TEXT NOT NULL,
    actor TEXT NOT NULL,
    kind TEXT NOT NULL,
    payload TEXT NOT NULL,
    undoes INTEGER REFERENCES entries (seq)
)""",
    """CREATE TABLE sources (
    id INTEGER NOT NULL PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    size INTEGER NOT NULL
)""",
    """CREATE TABLE chunks (
    source INTEGER NOT NULL REFERENCES sources (id),
    number INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (source, number)
)""",
    """CREATE TABLE state (
    kind TEXT NOT NULL,
    number INTEGER NOT NULL,
    record TEXT NOT NULL,
    PRIMARY KEY (kind, number)
) WITHOUT ROWID""",
    """CREATE TABLE projection (
    one INTEGER NOT NULL PRIMARY KEY CHECK (one = 1),
    revision INTEGER NOT NULL,
    version INTEGER NOT NULL
)""",
)


def _create_tables(connection: sqlite3.Connection) -> None:
    for statement in _FIRST:
        connection.execute(statement)


MIGRATIONS: tuple[Migration, ...] = (Migration("0001-first-tables", _create_tables),)


def apply_migrations(
    connection: sqlite3.Connection,
    *,
    at: str,
    migrations: tuple[Migration, ...] = MIGRATIONS,
) -> None:
    """Bring the tables up to date, each missing step in its own transaction.

    `at` is the time to record; the connection is in autocommit mode with the write lock free.
    """
    for index, migration in enumerate(migrations, start=1):
        connection.execute("BEGIN IMMEDIATE")
        try:
            (done,) = connection.execute("PRAGMA user_version").fetchone()
            if done < index:
                migration.run(connection)
                connection.execute("INSERT INTO migrations VALUES (?, ?)", (migration.name, at))
                connection.execute(f"PRAGMA user_version = {index}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


@cache
def expected_schema(
    steps: int, migrations: tuple[Migration, ...] = MIGRATIONS
) -> frozenset[tuple[str, str, str, str | None]]:
    """Return the rows of `sqlite_schema` that a file has after a number of steps.

    Parameters
    ----------
    steps : int
    migrations : tuple[Migration, ...]

    Returns
    -------
    frozenset of (type, name, table, sql)
    """
    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        apply_migrations(connection, at="", migrations=migrations[:steps])
        return schema_of(connection)
    finally:
        connection.close()


def schema_of(
    connection: sqlite3.Connection,
) -> frozenset[tuple[str, str, str, str | None]]:
    """Return every row of a file's `sqlite_schema`: tables, indexes, views, triggers."""
    rows = connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_schema")
    return frozenset(tuple(row) for row in rows)
