"""Who asks in these tests, when, and what really stands in the file."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import UTC, datetime

from bot.demo import saltmarsh
from bot.records.changes import Change
from bot.records.facts import Tower
from bot.records.people import Asker
from bot.storage import Store, Writing, apply, load_book

NOW = datetime(2026, 5, 11, 12, 0, tzinfo=UTC)
TAMSIN = Asker(
    user_id=saltmarsh.MEMBER_ID, name="Tamsin", guild_id=saltmarsh.GUILD_ID, private=True
)
BRAM = replace(TAMSIN, user_id=7, name="Bram")


def rows(url: str, query: str) -> list[tuple[object, ...]]:
    with sqlite3.connect(url.split("///")[1]) as connection:
        found = connection.execute(query).fetchall()
    connection.close()
    return found


class Writer:
    """Writes changes one after another, each as an interaction of its own."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._number = 100

    async def __call__(self, who: Asker, *changes: Change, **more: object) -> bool:
        self._number += 1
        writing = Writing(changes=changes, **more)  # type: ignore[arg-type]  # a test names real fields
        return await apply(self._store, who, writing, self._number, NOW)


async def kitchen(store: Store) -> Tower:
    return (await load_book(store, TAMSIN, NOW)).towers[0]
