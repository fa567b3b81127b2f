"""Stores that hold many debts: written straight into the file, a row a debt."""

from __future__ import annotations

import asyncio
import sqlite3
import tempfile
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from bot.clock import zone_data
from bot.storage import Store, migrate

NOW = datetime(2026, 5, 11, 12, 0)  # noqa: DTZ001 - as the file keeps it: UTC without saying so
_MOST_PEOPLE = 20_000
_GUILD = 410_000_000_000_000_001
_ROOM = _GUILD + 1
_FIRST_USER = 500_000_000_000_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """What to fill a store with.

    people: who is owed, in turn, so that debts due together are not one message; due: so many of
    the debts are due by now, the others within a month; rrule: empty for once; channels: of each
    person by their number, where known.
    """

    debts: int
    people: int = _MOST_PEOPLE
    due: int = 200
    rrule: str = "FREQ=WEEKLY;BYDAY=SU"
    users: tuple[tuple[int, int], ...] = ()

    @property
    def persons(self) -> int:
        """How many there are."""
        return min(self.people, self.debts)


@asynccontextmanager
async def filled(what: Waiting) -> AsyncIterator[str]:
    """Where a store with these debts is."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.db"
        url = f"sqlite+aiosqlite:///{path}"
        await asyncio.to_thread(migrate, url)
        await asyncio.to_thread(_fill, path, what)
        yield url


@asynccontextmanager
async def opened(url: str) -> AsyncIterator[Store]:
    """A store, and its end."""
    store = Store(url)
    try:
        yield store
    finally:
        await store.close()


@asynccontextmanager
async def stored(what: Waiting) -> AsyncIterator[Store]:
    """An open store with these debts."""
    async with filled(what) as url, opened(url) as store:
        yield store


def _fill(path: Path, what: Waiting) -> None:
    with closing(sqlite3.connect(path)) as file, file:
        file.execute("pragma journal_mode = wal")
        file.execute(
            "insert into community (id, guild_id, name, room_id) values (1, ?, ?, ?)",
            (_GUILD, "Saltmarsh Growers", _ROOM),
        )
        file.executemany(
            "insert into member (id, community_id, user_id, name, units, time_zone, channel_id)"
            " values (?, 1, ?, ?, 'us', 'UTC', ?)",
            _members(what),
        )
        file.executemany(
            "insert into rule (id, community_id, member_id, what, text, kind, start_local, rrule,"
            " zone, made_at) values (?, 1, ?, 'note', ?, 'wall', ?, ?, 'UTC', ?)",
            _rules(what),
        )
        file.executemany(
            "insert into debt (id, rule_id, member_id, key, due) values (?, ?, ?, ?, ?)",
            _debts(what),
        )
        # As a bot that was started before leaves it: nobody is to be looked at, by the same zones.
        file.execute("delete from replan")
        file.execute("insert into meta (name, value) values ('tz', ?)", (zone_data(),))
        file.execute("analyze")


def _members(what: Waiting) -> Iterator[tuple[object, ...]]:
    for n in range(what.persons):
        user, channel = what.users[n] if what.users else (_FIRST_USER + n, 2 * _FIRST_USER + n)
        yield n + 1, user, f"Wenna {n}", channel


def _rules(what: Waiting) -> Iterator[tuple[object, ...]]:
    for n in range(what.debts):
        whose = n % what.persons + 1
        yield n + 1, whose, f"rinse tray {n}", _key(n, what), what.rrule, _text(NOW)


def _debts(what: Waiting) -> Iterator[tuple[object, ...]]:
    for n in range(what.debts):
        yield n + 1, n + 1, n % what.persons + 1, _key(n, what), _text(_due(n, what))


def _due(n: int, what: Waiting) -> datetime:
    if n < what.due:
        return NOW - timedelta(minutes=1)
    return NOW + timedelta(minutes=60 + n % 40_000)


def _key(n: int, what: Waiting) -> str:
    return _due(n, what).isoformat(timespec="minutes")


def _text(at: datetime) -> str:
    return at.isoformat(sep=" ", timespec="microseconds")
