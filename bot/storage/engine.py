"""Opening the store. Two kinds of transaction: `read` sees one moment, `write` holds the lock.

A write that begins as a read fails "locked" at once when another writer came between, so every
write transaction begins IMMEDIATE; a single select needs no transaction at all.
"""

from __future__ import annotations

import asyncio
import sqlite3
from collections import OrderedDict
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager
from time import monotonic
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, CursorResult, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.ext.asyncio import AsyncConnection, AsyncEngine, create_async_engine

from bot.records.book import Book
from bot.storage.onehop import OneHop

_BUSY_MS = 5000
_QUEUE_S = 10.0
_FRESH_S = 5.0
_MOST_BOOKS = 2000
_BEGIN = {"read": "BEGIN", "write": "BEGIN IMMEDIATE"}


class Unavailable(Exception):
    """The database could not be read or written just now (locked, full, gone)."""


class Shelf:
    """Books read lately, so that a grower who asks three times costs one query.

    A book is good while nothing was changed through this process and for a few seconds at most,
    which bounds how long a change by another process stays unseen.
    """

    def __init__(self) -> None:
        self._books: OrderedDict[object, tuple[int, float, Book]] = OrderedDict()

    def find(self, key: object, generation: int) -> Book | None:
        """The book kept under `key`, if it is of this generation and fresh."""
        kept = self._books.get(key)
        if kept is None:
            return None
        if kept[0] != generation or monotonic() - kept[1] > _FRESH_S:
            del self._books[key]
            return None
        return kept[2]

    def clear(self) -> None:
        """Drop every book: what somebody wants forgotten may stand in any."""
        self._books.clear()

    def keep(self, key: object, generation: int, book: Book) -> None:
        """Keep a book read while the store was of `generation`."""
        self._books[key] = (generation, monotonic(), book)
        if len(self._books) > _MOST_BOOKS:
            self._books.popitem(last=False)


class Gathering:
    """Writes that many ask for at once, done together: whoever comes first writes for all."""

    def __init__(self) -> None:
        self._lock = asyncio.Lock()
        self._waiting: list[tuple[Any, asyncio.Future[None]]] = []

    async def keep(self, one: Any, write: Callable[[Sequence[Any]], Awaitable[None]]) -> None:
        """Return when `one` is written, or raise what kept it from being so."""
        done: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        self._waiting.append((one, done))
        async with self._lock:
            if not done.done():
                batch, self._waiting = self._waiting, []
                await self._write(batch, done, write)
        await done

    async def _write(
        self,
        batch: list[tuple[Any, asyncio.Future[None]]],
        own: asyncio.Future[None],
        write: Callable[[Sequence[Any]], Awaitable[None]],
    ) -> None:
        error: Exception | None = None
        try:
            await write([one for one, _ in batch])
        except asyncio.CancelledError:
            # Only who wrote for all was cancelled: the next in line writes for the others.
            self._waiting = [waits for waits in batch if waits[1] is not own] + self._waiting
            raise
        except Exception as caught:
            error = caught
        for _, done in batch:
            if done.done():
                continue
            if error is None:
                done.set_result(None)
            else:
                done.set_exception(error)


class _Ending(sqlite3.Connection):
    """A connection that ends its transaction when it is closed.

    SQLite keeps a closed connection alive, lock and all, while any cursor of it is: after a write
    cut short, that is until the last traceback that holds the cursor is collected.
    """

    def close(self) -> None:
        try:
            if self.in_transaction:
                self.rollback()
        finally:
            super().close()


class Store:
    """An open database."""

    def __init__(self, url: str) -> None:
        # Writers wait for each other on their own connection, so that nobody who only reads waits.
        at = existing(url)
        sqlite = at.get_backend_name() == "sqlite"
        how: dict[str, Any] = (
            {"connect_args": {"factory": _Ending}, "module": OneHop()} if sqlite else {}
        )
        reading = create_async_engine(at, pool_size=5, max_overflow=0, hide_parameters=True, **how)
        writing = create_async_engine(
            at, pool_size=1, max_overflow=0, pool_timeout=_QUEUE_S, hide_parameters=True, **how
        )
        self._engines = (reading, writing)
        if sqlite:
            for engine in self._engines:
                _prepare_sqlite(engine)
        self.generation = 0
        self.listeners: list[Callable[[], None]] = []
        self.books = Shelf()
        self.gathering = Gathering()
        self.gathering_posts = Gathering()
        self._single = reading.execution_options(tankwren_begin="none")
        self._read = reading.execution_options(tankwren_begin="read")
        self._bare = writing.execution_options(tankwren_begin="none")
        self._write = writing.execution_options(tankwren_begin="write")

    @asynccontextmanager
    async def single(self) -> AsyncIterator[AsyncConnection]:
        """A connection for one select, outside any transaction."""
        async with self._open(self._single) as connection:
            yield connection

    @asynccontextmanager
    async def read(self) -> AsyncIterator[AsyncConnection]:
        """Several selects that see the same moment."""
        async with self._open(self._read) as connection:
            yield connection

    @asynccontextmanager
    async def write(self) -> AsyncIterator[AsyncConnection]:
        """All of it or nothing: committed at the end, rolled back by any exception."""
        async with self._open(self._write) as connection, connection.begin():
            yield connection

    @asynccontextmanager
    async def _open(self, engine: AsyncEngine) -> AsyncIterator[AsyncConnection]:
        try:
            async with engine.connect() as connection:
                yield connection
        except (SQLAlchemyError, OSError) as error:
            raise Unavailable(type(error).__name__) from error

    async def compact(self) -> bool:
        """Fold the write-ahead log back and cut it to nothing; False while a reader holds it.

        Deleted rows are overwritten where they stood (secure_delete), so that this leaves nothing
        of them in the files.
        """
        if self._engines[0].dialect.name != "sqlite":
            return True
        async with self._open(self._bare) as connection:
            told = await connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
            busy = told.scalar()
        return busy == 0

    def facts_changed(self) -> None:
        """Called with every committed change of what a Book holds: what was read before is old."""
        self.generation += 1
        for told in self.listeners:
            told()

    async def close(self) -> None:
        """Close every connection."""
        for engine in self._engines:
            await engine.dispose()


def existing(url: str) -> URL:
    """A SQLite file is opened, never made: a new empty one would look like lost records."""
    parts = make_url(url)
    if parts.get_backend_name() != "sqlite" or not parts.database:
        return parts
    return parts.set(database=f"file:{quote(parts.database)}", query={"mode": "rw", "uri": "true"})


def new_key(made: CursorResult[Any]) -> int:
    """The primary key of the one row that an insert made."""
    key = made.inserted_primary_key
    assert key is not None
    return int(key[0])


def _prepare_sqlite(engine: AsyncEngine) -> None:
    @event.listens_for(engine.sync_engine, "connect")
    def _connected(connection: Any, record: object) -> None:  # the driver's own type is untyped
        connection.isolation_level = None  # the driver must not begin on its own
        cursor = connection.cursor()
        for pragma in (
            "journal_mode = WAL",
            "synchronous = FULL",
            "foreign_keys = ON",
            "secure_delete = ON",  # what a person had forgotten leaves no trace in the file
            f"busy_timeout = {_BUSY_MS}",
        ):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    @event.listens_for(engine.sync_engine, "begin")
    def _begun(connection: Connection) -> None:
        how = connection.get_execution_options().get("tankwren_begin", "read")
        if how in _BEGIN:
            connection.exec_driver_sql(_BEGIN[how])
