"""Who asks in these tests, when, and what really stands in the file."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from datetime import UTC, datetime

from bot.demo import saltmarsh
from bot.records.people import Asker

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
