"""aiosqlite with one crossing to its thread a statement, instead of four.

SQLAlchemy's adapter opens a cursor, executes, fetches and closes in the connection's thread, and
waits for each: with statements of microseconds the waiting is most of the time. Here the thread
does all four at once. Everything else is the adapter's own.
"""

from __future__ import annotations

import sqlite3
from collections import deque
from typing import Any

import aiosqlite
from sqlalchemy.dialects.sqlite.aiosqlite import (
    AsyncAdapt_aiosqlite_connection,
    AsyncAdapt_aiosqlite_cursor,
    AsyncAdapt_aiosqlite_dbapi,
)
from sqlalchemy.util import await_only

_Result = tuple[Any, list[Any], int, int | None]


class _Cursor(AsyncAdapt_aiosqlite_cursor):
    """A statement and its result, fetched whole; nothing of it is held open."""

    __slots__ = ("_description", "_last", "_many", "_rowcount")
    _awaitable_cursor_close = False

    def __init__(self, adapt_connection: AsyncAdapt_aiosqlite_connection) -> None:
        self._adapt_connection = adapt_connection
        self._connection = adapt_connection._connection
        self._rows: deque[Any] = deque()
        self._description: Any = None
        self._rowcount = -1
        self._last: int | None = None
        self._many = 1

    @property
    def description(self) -> Any:
        return self._description

    @property
    def rowcount(self) -> int:
        return self._rowcount

    @property
    def lastrowid(self) -> Any:
        return self._last

    @property
    def arraysize(self) -> int:
        return self._many

    @arraysize.setter
    def arraysize(self, value: int) -> None:
        self._many = value

    def execute(self, operation: Any, parameters: Any = None) -> None:
        self._done(_one, operation, () if parameters is None else parameters)

    def executemany(self, operation: Any, seq_of_parameters: Any) -> None:
        self._done(_many, operation, seq_of_parameters)

    def close(self) -> None:
        self._rows.clear()

    async def _async_soft_close(self) -> None:
        return

    def _done(self, how: Any, operation: Any, parameters: Any) -> None:
        try:
            found = await_only(self._crossed(how, operation, parameters))
        except Exception as error:
            self._adapt_connection._handle_exception(error)
        else:
            self._description, rows, self._rowcount, self._last = found
            self._rows = deque(rows)

    async def _crossed(self, how: Any, operation: Any, parameters: Any) -> _Result:
        async with self._adapt_connection._execute_mutex:
            connection: Any = self._connection
            found: _Result = await connection._execute(how, connection._conn, operation, parameters)
        return found


def _one(connection: sqlite3.Connection, operation: str, parameters: Any) -> _Result:
    return _told(connection.execute(operation, parameters))


def _many(connection: sqlite3.Connection, operation: str, parameters: Any) -> _Result:
    return _told(connection.executemany(operation, parameters))


def _told(cursor: sqlite3.Cursor) -> _Result:
    try:
        rows = cursor.fetchall() if cursor.description else []
        return cursor.description, rows, cursor.rowcount, cursor.lastrowid
    finally:
        cursor.close()


class _Connection(AsyncAdapt_aiosqlite_connection):
    __slots__ = ()
    _cursor_cls = _Cursor  # type: ignore[assignment]  # the adapter names its own class


class OneHop(AsyncAdapt_aiosqlite_dbapi):
    """The driver as SQLAlchemy sees it."""

    def __init__(self) -> None:
        super().__init__(aiosqlite, sqlite3)

    def connect(self, *arg: Any, **kw: Any) -> AsyncAdapt_aiosqlite_connection:
        plain = super().connect(*arg, **kw)
        return _Connection(self, plain._connection)
