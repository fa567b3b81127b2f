"""How long one person's Book takes to read when the file holds few lines, or everybody's."""

from __future__ import annotations

import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.demo import saltmarsh
from bot.records.facts import Entry, Member, Tower
from bot.records.people import Asker
from bot.storage import Store, load_book, migrate
from bot.storage.founding import Household, Resident, settle

NOW = datetime(2026, 5, 11, 12, 0, tzinfo=UTC)
OWN_LINES = 300


async def book_ms(others: int) -> float:
    """Median time of one uncached Book [ms], with 300 lines of one's own among `others`."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite+aiosqlite:///{Path(folder) / 'bench.db'}"
        migrate(url)
        store = Store(url)
        await saltmarsh.fill(store)
        people = max(1, others // OWN_LINES)
        await settle(
            store,
            saltmarsh.GUILD_ID,
            [Resident(user_id=n, member=Member(name=f"m{n}")) for n in range(1, people + 1)],
            [_household(n) for n in range(1, people + 1)],
        )
        asker = Asker(user_id=1, name="m1", guild_id=saltmarsh.GUILD_ID, private=True)
        times = []
        for _ in range(60):
            store.books.clear()
            started = time.perf_counter()
            await load_book(store, asker, NOW)
            times.append(time.perf_counter() - started)
        await store.close()
    return sorted(times)[len(times) // 2] * 1000


def _household(number: int) -> Household:
    lines = tuple(
        Entry(tower="t", at=NOW - timedelta(hours=9 * n), kind="level", level_l=20.0 + n % 20)
        for n in range(OWN_LINES)
    )
    return Household(tower=Tower(name="t", tank_l=40.0), keepers=(number,), entries=lines)
